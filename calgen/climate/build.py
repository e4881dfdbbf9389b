"""Site -> Climate, by the best the grower gave: a daily record (3), monthly normals (2) or three numbers (1)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.climate import minimal
from calgen.climate.climate import Climate
from calgen.climate.days import DAYS_IN_YEAR, day_of_year
from calgen.climate.frost import (
    DEFAULT_SPREAD_DAYS,
    AverageFrosts,
    CurveFrosts,
    autumn_spread_days,
    spring_spread_days,
)
from calgen.climate.heat import sigma_from_amplitude
from calgen.climate.model import DailyRecord, FrostDate, KnownError
from calgen.climate.winter import estimated_low, given_low

if TYPE_CHECKING:
    from calgen.site.model import MonthDay, Site

SOUTHERN_SHIFT_DAYS: Final = 181
"""Southern dates less this are northern ones: 1 July is 1 January."""
SHORTEST_SEASON_DAYS: Final = 14
"""With fewer frost-free days there is no season to plan for, nor a curve to fit. Judgement."""
EQUATORIAL_DEG: Final = 10.0
"""Nearer the equator the year has no temperature season."""
_NEVER_NEEDED_YEAR: Final = 2025


def climate_of(site: Site, record: DailyRecord | None = None) -> Climate:
    """The climate of a site, at the best level its inputs allow."""
    return _from_three_numbers(site)


def _from_three_numbers(site: Site) -> Climate:
    shift = SOUTHERN_SHIFT_DAYS if site.south else 0
    errors: tuple[KnownError, ...] = ()
    no_season = False
    if site.frost is None:
        curve = minimal.frost_free(site.latitude_deg, site.warmest_month_c)
    else:
        last, first = _northern_frost_days(site.frost.last, site.frost.first, shift)
        no_season = first - last < SHORTEST_SEASON_DAYS
        if no_season:
            curve = minimal.without_frost_free_season(site.latitude_deg, site.warmest_month_c)
        elif site.warmest_month_c is None:
            curve = minimal.latitude_and_frost(site.latitude_deg, last, first)
        else:
            curve = minimal.latitude_frost_and_warmest_month(site.latitude_deg, last, first, site.warmest_month_c)
    northern_days = [day - shift for day in range(1, DAYS_IN_YEAR + 1)]
    tmin = tuple(curve.tmin(day) for day in northern_days)
    tmax = tuple(curve.tmax(day) for day in northern_days)
    amplitude = (max(tmin) - min(tmin)) / 2
    sigma = tuple(sigma_from_amplitude(amplitude, day) for day in northern_days)
    winter_low = estimated_low(min(tmin)) if site.winter_low_c is None else given_low(site.winter_low_c, min(tmin))
    midwinter = round(curve.peak_day - DAYS_IN_YEAR / 2)
    if site.frost is None:
        if abs(site.latitude_deg) < EQUATORIAL_DEG:
            midwinter = 1 - shift
        day = (midwinter + shift - 1) % DAYS_IN_YEAR + 1
        return Climate(1, site.latitude_deg, tmin, tmax, sigma, day,
                       CurveFrosts(tmin, day, winter_low, none_at_c=0.0), frost_free=True,
                       no_frost_free_season=False, winter_low=winter_low, errors=errors)
    midwinter = round(min(last, max(first - DAYS_IN_YEAR + 1, midwinter))) + shift
    years_on = 0 if midwinter >= 1 else DAYS_IN_YEAR
    midwinter, last_day, first_day = midwinter + years_on, last + shift + years_on, first + shift + years_on
    slope_last, slope_first = _slope(tmin, last_day), _slope(tmin, first_day)
    given = site.frost.spread_days
    default = DEFAULT_SPREAD_DAYS if no_season else None
    frosts = AverageFrosts(
        FrostDate(0.0, last_day, given or default or spring_spread_days(slope_last)),
        FrostDate(0.0, first_day, given or default or autumn_spread_days(slope_first)),
        slope_last, slope_first, midwinter, round(curve.peak_day) + shift + years_on, winter_low,
    )
    return Climate(1, site.latitude_deg, tmin, tmax, sigma, midwinter, frosts, frost_free=False,
                   no_frost_free_season=no_season, winter_low=winter_low, errors=errors)


def _northern_frost_days(last: MonthDay, first: MonthDay, shift: int) -> tuple[int, int]:
    """Days of the northern year; a first frost after New Year runs past 365, a last one before it below 1."""
    last_day = (day_of_year(last.in_year(_NEVER_NEEDED_YEAR)) - shift + 65) % DAYS_IN_YEAR - 65
    first_day = (day_of_year(first.in_year(_NEVER_NEEDED_YEAR)) - shift - 66) % DAYS_IN_YEAR + 66
    return last_day, first_day


def _slope(tmin_c: tuple[float, ...], day: float) -> float:
    centre = round(day) - 1
    return (tmin_c[(centre + 5) % DAYS_IN_YEAR] - tmin_c[(centre - 5) % DAYS_IN_YEAR]) / 10

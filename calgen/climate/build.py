"""Site -> Climate, by the best the grower gave: a daily record (3), monthly normals (2) or three numbers (1).

    northern day   day of the northern year; southern dates are moved by half a year for the arithmetic
    offset         days from a northern day to the calendar of the site's growing year
"""

from __future__ import annotations

from statistics import fmean, stdev
from typing import TYPE_CHECKING, Final, Protocol

from msgspec import Struct

from calgen.climate import minimal, trust
from calgen.climate.climate import Climate
from calgen.climate.cycle import most_likely_year
from calgen.climate.days import DAYS_IN_YEAR, day_of_year
from calgen.climate.frost import (
    DEFAULT_SPREAD_DAYS,
    AverageFrosts,
    CurveFrosts,
    Frosts,
    autumn_spread_days,
    slope,
    spring_spread_days,
)
from calgen.climate.heat import sigma_from_amplitude
from calgen.climate.model import FrostDate
from calgen.climate.normals import daily_curve
from calgen.climate.record import (
    RECENT_YEARS,
    SOUTHERN_SHIFT_DAYS,
    RecordedFrosts,
    cold_seasons,
    daily_sigma,
    latest_years,
    monthly_normals,
)
from calgen.climate.winter import WinterLow, given_low, guessed_low, low_from_coldest_month
from calgen.problems import InputError, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.climate.model import DailyRecord, KnownError
    from calgen.site.model import Frost, Site

SHORTEST_SEASON_DAYS: Final = 14
"""With fewer frost-free days there is no season to plan for, nor a curve to fit. Judgement."""
LONGEST_SEASON_DAYS: Final = 364
EQUATORIAL_DEG: Final = 10.0
"""Nearer the equator the year has no temperature season."""
RARE: Final = 0.1
"""Below this occurrence no frost date is given. Source: NOAA, Supplemental products to the 1981-2010 normals."""
_LOW_WITHOUT_SEASON_ERROR_C: Final = 6.0
"""Judgement: such places lie on mountains by the sea as well as in the far north."""
_COMMON_YEAR: Final = 2025
_NORTHERN_MIDWINTER: Final = 17.5


class Curve(Protocol):
    """Temperatures of northern days of the year. [°C]"""

    def tmin(self, day: float) -> float:
        """Mean daily lowest temperature."""

    def tmax(self, day: float) -> float:
        """Mean daily highest temperature."""


class _Curves(Struct, frozen=True):
    tmin_c: tuple[float, ...]
    tmax_c: tuple[float, ...]
    sigma_c: tuple[float, ...]

    def tmean_c(self) -> tuple[float, ...]:
        return tuple((low + high) / 2 for low, high in zip(self.tmin_c, self.tmax_c, strict=True))


def climate_of(site: Site, record: DailyRecord | None = None) -> Climate:
    """The climate of a site, at the best level its inputs allow.

    Frost dates, spread and winter low that the grower gives hold before those of normals or a record.

    Raises:
        InputError: the record's or the normals' summer is that of the other half of the world.
    """
    if record is not None:
        return _from_record(site, record)
    if site.climate.normals_c:
        return _from_normals(site, site.climate.normals_c)
    return _from_three_numbers(site)


def _from_three_numbers(site: Site) -> Climate:
    warmest = site.warmest_month_c
    if site.frost is None:
        curves = _minimal_curves(minimal.frost_free(site.latitude_deg, warmest), site)
        low = min(curves.tmin_c)
        winter_low = low_from_coldest_month(low) if site.winter_low_c is None else given_low(site.winter_low_c, low)
        return _without_dates(site, 1, curves, winter_low, none_at_c=0.0)
    last, first = _northern_frost_days(site.frost, site.south)
    no_season = first - last < SHORTEST_SEASON_DAYS
    if no_season:
        guess = minimal.without_frost_free_season(site.latitude_deg, warmest)
        curves = _minimal_curves(guess, site)
        estimate = low_from_coldest_month(guess.tmin(_NORTHERN_MIDWINTER), _LOW_WITHOUT_SEASON_ERROR_C)
    else:
        year = most_likely_year(site.latitude_deg, last, min(first, last + LONGEST_SEASON_DAYS), warmest_c=warmest,
                                winter_low_c=site.winter_low_c, longitude_deg=site.longitude_deg)
        curves = _minimal_curves(year, site)
        estimate = guessed_low(year.winter_low_c, year.winter_low_error_c, min(curves.tmin_c))
    winter_low = estimate if site.winter_low_c is None else given_low(site.winter_low_c, min(curves.tmin_c))
    return _with_average_dates(site, site.frost, 1, curves, winter_low)


def _from_normals(site: Site, normals_c: Sequence[tuple[float, float]]) -> Climate:
    tmin, tmax = (daily_curve([month[at] for month in normals_c]) for at in (0, 1))
    amplitude = (max(tmin) - min(tmin)) / 2
    shift = _shift(site.south)
    sigma = tuple(sigma_from_amplitude(amplitude, day - shift) for day in range(1, DAYS_IN_YEAR + 1))
    curves = _Curves(tmin, tmax, sigma)
    _check_half_of_world(site, tmin, "climate: normals")
    low = min(tmin)
    winter_low = low_from_coldest_month(low) if site.winter_low_c is None else given_low(site.winter_low_c, low)
    if site.frost is not None:
        return _with_average_dates(site, site.frost, 2, curves, winter_low)
    # the grower says there is no frost: believed unless most winters must have it
    believed = winter_low.chance_of(0.0) < 0.5
    return _without_dates(site, 2, curves, winter_low, none_at_c=0.0 if believed else None)


def _from_record(site: Site, record: DailyRecord) -> Climate:
    recent = latest_years(record, RECENT_YEARS)
    _check_half_of_world(site, daily_curve([low for low, _ in monthly_normals(recent)]), "climate: record")
    normals = monthly_normals(recent)
    tmin, tmax = (daily_curve([month[at] for month in normals]) for at in (0, 1))
    bare = _Curves(tmin, tmax, ())
    curves = _Curves(tmin, tmax, daily_sigma(recent, bare.tmean_c()))
    seasons = cold_seasons(record, site.south, latest=RECENT_YEARS)
    lows = [season.low_c for season in seasons]
    winter_low = WinterLow(fmean(lows) if site.winter_low_c is None else site.winter_low_c,
                           max(0.5, stdev(lows)), estimated=False)
    frosts = RecordedFrosts(seasons, offset_days=0)
    last, first = frosts.last(0.0), frosts.first(0.0)
    last_moved = first_moved = 0.0
    spread = None
    if site.frost is not None and last is not None and first is not None:
        given_last, given_first = _northern_frost_days(site.frost, site.south)
        last_moved, first_moved = given_last - last.day_by(0.5), given_first - first.day_by(0.5)
        spread = site.frost.spread_days
    if last is None or first is None or (last.occurrence < RARE and site.frost is None):
        last_day = first_day = None
    else:
        last_day, first_day = last.mean_day + last_moved, first.mean_day + first_moved
    midwinter, offset = _midwinter(site, curves, last_day, first_day)
    frosts = RecordedFrosts(seasons, offset, last_moved, first_moved, spread)
    no_season = last_day is not None and first_day is not None and first_day - last_day < SHORTEST_SEASON_DAYS
    return _climate(site, 3, curves, midwinter, frosts, winter_low, frost_free=last_day is None, no_season=no_season,
                    errors=trust.of_record(site, len(seasons), last, last_moved, first_moved), record=recent)


def _with_average_dates(site: Site, frost: Frost, level: int, curves: _Curves,
                        winter_low: WinterLow) -> Climate:
    last, first = _northern_frost_days(frost, site.south)
    no_season = first - last < SHORTEST_SEASON_DAYS
    midwinter, offset = _midwinter(site, curves, last, first)
    given = frost.spread_days or (DEFAULT_SPREAD_DAYS if no_season else None)
    warmest = max(range(DAYS_IN_YEAR), key=lambda n: curves.tmin_c[(midwinter - 1 + n) % DAYS_IN_YEAR])
    frosts = AverageFrosts(
        FrostDate(0.0, last + offset, given or spring_spread_days(slope(curves.tmin_c, last + offset))),
        FrostDate(0.0, first + offset, given or autumn_spread_days(slope(curves.tmin_c, first + offset))),
        curves.tmin_c, midwinter, midwinter + warmest, winter_low,
    )
    return _climate(site, level, curves, midwinter, frosts, winter_low, frost_free=False, no_season=no_season,
                    errors=trust.of_averages(site, level, no_season, winter_low))


def _without_dates(site: Site, level: int, curves: _Curves, winter_low: WinterLow, none_at_c: float | None) -> Climate:
    midwinter, _ = _midwinter(site, curves, None, None)
    frosts = CurveFrosts(curves.tmin_c, midwinter, winter_low, none_at_c)
    return _climate(site, level, curves, midwinter, frosts, winter_low, frost_free=none_at_c is not None,
                    no_season=False, errors=trust.without_dates(site, level, winter_low, none_at_c))


def _climate(site: Site, level: int, curves: _Curves, midwinter: int, frosts: Frosts, winter_low: WinterLow, *,
             frost_free: bool, no_season: bool, errors: tuple[KnownError, ...],
             record: DailyRecord | None = None) -> Climate:
    return Climate(level, site.latitude_deg, curves.tmin_c, curves.tmax_c, curves.sigma_c, midwinter, frosts,
                   frost_free, no_season, winter_low, errors, record.years if record else (), site.caution)


def _minimal_curves(curve: Curve, site: Site) -> _Curves:
    days = [day - _shift(site.south) for day in range(1, DAYS_IN_YEAR + 1)]
    tmin = tuple(curve.tmin(day) for day in days)
    amplitude = (max(tmin) - min(tmin)) / 2
    return _Curves(tmin, tuple(curve.tmax(day) for day in days),
                   tuple(sigma_from_amplitude(amplitude, day) for day in days))


def _shift(south: bool) -> int:
    return SOUTHERN_SHIFT_DAYS if south else 0


def _northern_frost_days(frost: Frost, south: bool) -> tuple[int, int]:
    """Northern days; a first frost after New Year runs past 365, a last one before it below 1."""
    shift = _shift(south)
    last = (day_of_year(frost.last.in_year(_COMMON_YEAR)) - shift + 65) % DAYS_IN_YEAR - 65
    first = (day_of_year(frost.first.in_year(_COMMON_YEAR)) - shift - 66) % DAYS_IN_YEAR + 66
    return last, first


def _midwinter(site: Site, curves: _Curves, last: float | None, first: float | None) -> tuple[int, int]:
    """The coldest day, kept between first and last frost, as a day of the calendar; and the offset to that calendar.

    1 January near the equator where there is no frost.
    """
    shift = _shift(site.south)
    if last is None or first is None:
        if abs(site.latitude_deg) < EQUATORIAL_DEG:
            return 1, shift
        day = _coldest(curves) - shift
    else:
        day = (_coldest(curves) - shift + 100) % DAYS_IN_YEAR - 100
        day = round(min(last, max(first - DAYS_IN_YEAR + 1, day)))
    years = -((day + shift - 1) // DAYS_IN_YEAR)
    offset = shift + years * DAYS_IN_YEAR
    return day + offset, offset


def _coldest(curves: _Curves) -> int:
    tmean = curves.tmean_c()
    return min(range(DAYS_IN_YEAR), key=tmean.__getitem__) + 1


def _check_half_of_world(site: Site, tmin_c: Sequence[float], where: str) -> None:
    january, july = tmin_c[15], tmin_c[196]
    if abs(january - july) > 5 and (january > july) != site.south:
        half = "southern" if january > july else "northern"
        raise InputError([Problem(site.climate.place, where,
                                  f"the summer is that of the {half} half of the world, the latitude is not; "
                                  f"check its sign and the order of the months")])

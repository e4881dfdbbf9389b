"""The climate as covers meet it: the cold half of the year bent to the winter low.

The curve from latitude and frost dates alone is fitted to the warm half of the year in the US. In western Europe, with
the same latitude and frost dates, winters are 4 to 7 °C milder than it has them, and the heat from three weeks before
the first frost to midwinter comes out at half of the truth. The winter low, given or estimated, knows better; the
curve is moved so that its coldest nights agree with it.

    quantity     unit
    coldest tmin °C, mean daily minimum of the coldest days
    bend         °C, added to minimum and maximum of a day

Error of the heat from 20 days before first frost to midwinter, 51 US stations: 12 % before, 11 % bent to an estimated
winter low, 8 % bent to a known one; southern England 47 % before, within 15 % after (see the test of this module).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from math import cos, pi, sin
from typing import TYPE_CHECKING, Final

from calgen.climate.days import DAYS_IN_YEAR
from calgen.climate.winter import low_from_coldest_month

if TYPE_CHECKING:
    from calgen.climate.climate import Climate

AGREES_C: Final = 0.05
LONG_SEASON_FROM: Final = 0.6
LONG_SEASON_FULL: Final = 1.2
LONG_SEASON_LATITUDES: Final = (46.0, 50.0, 60.0, 63.0)
SOUTHERN_LATITUDES: Final = (25.0, 33.0)
LONG_SEASON_C: Final = 3.0
"""Where the frost-free season is long for the latitude, north of the US and south of the sub-Arctic, and in the south,
where all land lies near the sea, the estimated coldest month is about 3 °C too cold and all the cold half with it: mean
of 15 places in Europe, Tasmania and New Zealand (their normals from memory)."""


def winter_bent(climate: Climate) -> Climate:
    """The climate with its cold half bent to the winter low; itself when it rests on normals or a record.

    Where the estimated low itself is too cold (``LONG_SEASON_C``) it is raised too. Bending twice changes nothing.
    """
    return _bent(climate)


@lru_cache(maxsize=64)
def _bent(climate: Climate) -> Climate:
    if climate.level > 1 or climate.frost_free or climate.no_frost_free_season:
        return climate
    last, first = climate.frosts.last(0.0), climate.frosts.first(0.0)
    if last is None or first is None:
        return climate
    share = _mildness(climate.latitude_deg, first.mean_day - last.mean_day)
    low = climate.winter_low
    bend_c = _coldest_month_c(low.mean_c) - min(climate.tmin_c)
    if abs(bend_c) < AGREES_C:
        return climate
    if low.estimated and share > 0:
        milder = low_from_coldest_month(_coldest_month_c(low.mean_c) + LONG_SEASON_C * share)
        low = replace(low, mean_c=milder.mean_c)
        bend_c = _coldest_month_c(low.mean_c) - min(climate.tmin_c)
    midwinter = climate.midwinter_day
    cold_days = (last.mean_day - first.mean_day) % DAYS_IN_YEAR
    bends = []
    for day in range(1, DAYS_IN_YEAR + 1):
        whole_year = (1 + cos(2 * pi * (day - midwinter) / DAYS_IN_YEAR)) / 2
        since = (day - first.mean_day) % DAYS_IN_YEAR
        between_frosts = sin(pi * since / cold_days) ** 2 if since < cold_days else 0.0
        bends.append(bend_c * (share * whole_year + (1 - share) * between_frosts))
    return replace(climate, winter_low=low,
                   tmin_c=tuple(tmin + bend for tmin, bend in zip(climate.tmin_c, bends, strict=True)),
                   tmax_c=tuple(tmax + bend for tmax, bend in zip(climate.tmax_c, bends, strict=True)))


def _coldest_month_c(winter_low_c: float) -> float:
    """Mean daily minimum of the coldest month that goes with a winter low (``low_from_coldest_month`` backwards)."""
    return (winter_low_c + 9.4) / 1.5


def _mildness(latitude_deg: float, season_days: float) -> float:
    """How far winters are milder than those of US places with these frost dates: western Europe 1, the US 0. [0-1]"""
    latitude = abs(latitude_deg)
    if latitude_deg < 0:
        return _ramp(latitude, *SOUTHERN_LATITUDES)
    longer = (season_days - 180) / 60 + 1.15 * (latitude - 40) / 10
    low, full, still, end = LONG_SEASON_LATITUDES
    return (_ramp(longer, LONG_SEASON_FROM, LONG_SEASON_FULL) * _ramp(latitude, low, full)
            * (1 - _ramp(latitude, still, end)))


def _ramp(value: float, start: float, end: float) -> float:
    return min(1.0, max(0.0, (value - start) / (end - start)))

"""Daylength from sunrise to sunset at any latitude and date. The only importer of astral.

The hour angle at the day's noon declination is used, not sunrise and sunset themselves: it has no day that ends
past midnight and meets polar day and night as plain cases.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from itertools import pairwise
from math import pi
from typing import TYPE_CHECKING, Final

from astral import SunDirection
from astral.julian import julianday, julianday_to_juliancentury
from astral.sun import hour_angle, sun_declination

from calgen.climate.days import DAYS_IN_YEAR

if TYPE_CHECKING:
    from collections.abc import Callable

SUNRISE_ZENITH_DEG: Final = 90 + 50 / 60
"""Centre of the sun 50' below the horizon: its upper edge with refraction. Source: US Naval Observatory."""

STEADY_DEG: Final = 60.0


@lru_cache(maxsize=20_000)
def daylength_h(latitude_deg: float, day: date, zenith_deg: float = SUNRISE_ZENITH_DEG) -> float:
    """Hours from sunrise to sunset. Polar day 24, polar night 0. [h]

    Error: within 0.02 h of an ephemeris up to 60° (tests/climate/test_daylight_hours.py).

    Args:
        latitude_deg: latitude, south negative. [degrees]
        day: the date.
        zenith_deg: the sun's distance from overhead at the ends of the day; 90 sun's centre, 96 civil twilight.
    """
    latitude = max(-89.99, min(89.99, latitude_deg))
    declination = sun_declination(julianday_to_juliancentury(julianday(day) + 0.5))
    try:
        angle = hour_angle(latitude, declination, zenith_deg, SunDirection.RISING)
    except ValueError:
        return 24.0 if latitude * declination > 0 else 0.0
    return 24 * angle / pi


def daylengths_h(latitude_deg: float, year: int) -> tuple[float, ...]:
    """The same on each of the 365 days of a common year. [h]

    Up to 60° every fifth day as above and straight between, which leaves 0.01 h; nearer the poles, where the midnight
    sun comes within days, every day.
    """
    step = 5 if abs(latitude_deg) <= STEADY_DEG else 1
    knots = [daylength_h(latitude_deg, date(year, 1, 1) + timedelta(day)) for day in range(0, DAYS_IN_YEAR + 1, step)]
    return tuple(low + (high - low) * beyond / step for low, high in pairwise(knots) for beyond in range(step))


def shortening(latitude_deg: float, day: date) -> bool:
    """Whether days grow shorter from this one on: from 21 June to 21 December, in the south the other half."""
    after_june = (6, 21) <= (day.month, day.day) < (12, 21)
    return after_june if latitude_deg >= 0 else not after_june


def solstices(latitude_deg: float, after: date) -> tuple[date, date]:
    """About the longest day on or after ``after`` and the shortest day that follows it."""
    summer, winter = ((6, 21), (12, 21)) if latitude_deg >= 0 else ((12, 21), (6, 21))
    longest = date(after.year, *summer)
    if longest < after:
        longest = date(after.year + 1, *summer)
    shortest = date(longest.year, *winter)
    if shortest < longest:
        shortest = date(longest.year + 1, *winter)
    return longest, shortest


def shorter_than(latitude_deg: float, hours: float, after: date) -> tuple[date | None, date | None]:
    """The first day shorter than ``hours`` after the next summer solstice, and the first no longer so after it.

    (None, None) where no day, or every day, is shorter.
    """
    longest, shortest = solstices(latitude_deg, after)
    if daylength_h(latitude_deg, longest) < hours or daylength_h(latitude_deg, shortest) >= hours:
        return None, None
    begin = _first(longest, shortest, lambda day: daylength_h(latitude_deg, day) < hours)
    end = _first(shortest, shortest + timedelta(183), lambda day: daylength_h(latitude_deg, day) >= hours)
    return begin, end


def _first(no: date, yes: date, holds: Callable[[date], bool]) -> date:
    while (yes - no).days > 1:
        middle = no + (yes - no) // 2
        if holds(middle):
            yes = middle
        else:
            no = middle
    return yes

"""The most likely year of temperatures, given what is known of a place and what years are like where there is frost.

    term    0-4  daily mean: its yearly mean, a yearly wave (cosine, sine) and a half-yearly wave. [°C]
            5-7  daily range: its yearly mean and a yearly wave. [°C]
            8    winter low, coldest night of an ordinary winter. [°C]
            9    latitude, regardless of its sign. [degrees]
            10   south: 1, north: 0
    day     northern day of the year; southern dates are moved by half a year. Waves count from day 200

The terms of places vary together: a long frost-free season far from the equator means a small yearly wave, a small
wave mild nights in winter. Their means and covariances are taken over the table of ``cycle_places``, in which places
like this one weigh more. What is known here, each with its uncertainty, is laid on them one after the other
(conditioning of a normal distribution, the scalar form of Kalman's update); where nothing is known the places speak.
Knowledge that depends on where the curve has its crest is laid on anew with the last curve until it settles.

Errors, mean over 118 places each left out of the table in turn (tests/published/test_climate_year.py): from frost dates
alone, with the warmest month, and with the winter low too; in brackets a single cosine with the same numbers.

                               44 US stations         41 maritime places       33 continental elsewhere
    heat Sep-Dec above 0 °C    7 (8)   7 (12)  4 %     6 (16)   6 (14)  5 %     8 (10)   9 (9)   6 %
    heat Sep-Dec above 4.4 °C  8 (10)  8 (13)  5 %     9 (21)   8 (17)  7 %    10 (13)  10 (10)  7 %
    heat last to first frost   6 (7)   2 (3)   2 %    10 (19)   3 (5)   3 %     8 (11)   2 (3)   2 %
    heat March and April      18 (24) 16 (33) 11 %    16 (36)  16 (31) 13 %    33 (32)  33 (32) 25 %
    day of 5 °C in autumn      5 (5)   6 (8)   4 d     9 (20)   9 (21)  8 d     8 (9)    7 (10)  5 d
    coldest month             2.3 (2.4) 2.3 (3.7) 1.2  1.3 (3.7) 1.1 (3.0) 0.8  2.9 (3.0) 2.5 (3.3) 1.7 °C
    winter low                2.4     2.3              1.9      1.5             3.0      2.6 °C

With the longitude too, which makes neighbours weigh more:

    heat Sep-Dec above 4.4 °C  7       7       5 %     8       7       6 %      9       9       7 %
    heat last to first frost   5       2       2 %     8       3       3 %      7       2       2 %
    heat March and April      14      13       9 %    14      13      11 %     17      17      16 %
    coldest month             1.7     1.7      1.0     1.1     1.0     0.8     2.1     1.9     1.3 °C

Where a lake or steady snow makes the year unlike that of its neighbours (Milwaukee, northern Japan, Newfoundland) the
winter may be out by 5 °C and early spring by half or more.
"""

from __future__ import annotations

from functools import lru_cache
from math import acos, copysign, cos, exp, hypot, pi, radians, sin, sqrt
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.climate.cycle_places import FIRST_FROST_TMIN, LAST_FROST_TMIN, PLACES
from calgen.climate.days import DAYS_IN_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.climate.cycle_places import FrostTmin, Place

_W: Final = 2 * pi / DAYS_IN_YEAR
_ORIGIN: Final = 200
_WAVE, _RANGE, _LOW, _LATITUDE, _SOUTH, _TERMS = 1, 5, 8, 9, 10, 11
_MONTH_DAYS: Final = 30.4
_NEAREST_DEG, _FURTHEST_DEG = 25.0, 65.0
"""The latitudes of the table; frost nearer the equator is a matter of height, and counts as at its edge."""
_LATITUDE_ERROR_DEG: Final = 0.5
_SOUTH_ERROR: Final = 0.05
_WARMEST_ERROR_C: Final = 0.3
"""Of the warmest month as a grower knows it, and of two waves at the crest. Judgement."""
_LOW_ERROR_C: Final = 1.5
"""Of the winter low as a grower knows it. Judgement."""
_ROUNDS: Final = 5
_LEAST_RANGE_C: Final = 2.0
_LEAST_WAVE_C: Final = 2.0
"""With a smaller yearly wave the crest of the half-yearly one, or winter, would pass for summer. Small islands of the
far south have 1.9 (Macquarie Island: 7.1 °C in January, 3.3 in July; from memory); the least of the table is 3.6."""
_SUMMER: Final = range(190, 236)
"""Where the crest may lie: at the places of the table from day 192 to 234."""

_LIKE_LATITUDE_DEG, _LIKE_SEASON_DAYS, _LIKE_MIDDLE_DAYS, _LIKE_WARMEST_C, _LIKE_LOW_C = 6.0, 40.0, 6.0, 4.0, 8.0
_OTHER_HALF: Final = exp(-1.5)
_ANY_PLACE: Final = 0.02
"""How far places may differ to weigh 0.6 of the most alike; the factor of those in the other half of the world; and
what any place weighs. Chosen among nine sets by the errors of places left out, which moved by less than a tenth."""
_NEAR_KM, _FAR_PLACE = 700.0, 0.03
"""Where the longitude is known: how far places may lie to weigh 0.6 of one at hand, and what the furthest weighs.
Chosen among fifteen sets by the errors of places left out; those with 500 to 1,000 km differ by less than a tenth."""
_EARTH_KM: Final = 6371.0


class Year(Struct, frozen=True):
    """Daily mean and daily range as waves of the northern day of the year, with what is unsure of them. [°C, days]"""

    terms: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]

    def tmean(self, day: float) -> float:
        """Mean temperature of a day. [°C]"""
        return _product(self.terms[:_RANGE], _waves(day))

    def daily_range(self, day: float) -> float:
        """Highest less lowest temperature of a day. [°C]"""
        return max(_LEAST_RANGE_C, _product(self.terms[_RANGE:_LOW], _waves(day)[:3]))

    def tmin(self, day: float) -> float:
        """Mean daily lowest temperature. [°C]"""
        return self.tmean(day) - self.daily_range(day) / 2

    def tmax(self, day: float) -> float:
        """Mean daily highest temperature. [°C]"""
        return self.tmean(day) + self.daily_range(day) / 2

    @property
    def winter_low_c(self) -> float:
        """Coldest night of an ordinary winter. [°C]"""
        return self.terms[_LOW]

    @property
    def winter_low_error_c(self) -> float:
        """Its standard error. [°C]"""
        return sqrt(max(0.0, self.covariance[_LOW][_LOW]))


def most_likely_year(latitude_deg: float, last_day: float, first_day: float, *, warmest_c: float | None = None,
                     winter_low_c: float | None = None, longitude_deg: float | None = None,
                     places: Sequence[Place] = PLACES) -> Year:
    """The year at a place with frost.

    Args:
        latitude_deg: south negative. [degrees]
        last_day: northern day of the average last 0 °C night; may be below 1.
        first_day: northern day of the average first 0 °C night; may be past 365.
        warmest_c: mean temperature of the warmest month, if known. [°C]
        winter_low_c: coldest night of an ordinary winter, if known. [°C]
        longitude_deg: west negative, if known; places near it then weigh more. [degrees]
        places: whose years are known.
    """
    latitude, south = min(_FURTHEST_DEG, max(_NEAREST_DEG, abs(latitude_deg))), float(latitude_deg < 0)
    means, covariances = _means_and_covariances(places, [
        _likeness(place, latitude, south, last_day, first_day, warmest_c, winter_low_c)
        * (1.0 if longitude_deg is None else _nearness(place, latitude_deg, longitude_deg)) for place in places])
    terms, covariance = means, covariances
    for _ in range(_ROUNDS):
        known = [
            (_unit(_LATITUDE), latitude, _LATITUDE_ERROR_DEG),
            (_unit(_SOUTH), south, _SOUTH_ERROR),
            _frost(last_day, LAST_FROST_TMIN, terms),
            _frost(first_day, FIRST_FROST_TMIN, terms),
        ]
        if warmest_c is not None:
            known.append(([*_month(_crest(terms)), *([0.0] * (_TERMS - _RANGE))], warmest_c, _WARMEST_ERROR_C))
        if winter_low_c is not None:
            known.append((_unit(_LOW), winter_low_c, _LOW_ERROR_C))
        terms, covariance = means, covariances
        for row, value, error in known:
            terms, covariance = _conditioned(terms, covariance, row, value, error)
        if terms[_WAVE] < _LEAST_WAVE_C:
            terms, covariance = _conditioned(terms, covariance, _unit(_WAVE), _LEAST_WAVE_C, 0.0)
    return Year(tuple(terms), tuple(tuple(row) for row in covariance))


def _likeness(place: Place, latitude_deg: float, south: float, last_day: float, first_day: float,
              warmest_c: float | None, winter_low_c: float | None) -> float:
    apart = [
        (latitude_deg - place.terms[_LATITUDE]) / _LIKE_LATITUDE_DEG,
        (first_day - last_day - (place.first_day - place.last_day)) / _LIKE_SEASON_DAYS,
        (first_day + last_day - (place.first_day + place.last_day)) / 2 / _LIKE_MIDDLE_DAYS,
        0.0 if warmest_c is None else (warmest_c - place.warmest_c) / _LIKE_WARMEST_C,
        0.0 if winter_low_c is None else (winter_low_c - place.terms[_LOW]) / _LIKE_LOW_C,
    ]
    same_half = 1.0 if south == place.terms[_SOUTH] else _OTHER_HALF
    return _ANY_PLACE + same_half * exp(-_product(apart, apart) / 2)


def _nearness(place: Place, latitude_deg: float, longitude_deg: float) -> float:
    """From 1 where it is down to what the furthest place weighs."""
    there = radians(-place.terms[_LATITUDE] if place.terms[_SOUTH] else place.terms[_LATITUDE])
    here = radians(latitude_deg)
    across = cos(radians(longitude_deg - place.longitude_deg))
    angle = acos(max(-1.0, min(1.0, sin(here) * sin(there) + cos(here) * cos(there) * across)))
    return _FAR_PLACE + (1 - _FAR_PLACE) * exp(-(_EARTH_KM * angle / _NEAR_KM) ** 2 / 2)


def _means_and_covariances(places: Sequence[Place],
                           weights: Sequence[float]) -> tuple[list[float], list[list[float]]]:
    total = sum(weights)
    shares = [weight / total for weight in weights]
    columns = list(zip(*(place.terms for place in places), strict=True))
    means = [_product(shares, column) for column in columns]
    off = [[value - middle for value in column] for column, middle in zip(columns, means, strict=True)]
    weighted = [[share * value for share, value in zip(shares, column, strict=True)] for column in off]
    unbiased = 1 - _product(shares, shares)
    return means, [[_product(one, other) / unbiased for other in off] for one in weighted]


def _conditioned(terms: Sequence[float], covariance: Sequence[Sequence[float]], row: Sequence[float], value: float,
                 error: float) -> tuple[list[float], list[list[float]]]:
    """Means and covariances of the terms once their sum weighted by ``row`` is known, with its standard error."""
    seen = [_product(row, column) for column in covariance]
    variance = _product(row, seen) + error * error
    off = (value - _product(row, terms)) / variance
    return ([term + off * share for term, share in zip(terms, seen, strict=True)],
            [[entry - one * other / variance for entry, other in zip(line, seen, strict=True)]
             for line, one in zip(covariance, seen, strict=True)])


def _frost(day: float, tmin: FrostTmin, terms: Sequence[float]) -> tuple[list[float], float, float]:
    """What an average frost date says: mean Tmin on it, which itself depends on the yearly mean, wave and range."""
    waves = _waves(day)
    row = [*waves, *(-value / 2 for value in waves[:3]), *([0.0] * (_TERMS - _LOW))]
    wave = hypot(terms[1], terms[2])
    row[0] -= tmin.by_mean
    row[1] -= tmin.by_wave * terms[1] / wave
    row[2] -= tmin.by_wave * terms[2] / wave
    row[_RANGE] -= tmin.by_range
    return row, tmin.at_ten_c - 10 * (tmin.by_mean + tmin.by_wave + tmin.by_range), tmin.error_c


@lru_cache(maxsize=2048)
def _waves(day: float) -> tuple[float, ...]:
    angle = _W * (day - _ORIGIN)
    return 1.0, cos(angle), sin(angle), cos(2 * angle), sin(2 * angle)


def _month(middle_day: float) -> list[float]:
    """The waves' means over a month."""
    angles = [order * _W * _MONTH_DAYS / 2 for order in (1, 1, 2, 2)]
    mean, *waves = _waves(middle_day)
    return [mean, *(wave * sin(angle) / angle for wave, angle in zip(waves, angles, strict=True))]


def _crest(terms: Sequence[float]) -> float:
    """The warmest day, between days by the parabola through it and its neighbours."""
    daily = {day: _product(terms[:_RANGE], _waves(day)) for day in _SUMMER}
    day = max(_SUMMER[1:-1], key=daily.__getitem__)
    before, at, after = daily[day - 1], daily[day], daily[day + 1]
    bend = before - 2 * at + after
    off = (before - after) / (2 * bend) if bend < 0 else copysign(1.0, after - before)
    return day + max(-1.0, min(1.0, off))


def _unit(term: int) -> list[float]:
    return [float(at == term) for at in range(_TERMS)]


def _product(first: Sequence[float], second: Sequence[float]) -> float:
    return sum(one * other for one, other in zip(first, second, strict=True))

"""The most likely year of temperatures, given what is known of a place and what years are like over the world.

    term    0-4  daily mean: its yearly mean, a yearly wave (cosine, sine) and a half-yearly wave. [°C]
            5-7  daily range: its yearly mean and a yearly wave. [°C]
            8    latitude, regardless of its sign. [degrees]
            9    south: 1, north: 0
    day     northern day of the year; southern dates are moved by half a year. Waves count from day 200

The terms of places vary together: a long frost-free season far from the equator means a small yearly wave, a small
wave a late one, a cold winter a wide half-yearly wave. ``cycle_prior`` holds their means and covariances over places
with frost in every part of the temperate world. What is known here, each with its uncertainty, is then laid on them
one after the other (conditioning of a normal distribution, the scalar form of Kalman's update); where nothing is known
the world's places speak. Knowledge that depends on where the curve has its crest is laid on again from the last result
until that no longer moves.

Error, on places not in the means or left out of them in turn: ``tests/published/test_climate_year.py`` prints and
holds it. Coldest month 1.2 °C on average at maritime places, 2.2 °C elsewhere; with the winter low 0.8 and 1.9 °C.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import cos, hypot, pi, sin, sqrt
from typing import TYPE_CHECKING, Final

from calgen.climate import minimal
from calgen.climate.cycle_prior import COVARIANCE, FIRST_FROST_TMIN, LAST_FROST_TMIN, MEAN
from calgen.climate.days import DAYS_IN_YEAR
from calgen.climate.winter import BELOW_AT_NOUGHT_C, DEPTH_SLOPE, ERROR_FROM_CURVE_C

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from calgen.climate.cycle_prior import FrostTmin

_W: Final = 2 * pi / DAYS_IN_YEAR
_ORIGIN: Final = 200
_TERMS: Final = len(MEAN)
_RANGE, _LATITUDE, _SOUTH = 5, 8, 9
_MONTH_DAYS: Final = 30.4
_NEAREST_DEG, _FURTHEST_DEG = 25.0, 65.0
_LATITUDE_ERROR_DEG: Final = 0.5
_SOUTH_ERROR: Final = 0.05
_WARMEST_ERROR_C: Final = 0.3
"""Of the warmest month as a grower knows it, and of two waves at the crest. Judgement."""
_WARMEST_FROM_FROST_ERROR_C: Final = 1.5
"""Of the warmest month from latitude and frost dates (M1): root mean square at 44 US stations; 1.9 °C elsewhere in
the north, useless (8 °C) in the south, whose summers are cooled by the sea."""
_ROUNDS: Final = 6
_SHORTEST_NIGHT_RANGE_C: Final = 2.0


@dataclass(frozen=True, slots=True)
class Year:
    """Daily mean and daily range as waves of the northern day of the year, with what is unsure of them. [°C, days]"""

    terms: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]

    def tmean(self, day: float) -> float:
        """Mean temperature of a day. [°C]"""
        return _product(self.terms[:_RANGE], _waves(day))

    def daily_range(self, day: float) -> float:
        """Highest less lowest temperature of a day. [°C]"""
        return max(_SHORTEST_NIGHT_RANGE_C, _product(self.terms[_RANGE:_LATITUDE], _waves(day)[:3]))

    def tmin(self, day: float) -> float:
        """Mean daily lowest temperature. [°C]"""
        return self.tmean(day) - self.daily_range(day) / 2

    def tmax(self, day: float) -> float:
        """Mean daily highest temperature. [°C]"""
        return self.tmean(day) + self.daily_range(day) / 2

    @property
    def coldest_tmin_c(self) -> float:
        """Mean daily minimum of the coldest month. [°C]"""
        return _product(self.terms, _month_of_tmin(_trough(self.terms)))

    @property
    def coldest_tmin_error_c(self) -> float:
        """Its standard error. [°C]"""
        row = _month_of_tmin(_trough(self.terms))
        return sqrt(max(0.0, _product(row, [_product(row, column) for column in self.covariance])))


def most_likely_year(latitude_deg: float, last_day: float, first_day: float, *, warmest_c: float | None = None,
                     winter_low_c: float | None = None) -> Year:
    """The year at a place with frost.

    Args:
        latitude_deg: south negative. [degrees]
        last_day: northern day of the average last 0 °C night; may be below 1.
        first_day: northern day of the average first 0 °C night; may be past 365.
        warmest_c: mean temperature of the warmest month, if known. [°C]
        winter_low_c: coldest night of an ordinary winter, if known. [°C]
    """
    south = latitude_deg < 0
    warmest, warmest_error = warmest_c, _WARMEST_ERROR_C
    if warmest is None and not south:
        guess = minimal.latitude_and_frost(latitude_deg, last_day, first_day)
        warmest, warmest_error = guess.tmean(guess.peak_day) - minimal.CREST_ABOVE_MONTH_C, _WARMEST_FROM_FROST_ERROR_C
    terms, covariance = list(MEAN), [list(row) for row in COVARIANCE]
    for _ in range(_ROUNDS):
        known = [
            (_unit(_LATITUDE), min(_FURTHEST_DEG, max(_NEAREST_DEG, abs(latitude_deg))), _LATITUDE_ERROR_DEG),
            (_unit(_SOUTH), float(south), _SOUTH_ERROR),
            _frost(last_day, LAST_FROST_TMIN, terms),
            _frost(first_day, FIRST_FROST_TMIN, terms),
        ]
        if warmest is not None:
            known.append(([*_month(_waves(_crest(terms))), *([0.0] * (_TERMS - _RANGE))], warmest, warmest_error))
        if winter_low_c is not None:
            # the winter low is ``low_from_coldest_month`` of the coldest Tmin, a straight line in it
            row = [(1 + DEPTH_SLOPE) * value for value in _month_of_tmin(_trough(terms))]
            known.append((row, winter_low_c + BELOW_AT_NOUGHT_C, ERROR_FROM_CURVE_C))
        terms, covariance = _conditioned(known)
    return Year(tuple(terms), tuple(tuple(row) for row in covariance))


def _conditioned(known: Iterable[tuple[Sequence[float], float, float]]) -> tuple[list[float], list[list[float]]]:
    """Means and covariances of the terms once linear measures of them are known: (weights, value, standard error)."""
    terms = list(MEAN)
    covariance = [list(row) for row in COVARIANCE]
    for row, value, error in known:
        seen = [_product(row, column) for column in covariance]
        variance = _product(row, seen) + error * error
        off = value - _product(row, terms)
        terms = [term + share / variance * off for term, share in zip(terms, seen, strict=True)]
        covariance = [[entry - one * other / variance for entry, other in zip(line, seen, strict=True)]
                      for line, one in zip(covariance, seen, strict=True)]
    return terms, covariance


def _frost(day: float, tmin: FrostTmin, terms: Sequence[float]) -> tuple[list[float], float, float]:
    """What an average frost date says: mean Tmin on it, which itself depends on the yearly mean, wave and range."""
    row = [*_waves(day), *(-value / 2 for value in _waves(day)[:3]), 0.0, 0.0]
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


def _month(waves: Sequence[float]) -> list[float]:
    """The waves' means over the month about their day."""
    flattened = [sin(order * _W * _MONTH_DAYS / 2) / (order * _W * _MONTH_DAYS / 2) for order in (1, 2)]
    return [value * by for value, by in zip(waves, (1.0, flattened[0], flattened[0], flattened[1], flattened[1]),
                                            strict=False)]


def _month_of_tmin(day: float) -> list[float]:
    return [*_month(_waves(day)), *(-value / 2 for value in _month(_waves(day)[:3])), 0.0, 0.0]


def _crest(terms: Sequence[float]) -> float:
    return _highest([_product(terms[:_RANGE], _waves(day)) for day in range(DAYS_IN_YEAR)])


def _trough(terms: Sequence[float]) -> float:
    return _highest([_product(terms[_RANGE:_LATITUDE], _waves(day)[:3]) / 2
                     - _product(terms[:_RANGE], _waves(day)) for day in range(DAYS_IN_YEAR)])


def _highest(values: Sequence[float]) -> float:
    """Day of the highest value, between days by the parabola through it and its neighbours."""
    day = max(range(DAYS_IN_YEAR), key=values.__getitem__)
    before, at, after = values[day - 1], values[day], values[(day + 1) % DAYS_IN_YEAR]
    bend = before - 2 * at + after
    return round(day + ((before - after) / (2 * bend) if bend else 0.0), 3)


def _unit(term: int) -> list[float]:
    return [float(at == term) for at in range(_TERMS)]


def _product(first: Sequence[float], second: Sequence[float]) -> float:
    return sum(one * other for one, other in zip(first, second, strict=True))

"""Frost dates at any threshold, where only averages are known (levels 1 and 2).

    quantity   unit
    slope      °C a day, of mean daily Tmin on the average frost date; positive in spring, negative in autumn
    spread     days, standard deviation of a frost date between years

A frost date holds for the years in which its threshold is reached; the risk a grower runs is the share of such years
times the risk within them (NOAA, Supplemental products to the 1981-2010 climate normals).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Protocol

from msgspec import Struct

from calgen.climate.model import FrostDate

if TYPE_CHECKING:
    from calgen.climate.winter import WinterLow

DEFAULT_SPREAD_DAYS: Final = 12.0
"""Published tables of the eastern and central US: 10.9-12.9 days in spring, 9.4-12.7 in autumn."""
ABOVE_FROST_C: Final = 5.0
"""Mean daily Tmin on the average frost date. US 5.5 ± 1.3 °C (5,395 stations), maritime and mountain places about 4."""
_LEAST_SLOPE: Final = 0.04


class Frosts(Protocol):
    """Frost dates of a place at any threshold; None where no night reaches it."""

    def last(self, threshold_c: float) -> FrostDate | None:
        """The last night of the cold season at or below the threshold."""

    def first(self, threshold_c: float) -> FrostDate | None:
        """The first night of the cold season at or below the threshold."""


def spring_spread_days(slope: float) -> float:
    """Spread of the last frost. Error: 2.7 days (root mean square). Source: own fit to 5,395 US stations."""
    return 7.7 + 0.763 / max(slope, _LEAST_SLOPE)


def autumn_spread_days(slope: float) -> float:
    """Spread of the first frost. Error: 2.4 days (root mean square). Source: own fit to 5,395 US stations."""
    return 8.0 + 0.688 / max(-slope, _LEAST_SLOPE)


class AverageFrosts(Struct, frozen=True):
    """From the dates at 0 °C. A frost of some depth is reached its depth divided by the slope earlier or later; a
    mild night above 0 °C where the curve of Tmin stands so much higher than on the 0 °C date.

    Shifts stop at midwinter and midsummer. How often a threshold is reached is the chance that the winter gets so
    cold. Error of the dates at -2.2 °C: 5.2 days in spring, 3.5 in autumn (mean of 57 places), more by the sea.
    """

    last_at_zero: FrostDate
    first_at_zero: FrostDate
    tmin_c: tuple[float, ...]
    midwinter_day: int
    midsummer_day: int
    winter_low: WinterLow

    def last(self, threshold_c: float) -> FrostDate | None:
        """See ``Frosts.last``."""
        at = self.last_at_zero.mean_day
        if threshold_c > 0:
            day = self._warmer(at, threshold_c, step=1)
        else:
            # a given date already beyond midwinter stays what it is
            day = max(min(self.midwinter_day, at), at + threshold_c / max(slope(self.tmin_c, at), _LEAST_SLOPE))
        return self._at(threshold_c, day, self.last_at_zero.sd_days)

    def first(self, threshold_c: float) -> FrostDate | None:
        """See ``Frosts.first``."""
        at = self.first_at_zero.mean_day
        if threshold_c > 0:
            day = self._warmer(at, threshold_c, step=-1)
        else:
            day = min(max(self.midwinter_day + 365, at),
                      at + threshold_c / min(slope(self.tmin_c, at), -_LEAST_SLOPE))
        return self._at(threshold_c, day, self.first_at_zero.sd_days)

    def _warmer(self, at: float, threshold_c: float, step: int) -> float:
        wanted = _on(self.tmin_c, at) + threshold_c
        day = at
        while (self.midsummer_day - day) * step > 0 and _on(self.tmin_c, day) < wanted:
            day += step
        return day

    def _at(self, threshold_c: float, day: float, spread: float) -> FrostDate:
        chance = self.winter_low.chance_of(threshold_c)
        if threshold_c >= 0:
            # a place with an average frost date has frost in most years
            chance = max(chance, self.last_at_zero.occurrence)
        return FrostDate(threshold_c, day, spread, chance)


class CurveFrosts(Struct, frozen=True):
    """From the curve of mean daily Tmin alone: the average frost date is where it stands 5 °C above the threshold.

    Where the curve never comes so low, a rare night at midwinter remains, as often as the winter gets so cold.
    With ``none_at_c`` the grower's word that no night is as cold as that counts.
    """

    tmin_c: tuple[float, ...]
    midwinter_day: int
    winter_low: WinterLow
    none_at_c: float | None = None

    def last(self, threshold_c: float) -> FrostDate | None:
        """See ``Frosts.last``."""
        return self._date(threshold_c, step=1)

    def first(self, threshold_c: float) -> FrostDate | None:
        """See ``Frosts.first``."""
        return self._date(threshold_c, step=-1)

    def _date(self, threshold_c: float, step: int) -> FrostDate | None:
        if self.none_at_c is not None and threshold_c <= self.none_at_c:
            return None
        start = self.midwinter_day if step > 0 else self.midwinter_day + 365
        offset = next((n for n in range(183) if _on(self.tmin_c, start + step * n) > threshold_c + ABOVE_FROST_C),
                      183)
        day = start + step * offset
        rise = slope(self.tmin_c, day)
        spread = spring_spread_days(rise) if step > 0 else autumn_spread_days(rise)
        chance = self.winter_low.chance_of(threshold_c) if offset == 0 else \
            max(0.5, self.winter_low.chance_of(threshold_c))
        return FrostDate(threshold_c, float(day), spread, chance)


def slope(tmin_c: tuple[float, ...], day: float) -> float:
    """Change of mean daily Tmin around a day. [°C/day]"""
    return (_on(tmin_c, day + 5) - _on(tmin_c, day - 5)) / 10


def _on(tmin_c: tuple[float, ...], day: float) -> float:
    return tmin_c[(round(day) - 1) % 365]

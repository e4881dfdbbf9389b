"""The objects of the weather: frost dates, growing years, daily records, and how far an answer may be off.

    quantity     unit
    tmin, tmax   °C, daily lowest and highest air temperature at 2 m
    day          1-365, day of the common year (``days``); in a growing year counted on from 1 January of the year
                 in which it began, so past 365 after New Year
    shares       of years, 0-1
"""

from __future__ import annotations

from math import erf, sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from datetime import date

    from calgen.problems import Problem


class FrostDate(Struct, frozen=True):
    """When a threshold is last reached in spring or first reached in autumn: a normal curve over years.

    ``mean_day`` and ``sd_days`` hold for the years in which the threshold is reached; ``occurrence`` is the share of
    those years. With ``observed`` days (a record) the curve is the record's own, lightly smoothed, instead of the
    normal one: frost dates of mild places are skewed.
    """

    threshold_c: float
    mean_day: float
    sd_days: float
    occurrence: float = 1.0
    observed: tuple[float, ...] = ()

    def share_by(self, day: float) -> float:
        """Share of the years with such a night in which the date has come by ``day``."""
        if not self.observed:
            return _normal_share((day - self.mean_day) / self.sd_days)
        width, shrink = self._smoothing()
        return sum(_normal_share((day - self.mean_day - shrink * (seen - self.mean_day)) / width)
                   for seen in self.observed) / len(self.observed)

    def day_by(self, share: float) -> float:
        """The day by which the date has come in ``share`` of the years with such a night."""
        share = min(1 - 1e-9, max(1e-9, share))
        if not self.observed:
            return NormalDist(self.mean_day, self.sd_days).inv_cdf(share)
        low, high = self.mean_day - 10 * self.sd_days, self.mean_day + 10 * self.sd_days
        while high - low > 0.01:
            middle = (low + high) / 2
            if self.share_by(middle) < share:
                low = middle
            else:
                high = middle
        return (low + high) / 2

    def _smoothing(self) -> tuple[float, float]:
        # Silverman's rule; the days are drawn together so that the spread stays what it was
        relative = 1.06 * len(self.observed) ** -0.2 / 2
        shrink = sqrt(max(0.0, 1 - relative * relative))
        return max(0.5, relative * self.sd_days), shrink


def _normal_share(z: float) -> float:
    return (1 + erf(z / sqrt(2))) / 2


class Season(Struct, frozen=True):
    """One growing year at a site: from midwinter to the day before the next, with its median frost dates.

    ``end`` is the midwinter day on which the next growing year begins. A frost date is None where in most years
    there is no frost in that half.
    """

    start: date
    end: date
    last_frost: date | None
    first_frost: date | None


class KnownError(Struct, frozen=True):
    """How far an answer may be off, in a grower's words, and what would make it better."""

    what: str
    size: str
    remedy: str | None


class YearOfDays(Struct, frozen=True):
    """The days of one calendar year of a record, 365 or 366 of them; None where nothing was observed. [°C]"""

    year: int
    tmin_c: tuple[float | None, ...]
    tmax_c: tuple[float | None, ...]


class DailyRecord(Struct, frozen=True):
    """A daily record, by calendar years without gaps between them, and what was noticed while reading it."""

    name: str
    years: tuple[YearOfDays, ...]
    latitude_deg: float | None = None
    notes: tuple[Problem, ...] = ()

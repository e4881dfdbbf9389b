"""The clock that covers grow by: degree days, weighted by daylight.

    quantity   unit
    light      share of a long day's growth that a day's length allows [0-1]
    lit heat   °C·day, degree days each weighted by the light of its day
"""

from __future__ import annotations

from bisect import bisect_left
from datetime import date
from functools import lru_cache
from itertools import accumulate
from typing import TYPE_CHECKING, Final

from calgen.climate.days import DAYS_IN_YEAR, date_of, days_on

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from calgen.climate.climate import Climate

FULL_LIGHT_H: Final = 12.0
NO_LIGHT_H: Final = 7.0
"""Growth per degree day is full in days of 12 h and more and nothing in days of 7 h, straight between.

Judgement: growers put the standstill near 10 h (Coleman, from memory), where this gives 0.6 and autumn's low warmth
the rest. Checked on western Washington, where 18 days' delay in September cost winter covers half of their growth
and cutting a month earlier in spring about as much (Lawson 2015).
"""
STEP_DAYS: Final = 5


def light(daylength_h: float) -> float:
    """Share of a long day's growth that a day of this length allows. [0-1]"""
    return min(1.0, max(0.0, (daylength_h - NO_LIGHT_H) / (FULL_LIGHT_H - NO_LIGHT_H)))


class GrowthClock(dict[date, float]):
    """Lit heat from a fixed day long ago to a day; the difference of two is what lies between. [°C·day]

    Each is kept once it was asked for.

    Args:
        sums: running sums over the common year, at every fifth day.
    """

    def __init__(self, sums: Iterable[float]) -> None:
        super().__init__()
        self._sums = tuple(sums)

    def __missing__(self, day: date) -> float:
        years, within = divmod(days_on(1, day) - 1, DAYS_IN_YEAR)
        knot, beyond = divmod(within, STEP_DAYS)
        low, high = self._sums[knot], self._sums[knot + 1]
        self[day] = years * self._sums[-1] + low + (high - low) * beyond / STEP_DAYS
        return self[day]

    def reached(self, start: date, heat: float) -> date | None:
        """The day on which so much lit heat has come since ``start``; None if not within two years."""
        sums = self._sums
        if sums[-1] <= 0 or heat > 2 * sums[-1]:
            return None
        whole, rest = divmod(self[start] + heat, sums[-1])
        knot = max(1, bisect_left(sums, rest))
        low, high = sums[knot - 1], sums[knot]
        share = (rest - low) / (high - low) if high > low else 0.0
        days = (knot - 1 + share) * STEP_DAYS
        return max(start, date_of(1 + int(whole), 1 + min(DAYS_IN_YEAR - 1, round(days))))


@lru_cache(maxsize=64)
def growth_clock(climate: Climate, base_c: float, cap_c: float | None = None) -> GrowthClock:
    """The clock of a place for covers that grow above ``base_c``, and no faster above ``cap_c``. [°C]"""
    return _clock(climate, base_c, light, cap_c)


@lru_cache(maxsize=64)
def long_day_clock(climate: Climate, base_c: float, hours: float) -> GrowthClock:
    """A clock of plain degree days above ``base_c`` that runs only on days of so many hours and more."""
    return _clock(climate, base_c, lambda daylength_h: 1.0 if daylength_h >= hours else 0.0)


def _clock(climate: Climate, base_c: float, weight: Callable[[float], float],
           cap_c: float | None = None) -> GrowthClock:
    heat = list(accumulate(climate.heat_of_days(base_c, cap_c), initial=0.0))
    hours = climate.daylengths_h
    lit = ((heat[day + STEP_DAYS] - heat[day]) * weight(hours[day + STEP_DAYS // 2])
           for day in range(0, DAYS_IN_YEAR, STEP_DAYS))
    return GrowthClock(accumulate(lit, initial=0.0))

"""Days of a year without leap days, and back: the clock of every climate curve and frost date.

    day        1 January is 1, 31 December 365; 29 February counts as 28 February (common practice in climatology)
    years on   a day below 1 lies in the year before, one past 365 in the year after
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from datetime import date, timedelta
from itertools import accumulate
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

DAYS_IN_YEAR: Final = 365
_COMMON_YEAR: Final = date(2025, 1, 1)
_MONTH_DAYS: Final = tuple((day.month, day.day) for day in (_COMMON_YEAR + timedelta(n) for n in range(DAYS_IN_YEAR)))
_BEFORE_MONTH: Final = (0, *((date(2025, month, 1) - _COMMON_YEAR).days for month in range(1, 13)))
_FEBRUARY: Final = 2
_LEAP_DAY: Final = 60
_LAST_OF_FEBRUARY: Final = 59
_ONE_DAY: Final = timedelta(1)


def day_of_year(day: date) -> int:
    """Day of a common year. [1-365]"""
    ordinal = _BEFORE_MONTH[day.month] + day.day
    return _LAST_OF_FEBRUARY if ordinal == _LEAP_DAY and day.month == _FEBRUARY else ordinal


def date_of(year: int, day: int) -> date:
    """The date of a day counted from 1 January of ``year``; days outside 1-365 run into the years beside it."""
    years, index = divmod(day - 1, DAYS_IN_YEAR)
    month, of_month = _MONTH_DAYS[index]
    return date(year + years, month, of_month)


def days_on(year: int, day: date) -> int:
    """The day as counted from 1 January of ``year``, which need not be the year of ``day``."""
    return day_of_year(day) + DAYS_IN_YEAR * (day.year - year)


def leap_days(day: date) -> int:
    """Leap days from the year 1 up to, but without, a day."""
    years = day.year - 1 if day.month <= _FEBRUARY else day.year
    return years // 4 - years // 100 + years // 400


class RunningSums(dict[date, float]):
    """Sums of a daily quantity from the year 1 up to, but without, a day; differences of two are sums between dates.

    Each is kept once it was asked for.

    Args:
        daily: the quantity on each of the 365 days of a common year, nowhere below nothing.
    """

    def __init__(self, daily: Iterable[float]) -> None:
        super().__init__()
        self._before = tuple(accumulate(daily, initial=0.0))

    def __missing__(self, day: date) -> float:
        before = self._before
        february_28 = before[_LAST_OF_FEBRUARY] - before[_LAST_OF_FEBRUARY - 1]
        ordinal = _BEFORE_MONTH[day.month] + day.day - 1
        self[day] = (day.year - 1) * before[DAYS_IN_YEAR] + leap_days(day) * february_28 + before[ordinal]
        return self[day]

    def reached(self, start: date, amount: float, limit_days: int) -> date | None:
        """The first day in the course of which so much has come since ``start``; None if not within so many days."""
        before, first = self._before, day_of_year(start)
        if amount <= 0:
            return start
        if before[DAYS_IN_YEAR] <= 0:
            return None
        years, rest = divmod(before[first - 1] + amount, before[DAYS_IN_YEAR])
        if years * DAYS_IN_YEAR > limit_days + DAYS_IN_YEAR:
            return None
        day = date_of(start.year + round(years), bisect_left(before, rest))
        if leap_days(day) != leap_days(start):
            while self[day] - self[start] >= amount:
                day -= _ONE_DAY
        return day if (day - start).days < limit_days else None

    def since(self, end: date, amount: float, limit_days: int) -> date | None:
        """The latest day before ``end`` from which so much comes until then; None if not within so many days."""
        before, last = self._before, day_of_year(end)
        if amount <= 0:
            return end - _ONE_DAY
        if before[DAYS_IN_YEAR] <= 0:
            return None
        years, rest = divmod(before[last - 1] - amount, before[DAYS_IN_YEAR])
        if -years * DAYS_IN_YEAR > limit_days + 2 * DAYS_IN_YEAR:
            return None
        day = date_of(end.year + round(years), bisect_right(before, rest))
        if leap_days(day) != leap_days(end):
            while self[end] - self[day + _ONE_DAY] >= amount:
                day += _ONE_DAY
        return day if (end - day).days <= limit_days else None

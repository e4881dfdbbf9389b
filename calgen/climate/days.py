"""Days of a year without leap days, and back: the clock of every climate curve and frost date.

    day        1 January is 1, 31 December 365; 29 February counts as 28 February (common practice in climatology)
    years on   a day below 1 lies in the year before, one past 365 in the year after
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from calendar import isleap
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


def years_on(day: date, years: int) -> date:
    """The same day of another year."""
    return date_of(day.year + years, day_of_year(day))


class RunningSums(dict[date, float]):
    """Sums of a daily quantity from the year 1 up to, but without, a day; differences of two are sums between dates.

    Each is kept once it was asked for.

    Args:
        daily: the quantity on each of the 365 days of a common year.
    """

    def __init__(self, daily: Iterable[float]) -> None:
        super().__init__()
        self._before = tuple(accumulate(daily, initial=0.0))

    def __missing__(self, day: date) -> float:
        before, years = self._before, day.year - 1
        leap_days = years // 4 - years // 100 + years // 400
        february_28 = before[_LAST_OF_FEBRUARY] - before[_LAST_OF_FEBRUARY - 1]
        ordinal = _BEFORE_MONTH[day.month] + day.day - 1
        if day.month > _FEBRUARY and isleap(day.year):
            leap_days += 1
        self[day] = years * before[DAYS_IN_YEAR] + leap_days * february_28 + before[ordinal]
        return self[day]

    def reached(self, start: date, amount: float, limit_days: int) -> int | None:
        """The first number of whole days after which so much has come since ``start``, less one; None if not by then.

        The daily quantity is nowhere below nothing. A year without leap days tells about when; the sums tell the day.
        """
        wanted = self[start] + amount
        if self[start + timedelta(limit_days)] < wanted:
            return None
        before, index = self._before, day_of_year(start) - 1
        years, rest = divmod(before[index] + amount, before[DAYS_IN_YEAR]) if before[DAYS_IN_YEAR] > 0 else (0.0, 0.0)
        days = round(years) * DAYS_IN_YEAR + bisect_left(before, rest) - index - 1
        days = min(max(days, 0), limit_days - 1)
        while days > 0 and self[start + timedelta(days)] >= wanted:
            days -= 1
        while self[start + timedelta(days + 1)] < wanted:
            days += 1
        return days

    def since(self, end: date, amount: float, limit_days: int) -> int | None:
        """The least number of days before ``end`` in which so much comes; None if more than the limit."""
        left = self[end] - amount
        if self[end - timedelta(limit_days)] > left:
            return None
        before, index = self._before, day_of_year(end) - 1
        years, rest = divmod(before[index] - amount, before[DAYS_IN_YEAR]) if before[DAYS_IN_YEAR] > 0 else (0.0, 0.0)
        days = index - round(years) * DAYS_IN_YEAR - bisect_right(before, rest) + 1
        days = min(max(days, 1), limit_days)
        while days > 1 and self[end - timedelta(days - 1)] <= left:
            days -= 1
        while self[end - timedelta(days)] > left:
            days += 1
        return days

"""The time axis: where a day stands on the sheet. Places by date, never by week number.

    quantity           unit
    left, right, x     points
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache

from msgspec import Struct


class Month(Struct, frozen=True):
    """A month or the part of it on the sheet; ``to`` is exclusive."""

    start: date
    to: date
    whole: bool


class Axis(Struct, frozen=True):
    """From ``start`` (at ``left``) to ``end``, exclusive (at ``right``)."""

    start: date
    end: date
    left: float
    right: float

    @property
    def day_width(self) -> float:
        """Width of one day. [points]"""
        return (self.right - self.left) / (self.end - self.start).days

    def x(self, day: date) -> float:
        """Where a day begins, held within the axis. [points]"""
        held = min(max(day, self.start), self.end)
        return self.left + (held - self.start).days * self.day_width

    def middle(self, day: date) -> float:
        """The middle of a day, held within the axis. [points]"""
        return min(self.x(day) + self.day_width / 2, self.right - self.day_width / 2)

    def shows(self, day: date) -> bool:
        """Whether the day is on the sheet."""
        return self.start <= day < self.end

    def months(self) -> tuple[Month, ...]:
        """The months of the sheet, the first and last perhaps in part."""
        return _months(self.start, self.end)

    def mondays(self) -> tuple[date, ...]:
        """The Mondays of the sheet."""
        return _mondays(self.start, self.end)


@lru_cache(maxsize=16)
def _months(start: date, end: date) -> tuple[Month, ...]:
    found = []
    while start < end:
        after = date(start.year + start.month // 12, start.month % 12 + 1, 1)
        found.append(Month(start, min(after, end), start.day == 1 and after <= end))
        start = after
    return tuple(found)


@lru_cache(maxsize=16)
def _mondays(start: date, end: date) -> tuple[date, ...]:
    first = start + timedelta(days=-start.weekday() % 7)
    return tuple(first + timedelta(weeks=week) for week in range((end - first).days // 7 + 1)
                 if first + timedelta(weeks=week) < end)

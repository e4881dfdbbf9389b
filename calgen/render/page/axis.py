"""The year from left to right: days to units of the drawing, one unit a CSS pixel on a wide screen."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

from msgspec import Struct

WIDTH: Final = 1000.0


class Axis(Struct, frozen=True):
    """A stretch of days, ``end`` exclusive."""

    start: date
    end: date

    @property
    def last(self) -> date:
        """The last day shown."""
        return self.end - timedelta(days=1)

    def x(self, day: date) -> float:
        """Where a day begins; days beyond the ends fall on the ends."""
        inside = min(max(day, self.start), self.end)
        return WIDTH * (inside - self.start).days / max((self.end - self.start).days, 1)

    def months(self) -> tuple[tuple[date, float, float], ...]:
        """Each month with some of its days: its first day shown, left and right."""
        found = []
        day = self.start
        while day < self.end:
            following = date(day.year + day.month // 12, day.month % 12 + 1, 1)
            found.append((day, self.x(day), self.x(following)))
            day = following
        return tuple(found)

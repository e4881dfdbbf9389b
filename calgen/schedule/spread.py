"""Jobs -> garden days, no more on a day than the grower can do, as far as their windows allow.

Jobs with the fewest days to choose from are placed first, each on the free garden day nearest to its best day; where
none is free, jobs already placed are moved along (an augmenting path of a bipartite matching), so that as many jobs as
possible find a day of their own. Days that such a search could not free are left out of later ones (they never can
be), which keeps the whole near-linear. What finds no day stays on its own day and is told.

Known error: the number of jobs placed is the greatest possible; the days by which they are moved are not always the
fewest (``tests/schedule/test_spread.py`` holds them against an exact solver).
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

DAY = timedelta(1)
REACH_DAYS = 35
"""A job is not moved further than this from its best day. Judgement: five weeks change what a job is."""


@dataclass(frozen=True, slots=True)
class Wish:
    """A job's own garden day, and the days on which it can be done."""

    day: date
    first: date
    last: date


def garden_days(wish: Wish, days: tuple[int, ...]) -> list[date]:
    """The garden days of a window, nearest to the job's own day first; the later one of two.

    Args:
        days: weekdays, Monday 0.
    """
    first, last = max(wish.first, wish.day - REACH_DAYS * DAY), min(wish.last, wish.day + REACH_DAYS * DAY)
    found = [first + step * DAY for step in range((last - first).days + 1)]
    return sorted((day for day in found if day.weekday() in days), key=lambda day: (abs((day - wish.day).days),
                                                                                   day < wish.day))


def spread(wishes: Sequence[Wish], days: tuple[int, ...], limit: int) -> tuple[tuple[date, ...], tuple[int, ...]]:
    """A day for every job, and the places of those for which no day was left (they keep their own).

    Args:
        days: garden days as weekdays, Monday 0.
        limit: jobs a garden day.
    """
    choices = [garden_days(wish, days) for wish in wishes]
    order = sorted((place for place in range(len(wishes)) if choices[place]),
                   key=lambda place: (len(choices[place]), wishes[place].last, wishes[place].day, place))
    load: dict[date, list[int]] = {}
    placed: dict[int, date] = {}
    closed: set[date] = set()
    left = []
    for place in order:
        free = next((day for day in choices[place] if len(load.get(day, ())) < limit), None)
        if free is not None:
            load.setdefault(free, []).append(place)
            placed[place] = free
        elif not _freed(place, choices, load, placed, limit, closed):
            left.append(place)
    _nearer(wishes, choices, load, placed, limit)
    return tuple(placed.get(place, wish.day) for place, wish in enumerate(wishes)), tuple(sorted(left))


def _freed(place: int, choices: list[list[date]], load: dict[date, list[int]], placed: dict[int, date], limit: int,
           closed: set[date]) -> bool:
    """Move placed jobs along, each to another day of its own, until a day is free; whether that worked."""
    came: dict[date, tuple[int, date | None]] = {}
    queue: deque[date] = deque()
    for day in choices[place]:
        if day not in closed and day not in came:
            came[day] = (place, None)
            queue.append(day)
    while queue:
        day = queue.popleft()
        if len(load.get(day, ())) < limit:
            _shift(day, came, load, placed)
            return True
        for other in load[day]:
            for further in choices[other]:
                if further not in came and further not in closed:
                    came[further] = (other, day)
                    queue.append(further)
    closed.update(came)
    return False


def _shift(day: date, came: dict[date, tuple[int, date | None]], load: dict[date, list[int]],
           placed: dict[int, date]) -> None:
    step: date | None = day
    while step is not None:
        mover, before = came[step]
        if before is not None:
            load[before].remove(mover)
        load.setdefault(step, []).append(mover)
        placed[mover] = step
        step = before


def _nearer(wishes: Sequence[Wish], choices: list[list[date]], load: dict[date, list[int]], placed: dict[int, date],
            limit: int) -> None:
    """Jobs that came to lie far off take a nearer day that is free, or change places where that brings both nearer."""
    off = {place: abs((day - wishes[place].day).days) for place, day in placed.items()}
    for place in sorted(off, key=lambda place: (-off[place], place)):
        now = placed[place]
        for day in choices[place]:
            gain = off[place] - abs((day - wishes[place].day).days)
            if gain <= 0:
                break
            full = load.get(day, [])
            partner = None
            if len(full) >= limit:
                partner = next((other for other in full if now in choices[other]
                                and abs((now - wishes[other].day).days) - off[other] < gain), None)
                if partner is None:
                    continue
            _move(place, now, day, load, placed)
            off[place] = abs((day - wishes[place].day).days)
            if partner is not None:
                _move(partner, day, now, load, placed)
                off[partner] = abs((now - wishes[partner].day).days)
            break


def _move(place: int, now: date, day: date, load: dict[date, list[int]], placed: dict[int, date]) -> None:
    load[now].remove(place)
    load.setdefault(day, []).append(place)
    placed[place] = day

"""Jobs -> garden days, no more on a day than the grower can do, as far as their windows allow.

Jobs with the fewest days to choose from are placed first, on their own day where it has room; else by the cheapest
chain of moves that makes room (a bipartite matching by successive shortest augmenting paths). So as many jobs as
possible find a day, and these are moved as little as possible. Days that no chain can free are left out of later
searches. What finds no day stays on its own day and is told. Jobs placed early are not given up for later ones.
"""

from __future__ import annotations

from collections import deque
from datetime import date, timedelta
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Sequence

DAY = timedelta(1)
REACH_DAYS = 35
"""A job is not moved further than this from its best day. Judgement: five weeks change what a job is."""


class Wish(Struct, frozen=True):
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
        own = wishes[place].day
        if own in choices[place] and len(load.get(own, ())) < limit:
            load.setdefault(own, []).append(place)
            placed[place] = own
        elif not _made_room(place, _Board(wishes, choices, load, placed, limit, closed)):
            left.append(place)
    return tuple(placed.get(place, wish.day) for place, wish in enumerate(wishes)), tuple(sorted(left))


class _Board(Struct, frozen=True):
    """What is placed so far, and the days that no move can free."""

    wishes: Sequence[Wish]
    choices: Sequence[Sequence[date]]
    load: dict[date, list[int]]
    placed: dict[int, date]
    limit: int
    closed: set[date]

    def off(self, place: int, day: date) -> int:
        """How far a day lies from a job's own. [days]"""
        return abs((day - self.wishes[place].day).days)


def _made_room(place: int, board: _Board) -> bool:
    """Place a job where that moves it and others least, each other job to another day of its own; whether it worked.

    The cheapest augmenting path by label correcting (moving a job back towards its own day has a negative cost).
    """
    cost: dict[date, int] = {}
    came: dict[date, tuple[int, date | None]] = {}
    queue: deque[date] = deque()
    _reach(place, None, 0, board, cost, came, queue)
    while queue:
        day = queue.popleft()
        full = board.load.get(day, [])
        if len(full) >= board.limit:
            for other in full:
                _reach(other, day, cost[day] - board.off(other, day), board, cost, came, queue)
    free = [day for day in cost if len(board.load.get(day, ())) < board.limit]
    if not free:
        board.closed.update(cost)
        return False
    _shift(min(free, key=lambda day: (cost[day], day)), came, board)
    return True


def _reach(place: int, now: date | None, spent: int, board: _Board, cost: dict[date, int],
           came: dict[date, tuple[int, date | None]], queue: deque[date]) -> None:
    """The days to which a job could go, where that is the cheapest way to them so far."""
    for day in board.choices[place]:
        sum_ = spent + board.off(place, day)
        if day != now and day not in board.closed and (day not in cost or sum_ < cost[day]):
            cost[day], came[day] = sum_, (place, now)
            if day not in queue:
                queue.append(day)


def _shift(day: date, came: dict[date, tuple[int, date | None]], board: _Board) -> None:
    step: date | None = day
    while step is not None:
        mover, before = came[step]
        if before is not None:
            board.load[before].remove(mover)
        board.load.setdefault(step, []).append(mover)
        board.placed[mover] = step
        step = before

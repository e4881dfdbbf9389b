"""Jobs -> garden days, no more on a day than the grower can do, as far as their windows allow.

Jobs with the fewest days to choose from are placed first, on their own day where it has room; else by the cheapest
chain of moves that makes room (a bipartite matching by successive shortest augmenting paths). So as many jobs as
possible find a day, and these are moved as little as possible. Days that no chain can free are left out of later
searches. What finds no day stays on its own day and is told. Jobs placed early are not given up for later ones.

A search walks over days, not jobs: each full day keeps, for every other day, its jobs by what moving them there costs
(heaps). What room on a day costs at least is remembered from search to search and leads the next one (Dijkstra's
search with the potentials of Edmonds and Karp, 1972, stopped at the first day with room). A search therefore takes at
most the garden days in reach squared, however many jobs lie on them, and time grows with the number of jobs.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from heapq import heappop, heappush
from typing import TYPE_CHECKING

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Iterator, Mapping, Sequence

DAY = timedelta(1)
REACH_DAYS = 35
"""A job is not moved further than this from its best day. Judgement: five weeks change what a job is."""


NOWHERE = date.min
"""Where a job comes from that is not yet placed."""


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
    choices = {wish: tuple(garden_days(wish, days)) for wish in set(wishes)}
    order = sorted((job for job in range(len(wishes)) if choices[wishes[job]]),
                   key=lambda job: (len(choices[wishes[job]]), wishes[job].last, wishes[job].day, job))
    alike = [(wishes[job].day, choices[wishes[job]]) for job in order]
    numbers = {one: number for number, one in enumerate(dict.fromkeys(alike))}
    board = _Board([_Kind(own, {day: abs((day - own).days) for day in chosen}) for own, chosen in numbers], limit)
    left = [job for job, one in zip(order, alike, strict=True) if not board.took(job, numbers[one])]
    found = [wish.day for wish in wishes]
    for day, on in board.days.items():
        for jobs in on.lying.values():
            for job in jobs:
                found[job] = day
    return tuple(found), tuple(sorted(left))


class _Kind(Struct, frozen=True):
    """Jobs that are alike: the same own day, the same garden days to choose from."""

    day: date
    off: Mapping[date, int]
    """How far each day to choose from lies from the own one. [days]"""


class _Day(Struct):
    """The jobs on a day, by number of their kind, and where they could go once it is full. Full days stay full."""

    lying: dict[int, list[int]] = field(default_factory=dict)
    jobs: int = 0
    full: bool = False
    movers: dict[date, list[tuple[int, int]]] = field(default_factory=dict)
    """For each other day a heap of kinds by the days that going there moves one further off, or nearer if negative."""
    room: int = 0
    """To make room here moves jobs by at least so many days altogether."""


class _Board(Struct, frozen=True):
    """What is placed so far, and the days that no move can free."""

    kinds: Sequence[_Kind]
    limit: int
    days: defaultdict[date, _Day] = field(default_factory=lambda: defaultdict(_Day))
    closed: set[date] = field(default_factory=set)

    def took(self, job: int, number: int) -> bool:
        """Place a job where that moves it and others least, each other job to another day of its own; if it can be."""
        own = self.kinds[number].day
        if own in self.kinds[number].off and not self.days[own].full:
            self._lay(job, number, own)
            return True
        came: dict[date, tuple[int, date]] = {}
        day = self._room(number, came)
        while day is not None:
            mover, before = came[day]
            if before == NOWHERE:
                self._lay(job, number, day)
                return True
            self._lay(self._lifted(mover, before), mover, day)
            day = before
        return False

    def _lay(self, job: int, number: int, day: date) -> None:
        here = self.days[day]
        here.jobs += 1
        jobs = here.lying.setdefault(number, [])
        jobs.append(job)
        if here.full and len(jobs) == 1:
            self._may_move(number, day)
        elif not here.full and here.jobs == self.limit:
            here.full = True
            for one in here.lying:
                self._may_move(one, day)

    def _lifted(self, number: int, day: date) -> int:
        """The last job of a kind, taken off a day."""
        here = self.days[day]
        here.jobs -= 1
        jobs = here.lying[number]
        job = jobs.pop()
        if not jobs:
            del here.lying[number]
        return job

    def _may_move(self, number: int, day: date) -> None:
        off, movers = self.kinds[number].off, self.days[day].movers
        for other in off:
            if other != day:
                heappush(movers.setdefault(other, []), (off[other] - off[day], number))

    def _room(self, number: int, came: dict[date, tuple[int, date]]) -> date | None:
        """The day with room to which the cheapest chain of moves leads; ``came`` tells the kind that goes to a day, and
        from where."""
        reached: dict[date, int] = {}
        ways: list[tuple[int, bool, date, int, date]] = []
        self._look(((day, off, number) for day, off in self.kinds[number].off.items()), 0, NOWHERE, ways)
        while ways:
            cost, full, day, mover, before = heappop(ways)
            if day in reached:
                continue
            came[day] = mover, before
            if not full:
                for passed, least in reached.items():
                    self.days[passed].room += cost - least
                return day
            reached[day] = cost
            self._look(self._moves(day, reached), cost - self.days[day].room, day, ways)
        self.closed.update(reached)
        return None

    def _moves(self, day: date, reached: Container[date]) -> Iterator[tuple[date, int, int]]:
        """The cheapest move from a full day to every other, but those reached: day, cost and kind."""
        here = self.days[day]
        for other, heap in here.movers.items():
            if other not in reached:
                while heap and heap[0][1] not in here.lying:
                    heappop(heap)
                if heap:
                    yield other, *heap[0]

    def _look(self, moves: Iterable[tuple[date, int, int]], spent: int, before: date,
              ways: list[tuple[int, bool, date, int, date]]) -> None:
        for day, cost, number in moves:
            if day not in self.closed:
                other = self.days[day]
                heappush(ways, (spent + cost + other.room, other.full, day, number, before))

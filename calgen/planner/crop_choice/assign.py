"""The best crops for all places together: each place takes one crop or none, each crop has room in so many places.

    one place a bed             exact at any size: an assignment, solved by successive longest paths over the crops
    several in a bed, few beds  exact: dynamic programming over how much of each crop is used
    several in a bed, many      each round one place of every bed is free and all of these are assigned exactly, until
                                no round and no swap within a bed gains anything

Method of the paths: Busacker and Gowen's successive shortest paths for flows of least cost (1961), from memory; a bed
is a unit of flow, and the net is small since it has one node a crop and not one a bed. Known error of the last way: see
``tests/planner/crop_choice/test_assign.py``, which holds all three against exact solvers.
"""

from __future__ import annotations

from functools import cache, partial
from itertools import product
from math import prod
from typing import TYPE_CHECKING, Final

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    Picks = tuple[int, ...]
    Worth = Callable[[int, Picks], int | None]

NONE: Final = -1
"""The pick of a place that stays open."""
EXACT_UP_TO: Final = 100_000
"""Steps of the dynamic programming up to which it is used: some tenths of a second at most."""
NEVER: Final = -(10**12)
ROUNDS: Final = 30


def assigned(widths: Sequence[int], room: Sequence[int], worth: Worth) -> tuple[Picks, ...]:
    """For every bed its crops, a number into ``room`` or ``NONE`` for each of its places.

    Args:
        widths: places of each bed.
        room: places that each crop may take.
        worth: what picks are worth in a bed [whole points], all open 0; None where they cannot be. Of answers of the
            same worth the one is taken in which earlier crops stand in earlier beds.
    """
    garden = _Garden(tuple(widths), tuple(min(beds, sum(widths)) for beds in room), worth)
    if all(width <= 1 for width in widths):
        return garden.rounds()
    states = prod(beds + 1 for beds in garden.room)
    if states * sum((len(room) + 1) ** width for width in widths) <= EXACT_UP_TO:
        return garden.exact()
    return garden.rounds()


def total(widths: Sequence[int], picked: Sequence[Picks], worth: Worth) -> int:
    """What picks are worth in all beds together. [points]"""
    return sum(worth(bed, picks) or 0 for bed, picks in enumerate(picked) if widths[bed])


class _Garden(Struct, dict=True):
    widths: tuple[int, ...]
    room: tuple[int, ...]
    worth: Worth
    first: list[int] = field(default_factory=list)
    scale: int = 1

    def __post_init__(self) -> None:
        places, at = sum(self.widths), 0
        for width in self.widths:
            self.first.append(at)
            at += width
        self.scale = places * places * (len(self.room) + 1) + 1
        self.value = cache(self._value)

    def _value(self, bed: int, picks: Picks) -> int:
        """The worth, with a trace for the order of writing: like crops to like places gives the largest sum."""
        points = self.worth(bed, picks)
        if points is None:
            return NEVER
        trace = sum((self.first[bed] + place) * (pick + 1) for place, pick in enumerate(picks) if pick != NONE)
        return points * self.scale + trace

    def all_open(self) -> list[Picks]:
        return [(NONE,) * width for width in self.widths]

    def exact(self) -> tuple[Picks, ...]:
        """Bed after bed, the best for every amount of each crop used so far."""
        crops = range(NONE, len(self.room))
        best: dict[Picks, tuple[int, tuple[Picks, ...]]] = {(0,) * len(self.room): (0, ())}
        for bed, width in enumerate(self.widths):
            choices = [(self.value(bed, picks), picks, tuple(picks.count(crop) for crop in range(len(self.room))))
                       for picks in product(crops, repeat=width)]
            choices = [choice for choice in choices if choice[0] > NEVER]
            after: dict[Picks, tuple[int, tuple[Picks, ...]]] = {}
            for used, (sum_, picked) in best.items():
                for value, picks, uses in choices:
                    now = tuple(a + b for a, b in zip(used, uses, strict=True))
                    if any(a > b for a, b in zip(now, self.room, strict=True)):
                        continue
                    if now not in after or sum_ + value > after[now][0]:
                        after[now] = (sum_ + value, (*picked, picks))
            best = after
        return max(best.values(), key=lambda entry: entry[0])[1]

    def rounds(self) -> tuple[Picks, ...]:
        """One place of every bed free at a time, the others as they are."""
        picked = self.all_open()
        widest = max(self.widths, default=0)
        value = self._sum(picked)
        for number in range(ROUNDS):
            for turn in range(widest):
                self._assign([(bed, (turn + number * bed) % width) for bed, width in enumerate(self.widths) if width],
                             picked)
            if widest <= 1:
                break
            for bed, width in enumerate(self.widths):
                if width > 1:
                    picked[bed] = max(_swaps(picked[bed]), key=partial(self.value, bed))
            before, value = value, self._sum(picked)
            if value <= before and number >= widest:
                break
        return tuple(picked)

    def _sum(self, picked: Sequence[Picks]) -> int:
        return sum(self.value(bed, picks) for bed, picks in enumerate(picked) if picks)

    def _assign(self, places: Sequence[tuple[int, int]], picked: list[Picks]) -> None:
        free = set(places)
        room = list(self.room)
        for bed, picks in enumerate(picked):
            for place, pick in enumerate(picks):
                if pick != NONE and (bed, place) not in free:
                    room[pick] -= 1
        rows = [[self.value(bed, _with(picked[bed], place, crop)) for crop in (*range(len(room)), NONE)]
                for bed, place in places]
        for (bed, place), crop in zip(places, best_rows(rows, [*room, len(rows)]), strict=True):
            picked[bed] = _with(picked[bed], place, crop if crop < len(room) else NONE)


def _with(picks: Picks, place: int, crop: int) -> Picks:
    return (*picks[:place], crop, *picks[place + 1:])


def _swaps(picks: Picks) -> Iterator[Picks]:
    yield picks
    for one in range(len(picks)):
        for other in range(one + 1, len(picks)):
            swapped = list(picks)
            swapped[one], swapped[other] = picks[other], picks[one]
            yield tuple(swapped)


def best_rows(values: Sequence[Sequence[int]], room: Sequence[int]) -> list[int]:
    """For every row a column, so that the sum of values is the largest that the columns' room allows. Exact.

    Args:
        values: one row a place, one column a crop; ``NEVER`` where it cannot be.
        room: rows that each column may take; together enough for all rows.
    """
    columns = range(len(room))
    taken: list[list[int]] = [[] for _ in columns]
    # what moving the best row from one column to another gains, and that row
    moves: list[list[tuple[int, int]]] = [[] for _ in columns]
    for row, value in enumerate(values):
        gain = list(value)
        back: list[int] = [NONE] * len(room)
        active = [column for column in columns if gain[column] > NEVER and len(taken[column]) >= room[column]]
        for _ in columns:
            better = []
            for full in active:
                for column in columns:
                    reached = gain[full] + moves[full][column][0] if moves[full] else NEVER
                    if reached > gain[column] and reached > NEVER // 2:
                        gain[column], back[column] = reached, full
                        better.append(column)
            active = [column for column in dict.fromkeys(better) if len(taken[column]) >= room[column]]
            if not active:
                break
        column = max((column for column in columns if len(taken[column]) < room[column]),
                     key=lambda column: (gain[column], -column))
        changed = []
        while back[column] != NONE:
            full = back[column]
            moved = moves[full][column][1]
            taken[full].remove(moved)
            taken[column].append(moved)
            changed.append(column)
            column = full
        taken[column].append(row)
        changed.append(column)
        for one in changed:
            moves[one] = [max(((values[held][other] - values[held][one], -held, held) for held in taken[one]),
                              default=(NEVER, 0, 0))[::2] for other in columns]
    found = [0] * len(values)
    for column in columns:
        for row in taken[column]:
            found[row] = column
    return found

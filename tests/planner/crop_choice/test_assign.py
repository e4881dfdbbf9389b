"""Crops for all places together, against solvers from outside: SciPy's assignment (Jonker-Volgenant) and HiGHS."""

from __future__ import annotations

import random
from itertools import product

import numpy
import pytest
from calgen.planner.crop_choice import assign as module
from calgen.planner.crop_choice.assign import NEVER, NONE, assigned, best_rows, total
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp

Picks = tuple[int, ...]


class Table:
    """The worth of picks in random beds: of each crop in each place, and of pairs that follow in one bed."""

    def __init__(self, seed: int, widths: list[int], room: list[int], *, apart: bool = True) -> None:
        chance = random.Random(seed)
        crops = len(room)
        self.widths, self.room = widths, room
        self.alone = [[[None if chance.random() < 0.1 else 100 + chance.randint(-60, 20) for _ in range(crops)]
                       for _ in range(width)] for width in widths]
        self.pairs = [[[chance.choice((0, 0, 0, -60, -20, 12)) if apart else 0 for _ in range(crops)]
                       for _ in range(crops)] for _ in widths]

    def worth(self, bed: int, picks: Picks) -> int | None:
        points = 0
        before = NONE
        for place, pick in enumerate(picks):
            if pick == NONE:
                continue
            alone = self.alone[bed][place][pick]
            if alone is None:
                return None
            points += alone + (self.pairs[bed][before][pick] if before != NONE else 0)
            before = pick
        return points

    def solved(self) -> tuple[Picks, ...]:
        """What calgen answers, held against the rules of the task."""
        picked = assigned(self.widths, self.room, self.worth)
        assert [len(picks) for picks in picked] == self.widths
        assert all(self.worth(bed, picks) is not None for bed, picks in enumerate(picked))
        used = [pick for picks in picked for pick in picks]
        assert all(used.count(crop) <= beds for crop, beds in enumerate(self.room))
        return picked

    def points(self) -> int:
        return total(self.widths, self.solved(), self.worth)


def by_assignment(table: Table) -> int:
    """SciPy's ``linear_sum_assignment``: one row a bed, one column for each bed that a crop may take, and open ones."""
    units = [crop for crop, beds in enumerate(table.room) for _ in range(beds)]
    values = numpy.array([[NEVER if (points := table.worth(bed, (crop,))) is None else points for crop in units]
                          + [0] * len(table.widths) for bed in range(len(table.widths))], dtype=float)
    rows, columns = linear_sum_assignment(values, maximize=True)
    return round(values[rows, columns].sum())


def by_highs(table: Table) -> int:
    """HiGHS by way of SciPy's ``milp``: one yes or no for every bed and every row of picks in it."""
    columns = [(bed, picks, points) for bed, width in enumerate(table.widths)
               for picks in product(range(NONE, len(table.room)), repeat=width)
               if (points := table.worth(bed, picks)) is not None]
    value = numpy.array([-points for _, _, points in columns], dtype=float)
    one_each = numpy.zeros((len(table.widths), len(columns)))
    uses = numpy.zeros((len(table.room), len(columns)))
    for number, (bed, picks, _) in enumerate(columns):
        one_each[bed, number] = 1
        for pick in picks:
            if pick != NONE:
                uses[pick, number] += 1
    found = milp(value, integrality=numpy.ones(len(columns)), bounds=Bounds(0, 1),
                 options={"mip_rel_gap": 0.0},
                 constraints=[LinearConstraint(one_each, 1, 1), LinearConstraint(uses, 0, table.room)])
    assert found.success, found.message
    return -round(found.fun)


def rooms(chance: random.Random, crops: int, most: int) -> list[int]:
    return [chance.randint(1, most) for _ in range(crops)]


@pytest.mark.parametrize("seed", range(40))
def test_one_place_a_bed_is_solved_exactly(seed: int) -> None:
    chance = random.Random(seed)
    beds, crops = chance.randint(1, 40), chance.randint(1, 12)
    table = Table(seed, [1] * beds, rooms(chance, crops, 5))
    assert table.points() == by_assignment(table)


@pytest.mark.parametrize(("beds", "crops", "most"), [(300, 15, 30), (300, 15, 12), (150, 40, 6)])
def test_one_place_a_bed_is_solved_exactly_on_large_sites(beds: int, crops: int, most: int) -> None:
    table = Table(7, [1] * beds, rooms(random.Random(7), crops, most))
    assert table.points() == by_assignment(table)


@pytest.mark.parametrize("seed", range(25))
def test_several_places_in_a_bed_are_solved_exactly_on_small_sites(seed: int) -> None:
    chance = random.Random(seed)
    widths = [chance.choice((1, 1, 2, 3)) for _ in range(chance.randint(2, 5))]
    table = Table(seed, widths, rooms(chance, 4, 2))
    assert table.points() == by_highs(table)


def test_several_places_in_a_bed_come_near_the_best_on_large_sites(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the rounds lose against HiGHS where whole beds interact: the gap in parts of the whole, and at most."""
    monkeypatch.setattr(module, "EXACT_UP_TO", 0)
    gaps = []
    for seed in range(20):
        chance = random.Random(seed)
        widths = [chance.choice((1, 1, 1, 2, 2, 3)) for _ in range(chance.randint(6, 25))]
        table = Table(seed, widths, rooms(chance, 6, 6))
        best = by_highs(table)
        gaps.append(1 - table.points() / best)
    assert min(gaps) > -1e-9
    print(f"gap: mean {sum(gaps) / len(gaps):.4f}, largest {max(gaps):.4f}")
    assert sum(gaps) / len(gaps) < 0.01
    assert max(gaps) < 0.04


def test_of_equal_answers_the_first_crop_stands_in_the_first_bed() -> None:
    assert assigned([1, 1, 1], [1, 1, 1], lambda bed, picks: 100 * (picks[0] != NONE)) == ((0,), (1,), (2,))


def test_a_crop_is_only_left_out_where_it_costs_more_than_it_brings() -> None:
    worth = {(NONE,): 0, (0,): -5}
    assert assigned([1], [1], lambda bed, picks: worth[picks]) == ((NONE,),)


def test_a_crop_passes_its_bed_on() -> None:
    """Beds, by hand: the first would take crop 0 and the second too, but the first alone can do with crop 1."""
    worth = [{0: 100, 1: 90}, {0: 95, 1: None}]
    found = assigned([1, 1], [1, 1], lambda bed, picks: 0 if picks[0] == NONE else worth[bed][picks[0]])
    assert found == ((1,), (0,))


def test_nothing_to_choose_is_no_trouble() -> None:
    assert assigned([], [2], lambda bed, picks: 0) == ()
    assert assigned([1], [], lambda bed, picks: 0) == ((NONE,),)
    assert best_rows([], [0]) == []

"""Jobs on garden days under a limit, against exact solvers: HiGHS by scipy's ``milp`` on small random cases, and a
plain slow search with scipy's ``linear_sum_assignment`` on drawn and larger ones.

What is good, in this order: no job past its window, none moved without need, as many as possible placed with the
tightest first, and then as few days of moving as can be.
"""

from __future__ import annotations

import random
from collections import Counter
from datetime import date, timedelta

import pytest
from calgen.schedule.spread import Wish, garden_days, spread
from hypothesis import given
from hypothesis import strategies as st

START = date(2026, 8, 31)
WEEKEND = (5, 6)


def day(number: int) -> date:
    """The day so many days after a Monday."""
    return START + timedelta(number)


def wishes_of(seed: int, jobs: int, weeks: int) -> list[Wish]:
    """Random jobs: windows of one to five weeks, each job's own day the garden day nearest to its middle."""
    chance = random.Random(seed)
    found = []
    for _ in range(jobs):
        first = chance.randrange(weeks * 7 - 7)
        last = min(weeks * 7 - 1, first + chance.randrange(6, 36))
        middle = chance.randrange(first, last + 1)
        own = min((step for step in range(first, last + 1) if day(step).weekday() in WEEKEND),
                  key=lambda step: abs(step - middle))
        found.append(Wish(day(own), day(first), day(last)))
    return found


def exact(wishes: list[Wish], limit: int) -> tuple[int, int]:
    """The most jobs that can be placed, and the fewest days by which those are then moved altogether."""
    milp = pytest.importorskip("scipy.optimize", reason="scipy is not installed")
    numpy = pytest.importorskip("numpy")
    pairs = [(place, on) for place, wish in enumerate(wishes) for on in garden_days(wish, WEEKEND)]
    days = sorted({on for _, on in pairs})
    rows = [[1.0 if place == job else 0.0 for place, _ in pairs] for job in range(len(wishes))]
    rows += [[1.0 if on == one else 0.0 for _, on in pairs] for one in days]
    most = [1.0] * len(wishes) + [float(limit)] * len(days)
    cost = [abs((on - wishes[place].day).days) - 10_000 for place, on in pairs]
    answer = milp.milp(cost, integrality=numpy.ones(len(pairs)), bounds=milp.Bounds(0, 1),
                       constraints=milp.LinearConstraint(numpy.array(rows), -numpy.inf, most))
    assert answer.success
    taken = [pair for pair, one in zip(pairs, answer.x, strict=True) if one > 0.5]
    return len(taken), sum(abs((on - wishes[place].day).days) for place, on in taken)


def moved(wishes: list[Wish], days: tuple[date, ...], left: tuple[int, ...]) -> int:
    """The days by which placed jobs lie off their own, altogether."""
    return sum(abs((on - wish.day).days) for place, (on, wish) in enumerate(zip(days, wishes, strict=True))
               if place not in left)


CASES = [(seed, jobs, weeks, limit) for seed, (jobs, weeks, limit) in enumerate(
    [(12, 4, 2), (14, 4, 2), (18, 6, 2), (16, 4, 2), (10, 6, 1), (12, 6, 1), (14, 6, 1), (24, 6, 2), (24, 5, 3)] * 4)]


@pytest.mark.parametrize(("seed", "jobs", "weeks", "limit"), CASES)
def test_as_many_jobs_find_a_day_as_can(seed: int, jobs: int, weeks: int, limit: int) -> None:
    wishes = wishes_of(seed, jobs, weeks)
    days, left = spread(wishes, WEEKEND, limit)
    load = Counter(on for place, on in enumerate(days) if place not in left)
    assert max(load.values()) <= limit
    assert all(wish.first <= on <= wish.last for wish, on in zip(wishes, days, strict=True))
    assert len(wishes) - len(left) == exact(wishes, limit)[0]


@pytest.mark.parametrize(("seed", "jobs", "weeks", "limit"), CASES)
def test_where_all_jobs_fit_none_could_be_moved_less(seed: int, jobs: int, weeks: int, limit: int) -> None:
    wishes = wishes_of(seed, jobs, weeks)
    days, left = spread(wishes, WEEKEND, limit)
    best = exact(wishes, limit)[1]
    assert moved(wishes, days, left) == best if not left else moved(wishes, days, left) >= best


def test_where_not_all_jobs_fit_the_rest_is_moved_little_more() -> None:
    """Which jobs are left out differs, so more is moved: a quarter, in these ten cases."""
    ours = best = 0
    for seed, jobs, weeks, limit in CASES:
        wishes = wishes_of(seed, jobs, weeks)
        days, left = spread(wishes, WEEKEND, limit)
        if left:
            ours += moved(wishes, days, left)
            best += exact(wishes, limit)[1]
    assert 0 < best <= ours <= 1.3 * best


def test_without_pressure_every_job_keeps_its_day() -> None:
    wishes = wishes_of(3, 8, 8)
    assert spread(wishes, WEEKEND, 8) == (tuple(wish.day for wish in wishes), ())


def test_the_tightest_window_keeps_the_day() -> None:
    saturday = day(5)
    tight, loose = Wish(saturday, day(3), day(5)), Wish(saturday, day(0), day(20))
    days, left = spread([loose, tight], (5,), 1)
    assert days == (day(12), saturday)
    assert not left


def test_what_cannot_fit_keeps_its_own_day() -> None:
    saturday = day(5)
    days, left = spread([Wish(saturday, day(4), day(6))] * 3, (5,), 2)
    assert days == (saturday,) * 3
    assert len(left) == 1


def test_a_job_whose_window_holds_no_garden_day_is_let_be() -> None:
    assert spread([Wish(day(1), day(0), day(2))], WEEKEND, 1) == ((day(1),), ())


@st.composite
def crowds(draw: st.DrawFn) -> tuple[list[Wish], tuple[int, ...], int]:
    """Jobs that crowd into a few weeks, many alike, some with no garden day; the garden days; a limit."""
    days = tuple(sorted(draw(st.sets(st.integers(0, 6), min_size=1, max_size=3))))
    found: list[Wish] = []
    for _ in range(draw(st.integers(1, 8))):
        own, before, after = draw(st.integers(0, 40)), draw(st.integers(0, 45)), draw(st.integers(0, 45))
        near = [on for on in range(own - before, own + after + 1) if day(on).weekday() in days]
        own = draw(st.sampled_from(near)) if near and draw(st.booleans()) else own
        found += [Wish(day(own), day(own - before), day(own + after))] * draw(st.integers(1, 5))
    return draw(st.permutations(found)), days, draw(st.integers(1, 4))


def first_come(wishes: list[Wish], days: tuple[int, ...], limit: int) -> set[int]:
    """The jobs for which no day is left when the tightest come first and each may push others on (Kuhn, 1955)."""
    choices = [garden_days(wish, days) for wish in wishes]
    lying: dict[date, list[int]] = {}

    def goes(job: int, tried: set[date]) -> bool:
        for on in choices[job]:
            if on not in tried:
                tried.add(on)
                there = lying.setdefault(on, [])
                for other in there if len(there) >= limit else [None]:
                    if other is None or goes(other, tried):
                        if other is not None:
                            there.remove(other)
                        there.append(job)
                        return True
        return False

    order = sorted(range(len(wishes)), key=lambda job: (len(choices[job]), wishes[job].last, wishes[job].day, job))
    return {job for job in order if choices[job] and not goes(job, set())}


def fewest_days(wishes: list[Wish], days: tuple[int, ...], limit: int, left: set[int]) -> int:
    """By how many days the jobs that are not left must be moved, by an exact solver of assignments."""
    optimize = pytest.importorskip("scipy.optimize", reason="scipy is not installed")
    numpy = pytest.importorskip("numpy")
    choices = [garden_days(wish, days) for job, wish in enumerate(wishes) if job not in left]
    own = [wish.day for job, wish in enumerate(wishes) if job not in left]
    room = [on for on in sorted({on for some in choices for on in some}) for _ in range(limit)]
    cost = numpy.full((len(own), len(room)), 10_000)
    for row, (one, some) in enumerate(zip(own, choices, strict=True)):
        for column, on in enumerate(room):
            if on in some:
                cost[row, column] = abs((on - one).days)
    return int(cost[optimize.linear_sum_assignment(cost)].sum())


def judged(wishes: list[Wish], days: tuple[int, ...], limit: int) -> None:
    """All that makes a spread good."""
    found, left = spread(wishes, days, limit)
    dayless = {job for job, wish in enumerate(wishes) if not garden_days(wish, days)}
    placed = {job: on for job, on in enumerate(found) if job not in dayless and job not in left}
    load = Counter(placed.values())
    assert all(on in garden_days(wishes[job], days) for job, on in placed.items())
    assert all(found[job] == wishes[job].day for job in dayless.union(left))
    assert max(load.values(), default=0) <= limit
    assert set(left) == first_come(wishes, days, limit)
    assert all(load[wishes[job].day] >= limit or on == wishes[job].day or wishes[job].day.weekday() not in days
               for job, on in placed.items())
    assert moved(wishes, found, left) == fewest_days(wishes, days, limit, dayless.union(left))


@given(crowds())
def test_as_good_as_a_plain_slow_search(crowd: tuple[list[Wish], tuple[int, ...], int]) -> None:
    judged(*crowd)


@pytest.mark.parametrize(("seed", "weeks", "limit"), [(1, 40, 6), (2, 26, 10), (3, 14, 17), (4, 12, 18)])
def test_as_good_for_hundreds_of_jobs(seed: int, weeks: int, limit: int) -> None:
    judged(wishes_of(seed, 450, weeks), WEEKEND, limit)

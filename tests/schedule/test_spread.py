"""Jobs on garden days under a limit, against an exact solver (HiGHS by scipy's ``milp``) on small random cases."""

from __future__ import annotations

import random
from collections import Counter
from datetime import date, timedelta

import pytest
from calgen.schedule.spread import Wish, garden_days, spread

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

"""A job keeps its key while dates move: frost dates, garden days, the chart's first month, the turn of the year."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk_of
from calgen.planner.model import BedPlan, Plan, Timed
from calgen.schedule.job import jobs
from calgen.schedule.job_day import garden_day, job_days
from msgspec.structs import replace

if TYPE_CHECKING:
    from calgen.command.load import Desk
    from calgen.schedule.model import Job

SITE = """site: Test
latitude: {latitude}
frost: {{last: {last}, first: {first}}}
winter-low: -6
warmest-month: 17
garden-days: [{days}]
chart-starts: {starts}
beds:
  Long bed:
    size: 1.2 x 6 m
    order:
      - crop: potato
        planted: {planted}
        cleared: {cleared}
      - cover: cereal rye
        sown: {sown}
      - crop: lettuce
      - crop: kale
"""
NORTH = {"latitude": 52.4, "last": "28 April", "first": "19 October", "days": "Sat, Sun", "starts": "September 2026",
         "planted": "2026-05-01", "cleared": "2026-09-18", "sown": "2026-09-20"}
SOUTH = {"latitude": -41.4, "last": "8 October", "first": "6 May", "days": "Sat, Sun", "starts": "March 2027",
         "planted": "2026-11-01", "cleared": "2027-03-18", "sown": "2027-03-20"}


def desk(**given: object) -> Desk:
    return desk_of(SITE.format(**given).encode(), Path("plot.yaml"))


def keyed(found: Desk) -> dict[str, Job]:
    return {job.key: job for job in found.schedule(found.plan.start).jobs}


@pytest.mark.parametrize(("place", "other"), [
    (NORTH, {"last": "9 May"}), (NORTH, {"last": "12 April"}),
    (NORTH, {"days": "Wed"}),
    (SOUTH, {"last": "20 October"}), (SOUTH, {"first": "20 April"}), (SOUTH, {"days": "Mon"}),
])
def test_moved_dates_keep_the_keys(place: dict[str, object], other: dict[str, object]) -> None:
    before, after = keyed(desk(**place)), keyed(desk(**{**place, **other}))
    assert len(before) >= 8
    kept = {key for key in before if "top-up" not in key and "order-seed" not in key}
    assert kept <= {*after, *(key for key in kept if before[key].on >= desk(**place).plan.end - timedelta(30))}
    assert any(before[key].on != after[key].on for key in kept & set(after))


@pytest.mark.parametrize(("place", "starts"), [(NORTH, "October 2026"), (NORTH, "January 2027"), (SOUTH, "April 2027"),
                                               (SOUTH, "July 2027")])
def test_a_chart_that_starts_later_keeps_keys_and_days(place: dict[str, object], starts: str) -> None:
    before, later = keyed(desk(**place)), desk(**{**place, "starts": starts})
    after = keyed(later)
    still = {key: job for key, job in before.items() if job.on >= later.plan.start}
    assert still
    for key, job in still.items():
        assert after[key].on == job.on, key


@pytest.mark.parametrize(("south", "before", "after"), [
    (True, date(2026, 12, 30), date(2027, 1, 3)),    # midsummer: one season, one key
    (False, date(2027, 6, 29), date(2027, 7, 4)),
])
def test_a_task_that_moves_over_midsummer_keeps_its_key(south: bool, before: date, after: date) -> None:
    found = desk(**(SOUTH if south else NORTH))

    def key(day: date) -> str:
        timed = Timed("clear", ("lettuce",), day, day, day + timedelta(7), ())
        bed = BedPlan(found.site.beds[0], (), (timed,), (), ())
        plan = Plan(found.site, date(2026, 6, 1), date(2028, 8, 1), (bed,), ())
        (job,) = jobs(plan, job_days(plan), found.speaker)
        return job.key

    assert key(before) == key(after)
    assert key(before) != key(before + timedelta(365))


def test_two_sowings_of_one_crop_in_a_year_have_two_keys() -> None:
    found = desk(**NORTH)
    days = (date(2027, 4, 10), date(2027, 7, 10))
    tasks = tuple(Timed("sow", ("lettuce",), day, day, day + timedelta(7), (), {"crop": "lettuce"}) for day in days)
    plan = replace(found.plan, beds=(BedPlan(found.site.beds[0], (), tasks, (), ()),))
    keys = [job.key for job in jobs(plan, job_days(plan), found.speaker)]
    assert len(set(keys)) == 2


# 1 January 2027 is a Friday
@pytest.mark.parametrize(("first", "best", "last", "days", "on"), [
    ((2026, 12, 28), (2026, 12, 31), (2027, 1, 6), (5, 6), (2027, 1, 2)),     # over New Year to the Saturday
    ((2026, 12, 20), (2026, 12, 31), (2027, 1, 1), (5, 6), (2026, 12, 27)),   # the Saturday after is too late
    ((2026, 12, 31), (2026, 12, 31), (2027, 1, 1), (5, 6), (2026, 12, 31)),   # none in the window: the best day
    ((2028, 2, 25), (2028, 2, 28), (2028, 3, 5), (1,), (2028, 2, 29)),        # leap day, a Tuesday
    ((2026, 12, 1), (2026, 12, 9), (2026, 12, 31), (), (2026, 12, 9)),        # no garden days
    ((2026, 12, 5), (2026, 12, 9), (2026, 12, 12), (5,), (2026, 12, 12)),     # the last day still counts
    ((2026, 12, 5), (2026, 12, 9), (2026, 12, 11), (5,), (2026, 12, 5)),      # and so does the first
])
def test_a_job_goes_on_the_nearest_garden_day_of_its_window(first: tuple[int, int, int], best: tuple[int, int, int],
                                                            last: tuple[int, int, int], days: tuple[int, ...],
                                                            on: tuple[int, int, int]) -> None:
    assert garden_day(date(*first), date(*best), date(*last), days) == date(*on)


def test_no_job_moves_to_a_garden_day_before_the_chart() -> None:
    found = desk(**{**NORTH, "days": "Mon"})  # 1 September 2026 is a Tuesday; the Monday before lies nearest
    timed = Timed("clear", ("lettuce",), date(2026, 8, 20), date(2026, 9, 1), date(2026, 9, 20), ())
    plan = replace(found.plan, beds=(BedPlan(found.site.beds[0], (), (timed,), (), ()),))
    (job,) = jobs(plan, job_days(plan), found.speaker)
    assert job.on == date(2026, 9, 7)


def test_seed_to_order_is_what_all_beds_need_and_a_tenth_more() -> None:
    found = desk(**NORTH)
    sown = sum(timed.seed_g.get("cereal-rye", 0) for timed in found.plan.beds[0].tasks if timed.kind == "sow")
    (line,) = [line for line in found.schedule(date(2026, 9, 1)).seeds if line.plant == "cereal-rye"]
    assert sown > 0
    assert line.grams == pytest.approx(sown * 1.1, abs=0.1)
    assert line.by == date(2026, 9, 20)

"""The garden day of every job: near its best day, within its window, in its bed's order, and not too many a day."""

from __future__ import annotations

import itertools
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from calgen.planner.task import lifted_by
from calgen.schedule.spread import Wish, spread

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from calgen.planner.model import BedPlan, Plan, Timed

DAY: Final = timedelta(1)
SOWN: Final = ("sow", "undersow", "drill")
LOOK_BEFORE_TOP_UP: Final = timedelta(3)
"""Seed for the gaps is sown some days after they were seen. Judgement."""
KEPT_OF_DISTANCE: Final = 2 / 3
"""Two jobs on one plant keep this share of their distance (sowing and looking, say). Judgement."""


class JobDays(Struct, frozen=True):
    """Days by bed and task (both by place in the plan), and how many jobs lie on each day that holds too many."""

    days: Mapping[tuple[int, int], date]
    crowded: Mapping[date, int]


def garden_day(first: date, best: date, last: date, days: tuple[int, ...]) -> date:
    """The grower's garden day within [first, last] that lies nearest to the best day; the best day when there is none.

    Args:
        days: weekdays, Monday 0.
    """
    reach = max((best - first).days, (last - best).days, 0)
    for distance in range(min(reach, 6) + 1):
        for day in (best + distance * DAY, best - distance * DAY):
            if day.weekday() in days and first <= day <= last:
                return day
    return best


def followed(plan: Plan) -> Plan:
    """The plan with each look and topping up counted from the garden day of its sowing, topping up after the look.

    The look under a tarp counts from the cutting. A topping up for which no day is left goes: then gaps are mulched.
    """
    return replace(plan, beds=tuple(replace(bed, tasks=tuple(_followed(bed, plan))) for bed in plan.beds))


def _followed(bed: BedPlan, plan: Plan) -> Iterator[Timed]:
    shifts: dict[tuple[bool, tuple[str, ...]], timedelta] = {}
    looked: dict[tuple[str, ...], date] = {}
    for timed in bed.tasks:
        if timed.kind in (*SOWN, "cut-down"):
            on = garden_day(_first(timed, plan), timed.best, timed.last, plan.site.garden_days)
            shifts[timed.kind == "cut-down", timed.plants] = on - timed.best
        if timed.kind not in ("look", "top-up") or timed.done:
            yield timed
            continue
        tarped = "tarp" in timed.facts
        shift = shifts.get((tarped, timed.plants), timedelta(0))
        if tarped:
            yield lifted_by(replace(timed, first=timed.first + shift, best=timed.best + shift, last=timed.last + shift))
            continue
        first, best = timed.first + shift, timed.best + shift
        last = timed.last + shift if timed.kind == "look" else timed.last
        if timed.kind == "look":
            looked[timed.plants] = garden_day(first, best, last, plan.site.garden_days)
        elif timed.plants in looked:
            first = max(first, looked[timed.plants] + LOOK_BEFORE_TOP_UP)
            best = max(best, first)
        if first <= last:
            yield replace(timed, first=first, best=min(best, last), last=last)


def job_days(plan: Plan) -> JobDays:
    """A day for every task of a plan.

    Without a limit of jobs a day each task has the garden day nearest to its best one. With a limit, tasks are moved
    within their windows; those that are done, fall outside the chart or only replace another (mulch where a sowing
    was missed) do not count.
    """
    site = plan.site
    days = {(number, place): garden_day(_first(timed, plan), timed.best, timed.last, site.garden_days)
            for number, bed in enumerate(plan.beds) for place, timed in enumerate(bed.tasks)}
    if site.jobs_per_day is None:
        return JobDays(days, {})
    wishes: dict[tuple[int, int], Wish] = {}
    for number, bed in enumerate(plan.beds):
        own = {place: days[number, place] for place, timed in enumerate(bed.tasks)
               if _counts(timed) and plan.start <= days[number, place] < plan.end}
        wishes.update({(number, place): wish for place, wish in _wishes(bed, own, plan).items()})
    found, _left = spread(tuple(wishes.values()), site.garden_days, site.jobs_per_day)
    days.update(zip(wishes, found, strict=True))
    load: dict[date, int] = {}
    for key in wishes:
        load[days[key]] = load.get(days[key], 0) + 1
    return JobDays(days, {day: count for day, count in sorted(load.items()) if count > site.jobs_per_day})


def _first(timed: Timed, plan: Plan) -> date:
    """No task of the chart moves to a garden day before it, where nobody would see it."""
    return max(timed.first, plan.start) if timed.best >= plan.start else timed.first


def _counts(timed: Timed) -> bool:
    return not timed.done and "fallback" not in timed.facts


def _wishes(bed: BedPlan, own: Mapping[int, date], plan: Plan) -> dict[int, Wish]:
    """Windows cut so that whatever day each task takes, the bed's tasks keep their order and their waits."""
    order = sorted(own, key=lambda place: (own[place], place))
    first = {place: max(min(bed.tasks[place].first, own[place]), plan.start) for place in order}
    last = {place: min(max(bed.tasks[place].last, own[place]), plan.end - DAY) for place in order}
    for before, after in itertools.pairwise(order):
        wait = _wait(bed.tasks[before], bed.tasks[after], (own[after] - own[before]).days)
        last[before] = max(own[before], min(last[before], own[after] - wait))
        first[after] = min(own[after], max(first[after], last[before] + wait))
    return {place: Wish(own[place], first[place], last[place]) for place in order}


def _wait(before: Timed, after: Timed, distance: int) -> timedelta:
    """The least time between two tasks that follow each other in a bed."""
    wait = 0
    if set(before.plants) & set(after.plants):
        wait = round(KEPT_OF_DISTANCE * distance)
    elif before.kind == "cut-down":
        low = before.facts.get("wait_low")
        wait = min(distance, low if isinstance(low, int) else distance)
    return wait * DAY

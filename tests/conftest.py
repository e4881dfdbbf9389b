"""Shared vocabulary of the tests: jobs and schedules of an invented garden."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import hypothesis
import pytest
from calgen.schedule.memory import remembered
from calgen.schedule.model import BedSchedule, Job, Label, Note, Schedule, Span
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable

# one and the same set of examples on every machine that builds; at a desk new ones are tried each time
hypothesis.settings.register_profile("build", derandomize=True, deadline=None)
hypothesis.settings.register_profile("desk", deadline=None)
hypothesis.settings.load_profile("build" if os.environ.get("CI") else "desk")


def job(key: str, on: date, **other: Any) -> Job:
    """A sowing job in the Long bed on a day, its window two weeks long, unless told otherwise."""
    facts: dict[str, Any] = {
        "key": key, "uid": "", "bed": "Long bed", "kind": "sow", "plants": ("rye",), "on": on, "first": on,
        "last": on + timedelta(days=14), "latest": on + timedelta(days=21), "slack_days": 14,
        "title": "Sow rye – Long bed", "text": "Sow rye broadcast and rake in.", "why": "After the sweet corn.",
    }
    return Job(**{**facts, **other})


def schedule(*jobs: Job, **other: Any) -> Schedule:
    """A schedule of one bed for the year from September 2026, without any memory."""
    facts: dict[str, Any] = {
        "site": "Tern Hill plots", "stem": "tern-hill", "language": "en", "units": "metric", "made": date(2026, 9, 1),
        "start": date(2026, 9, 1), "end": date(2027, 9, 1),
        "beds": (BedSchedule("Long bed", "L", "clay", (
            Span("crop", ("sweet-corn",), Label("Sweet corn", "Corn", "SC"), date(2026, 9, 1), date(2026, 9, 26)),
            Span("cover", ("rye", "vetch"), Label("Rye and vetch", "Rye", "RV"), date(2026, 9, 26), date(2027, 4, 20)),
        )),),
        "jobs": jobs, "last_frosts": (), "first_frosts": (), "daylength_h": (), "ten_hour": (), "climate_words": (),
        "seeds": (), "windows": (), "notes": (Note("note", "Long bed", "The window is short."),),
        "inputs": {"frost": {"last": "28 April", "first": "19 October"}, "caution": "1 in 5"},
    }
    return Schedule(**{**facts, **other})


def garden_jobs() -> tuple[Job, ...]:
    """A year of jobs of every kind, with texts that calendars trip over."""
    sow = job(
        "long/1/sow", date(2026, 9, 26), last=date(2026, 10, 10), latest=date(2026, 10, 17), last_call=True,
        plants=("rye", "vetch"), title="Sow rye and vetch – Long bed", seed_g={"rye": 110.0, "vetch": 36.5},
        text="Sow rye and vetch in drills 15 cm apart, 3 cm deep; firm, water.", quantity="110 g rye, 36.5 g vetch",
        how="In drills; rake level, then tread.", next_step="Look for bare patches from 5 October.",
        caution="Vetch seed is not for eating; keep it from children and animals.",
    )
    return (
        job("order", date(2026, 9, 5), kind="order-seed", title="Order seed – all beds", bed="all beds",
            last=date(2026, 9, 12), latest=date(2026, 9, 12)),
        sow,
        job("long/1/look", date(2026, 10, 10), kind="look", title="Look over rye and vetch – Long bed",
            last=date(2026, 10, 16), latest=date(2026, 10, 17)),
        job("long/1/top-up", date(2026, 10, 10), kind="top-up", title="Top up bare patches – Long bed",
            last=date(2026, 10, 17), latest=date(2026, 10, 17)),
        job("apple/1/under", date(2026, 9, 5), kind="undersow", bed="Under the apple; north, wet",
            title="Undersow white clover – Under the apple; north, wet",
            why="Es grünt so grün — «früh genug» vor dem Frost, \\n sagt Öykü 🌱 žluťoučký kůň, 白クローバー."),
        job("leek/1/drill", date(2026, 9, 19), kind="drill", title="Drill field beans between leek rows – Bed 3"),
        job("long/2/mulch", date(2026, 10, 18), kind="mulch", title="Mulch – Long bed", last=date(2026, 10, 18),
            latest=date(2026, 10, 18)),
        job("long/2/indoors", date(2027, 3, 20), kind="sow-indoors", title="Sow tomato indoors – Long bed"),
        job("long/1/cut", date(2027, 4, 17), kind="cut-down", title="Cut down rye and vetch – Long bed",
            last=date(2027, 4, 24), latest=date(2027, 4, 24), caution="Gloves and shears; look for nests first."),
        job("long/2/harden", date(2027, 5, 8), kind="harden-off", title="Harden off tomato – Long bed",
            last=date(2027, 5, 14), latest=date(2027, 5, 20)),
        job("long/2/plant", date(2027, 5, 15), kind="plant", title="Plant tomato – Long bed"),
        job("long/2/seed", date(2027, 7, 24), kind="gather-seed", title="Gather phacelia seed – Long bed"),
        job("long/2/clear", date(2027, 8, 28), kind="clear", title="Clear tomato – Long bed"),
    )


@pytest.fixture
def new_job() -> Callable[..., Job]:
    return job


@pytest.fixture
def new_schedule() -> Callable[..., Schedule]:
    return schedule


@pytest.fixture
def garden() -> Schedule:
    """A year's schedule with jobs of every kind, not yet remembered."""
    return schedule(*garden_jobs())


@pytest.fixture
def garden_year(garden: Schedule) -> Schedule:
    """The same as built for the first time on 1 September 2026."""
    return remembered(garden, None, datetime(2026, 9, 1, tzinfo=UTC))[0]


@pytest.fixture
def edited_year(garden: Schedule) -> Callable[..., Schedule]:
    """The schedule after later builds, each a day and the jobs of that day: ``edited_year((day, jobs), ...)``."""
    from calgen.render.plan_json import plan_json, read_plan_json

    def build(*builds: tuple[date, tuple[Job, ...]], **other: Any) -> Schedule:
        first = replace(garden, **other)
        made = remembered(first, None, datetime(2026, 9, 1, tzinfo=UTC))[0]
        for day, jobs in builds:
            previous = read_plan_json(plan_json(made), "plan.json")
            now = datetime(day.year, day.month, day.day, tzinfo=UTC)
            made = remembered(replace(first, made=day, jobs=jobs), previous, now)[0]
        return made

    return build

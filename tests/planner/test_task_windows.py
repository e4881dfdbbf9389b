"""Tasks and their windows, from small hand-made stands: what is fixed is one day, what is open has its window."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from calgen.planner import task
from calgen.planner.model import Reason
from calgen.planner.stand import Stand, Start
from calgen.problems import Place
from calgen.site.model import CropStep, Size

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.command.load import Desk
    from calgen.knowledge.model import Knowledge

    Garden = Callable[..., Desk]

HERE = Place("plot.yaml")


@pytest.fixture(scope="module")
def knowledge(garden: Garden) -> Knowledge:
    return garden("- crop: leek").knowledge


def stand_of(knowledge: Knowledge, plant: str, start: Start, sown: date | None = None) -> Stand:
    return Stand(CropStep(plant, HERE, sown=sown), knowledge.crops[plant], start, ready=date(2027, 8, 1),
                 end_first=date(2027, 9, 1), end=date(2027, 10, 1), end_fixed=False)


def planted(first: date, best: date, last: date) -> Start:
    return Start("transplant", first, best, last, "spring", None)


def test_sowing_indoors_and_hardening_off_come_before_planting_out(knowledge: Knowledge) -> None:
    start = planted(date(2027, 5, 20), date(2027, 5, 28), date(2027, 6, 20))
    indoors, harden, plant = task.crop_start_tasks(stand_of(knowledge, "tomato", start), knowledge)
    weeks = knowledge.crops["tomato"].indoors_weeks
    assert weeks
    assert indoors.best == date(2027, 5, 28) - timedelta(round(weeks.mid * 7))
    assert indoors.last == date(2027, 6, 20) - timedelta(round(weeks.low * 7))
    # one to two weeks of days out and nights in: common practice
    assert harden.first == date(2027, 5, 14)
    assert harden.last == date(2027, 5, 21)
    assert (plant.first, plant.best, plant.last) == (date(2027, 5, 20), date(2027, 5, 28), date(2027, 6, 20))
    assert indoors.last < plant.last


def test_sowing_indoors_for_an_early_planting_falls_in_the_year_before(knowledge: Knowledge) -> None:
    start = planted(date(2027, 2, 1), date(2027, 2, 5), date(2027, 3, 1))
    indoors, _harden, _plant = task.crop_start_tasks(stand_of(knowledge, "leek", start), knowledge)
    assert indoors.best.year == 2026
    assert indoors.first <= indoors.best <= indoors.last


def test_a_sowing_that_was_made_is_one_day(knowledge: Knowledge) -> None:
    start = planted(date(2027, 5, 28), date(2027, 5, 28), date(2027, 5, 28))
    indoors = task.crop_start_tasks(stand_of(knowledge, "tomato", start, sown=date(2027, 3, 30)), knowledge)[0]
    assert indoors.first == indoors.best == indoors.last == date(2027, 3, 30)


@pytest.mark.parametrize(("until", "best", "last"), [
    (date(2027, 12, 24), date(2027, 10, 1), date(2027, 10, 29)),   # nothing presses: within four weeks of the end
    (date(2027, 10, 10), date(2027, 10, 1), date(2027, 10, 10)),   # what follows presses
    (date(2027, 9, 20), date(2027, 9, 20), date(2027, 9, 20)),     # it goes early
])
def test_clearing_ends_when_what_follows_needs_the_ground(knowledge: Knowledge, until: date, best: date,
                                                          last: date) -> None:
    grown = stand_of(knowledge, "tomato", planted(date(2027, 5, 1), date(2027, 5, 1), date(2027, 5, 1)))
    timed = task.clear_task(grown, until, "crop", ("kale",), until)
    assert (timed.best, timed.last) == (best, last)
    assert timed.first <= timed.best


def test_a_mulch_is_area_times_depth(knowledge: Knowledge) -> None:
    straw = knowledge.mulches["straw"]
    # a square metre under a millimetre is a litre
    facts = task.mulch_facts(straw, Size(area_m2=5.0))
    assert facts["litres_low"] == pytest.approx(5.0 * straw.depth_mm.low)
    assert facts["litres_high"] == pytest.approx(5.0 * straw.depth_mm.high)
    timed = task.mulch_task(straw, Size(area_m2=5.0), date(2026, 12, 28), date(2027, 1, 11), (Reason("mulch-own"),))
    assert (timed.first, timed.last) == (date(2026, 12, 28), date(2027, 1, 11))


def test_the_fallback_begins_the_day_after_the_last_safe_sowing(garden: Garden) -> None:
    desk = garden("- crop: potato\n  planted: 2026-05-01\n  cleared: 2026-09-05\n- cover: choose\n- crop: tomato")
    tasks = desk.plan.beds[0].tasks
    sow = next(timed for timed in tasks if timed.kind == "sow" and timed.seed_g)
    fallback = next(timed for timed in tasks if "fallback" in timed.facts)
    assert fallback.first == sow.last + timedelta(1)
    looks = [timed for timed in tasks if timed.kind == "look"]
    # about 7 to 14 days after sowing: common practice
    assert [(look.first - sow.best).days for look in looks] == [7]
    assert [(look.last - sow.best).days for look in looks] == [14]
    for top_up in (timed for timed in tasks if timed.kind == "top-up"):
        assert looks[0].first < top_up.first
        assert all(grams <= sow.seed_g[plant] for plant, grams in top_up.seed_g.items())


@pytest.mark.parametrize("day", ["Mon", "Wed", "Sat"])
def test_what_ends_an_order_is_cleared_on_the_garden_day_on_which_its_mulch_is_laid(garden: Garden, day: str) -> None:
    found = garden("- crop: pea\n  sown: 2027-03-10", more=f"garden-days: [{day}]\n").schedule(date(2026, 9, 1)).jobs
    (cleared,) = [job for job in found if job.kind == "clear"]
    (mulched,) = [job for job in found if job.kind == "mulch"]
    assert cleared.on == mulched.on
    assert f"{cleared.on:%a}" == day


def test_a_crop_cleared_weeks_before_its_cover_makes_way_for_mulch(garden: Garden) -> None:
    """Peas are over in July, rape is sown in late August: no day in between is the last on which it can be sown."""
    desk = garden("- crop: pea\n  sown: 2027-03-10\n- cover: cereal rye\n- crop: leek")
    tasks = desk.plan.beds[0].tasks
    (cleared,) = [timed for timed in tasks if timed.kind == "clear"]
    mulched = next(timed for timed in tasks if timed.kind == "mulch" and "fallback" not in timed.facts)
    sown = next(timed for timed in tasks if timed.kind == "sow" and "cereal-rye" in timed.plants)
    assert sown.best - cleared.best > timedelta(14)
    assert cleared.why[0].key == "clear-for-mulch"
    assert cleared.first == mulched.first
    assert cleared.last <= mulched.last


@pytest.mark.parametrize(("cleared", "safe"), [("2026-08-25", True), ("2026-10-12", False)])
def test_only_a_sowing_within_its_safe_time_has_a_last_safe_day(garden: Garden, cleared: str, *, safe: bool) -> None:
    """Where the bed card says that the last safe sowing is past, the job must not name another last safe day."""
    desk = garden(f"- crop: bush bean\n  sown: 2026-05-25\n  cleared: {cleared}\n- cover: tillage radish\n- crop: pea")
    bed = desk.plan.beds[0]
    sown = next(timed for timed in bed.tasks if timed.kind == "sow" and "crop" not in timed.facts)
    past = any(reason.key.startswith("past-safe") for reason in sown.why)
    assert sown.frost_closes is safe
    assert past is not safe

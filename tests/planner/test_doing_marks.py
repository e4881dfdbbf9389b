"""Which task a doing of the diary fulfils, and on which day it then stands."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from calgen.planner.doing import TASKS_OF, with_doings
from calgen.planner.model import Timed
from calgen.problems import Place
from calgen.site.model import DOINGS, Doing

DAY = date(2026, 9, 12)


def task(kind: str, best: date = DAY, plants: tuple[str, ...] = ("oats",), **facts: Any) -> Timed:
    return Timed(kind, plants, best - timedelta(5), best, best + timedelta(20), (), facts)


def doing(done: str, on: date = DAY, *plants: str) -> Doing:
    return Doing(on, "Long bed", done, plants, "", Place("x"))


def marked(tasks: list[Timed], *diary: Doing) -> list[tuple[str, date]]:
    return [(timed.kind, timed.best) for timed in with_doings(tasks, diary) if timed.done]


def test_every_doing_has_its_tasks() -> None:
    assert set(TASKS_OF) == set(DOINGS)


def test_the_real_day_takes_the_place_of_the_window() -> None:
    on = DAY + timedelta(9)
    done, look = with_doings([task("sow"), task("look")], [doing("sown", on, "oats")])
    assert (done.done, done.first, done.best, done.last) == (True, on, on, on)
    assert not look.done


def test_the_nearest_of_two_is_marked_and_each_once() -> None:
    tasks = [task("look", DAY), task("look", DAY + timedelta(60))]
    assert marked(tasks, doing("looked", DAY + timedelta(50))) == [("look", DAY + timedelta(50))]
    assert len(marked(tasks, doing("looked"), doing("looked", DAY + timedelta(55)))) == 2


def test_other_plants_and_other_seasons_stay_open() -> None:
    assert not marked([task("sow")], doing("sown", DAY, "phacelia"))
    assert not marked([task("sow", DAY + timedelta(300))], doing("sown", DAY, "oats"))


def test_a_cover_sown_takes_its_fallback_away() -> None:
    tasks = [task("sow"), task("mulch", DAY + timedelta(21), ("straw",), fallback="yes", covers=("oats",))]
    assert [timed.kind for timed in with_doings(tasks, [doing("sown", DAY, "oats")])] == ["sow"]


def test_a_failed_sowing_marks_nothing_that_is_still_to_do() -> None:
    again = task("sow", DAY + timedelta(20), ("phacelia",))
    assert not marked([again], doing("sown", DAY), doing("failed", DAY + timedelta(18)))
    assert not marked([again], doing("sown", DAY, "oats"), doing("failed", DAY + timedelta(18), "oats"))
    assert marked([again], doing("sown", DAY), doing("failed", DAY + timedelta(18)),
                  doing("sown", DAY + timedelta(20), "phacelia"))

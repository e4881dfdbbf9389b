"""A bed holds one thing at a time: what the grower wrote stands, what was planned around it gives way."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from calgen.knowledge.names import plant_names
from calgen.planner.plan import plan
from calgen.problems import InputError
from calgen.site.diary import read_diary, with_diary
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.command.load import Desk
    from calgen.planner.model import BedPlan, Piece

    Garden = Callable[..., Desk]


def main_lane(bed: BedPlan) -> list[Piece]:
    return sorted((piece for piece in bed.pieces if piece.lane == "main"), key=lambda piece: piece.start)


def check_lane(desk: Desk) -> None:
    for bed in desk.plan.beds:
        lane = main_lane(bed)
        assert all(piece.start < piece.to for piece in lane)
        assert all(before.to == after.start for before, after in pairwise(lane)), bed.bed.order
        assert lane[0].start <= desk.plan.start
        assert lane[-1].to >= desk.plan.end
        assert all(timed.first <= timed.best <= timed.last for timed in bed.tasks)


def keys(desk: Desk) -> list[str]:
    return [note.reason.key for note in desk.plan.notes]


def test_a_cover_sown_before_the_crop_was_to_go_ends_the_crop(garden: Garden) -> None:
    desk = garden("- crop: lettuce\n  planted: 2026-07-20\n- cover: white mustard\n  sown: 2026-09-05\n- crop: tomato")
    lane = main_lane(desk.plan.beds[0])
    check_lane(desk)
    assert [piece.plants for piece in lane[:2]] == [("lettuce",), ("white-mustard",)]
    assert lane[0].to == lane[1].start == date(2026, 9, 5)


def test_a_crop_planted_early_pushes_out_what_was_planned_before_it(garden: Garden) -> None:
    desk = garden("- crop: leek\n  planted: 2026-06-20\n- cover: choose\n- crop: sweet corn\n"
                  "- crop: kale\n  planted: 2027-04-20")
    check_lane(desk)
    lane = main_lane(desk.plan.beds[0])
    kale = next(piece for piece in lane if piece.plants == ("kale",))
    assert kale.start == date(2027, 4, 20)
    assert not any(piece.plants == ("sweet-corn",) for piece in lane)
    assert "note-falls-out" in keys(desk)
    assert not any("sweet-corn" in timed.plants for timed in desk.plan.beds[0].tasks)


def test_a_mulch_for_which_there_is_no_gap_is_told_and_not_laid(garden: Garden) -> None:
    desk = garden("- crop: broad bean\n  sown: 2027-03-10\n  cleared: 2027-07-04\n- mulch: straw\n"
                  "- crop: kale\n  planted: 2027-07-05")
    check_lane(desk)
    assert any(piece.plants == ("straw",) for piece in main_lane(desk.plan.beds[0]))
    none = garden("- crop: broad bean\n  sown: 2027-03-10\n  cleared: 2027-07-05\n- mulch: straw\n"
                  "- crop: kale\n  planted: 2027-07-05")
    check_lane(none)
    assert "note-mulch-no-gap" in keys(none)
    assert not any(timed.kind == "mulch" for timed in none.plan.beds[0].tasks)


def test_what_follows_a_sown_cover_starts_after_it(garden: Garden) -> None:
    desk = garden("- crop: leek\n  planted: 2026-06-20\n  cleared: 2027-01-07\n- cover: phacelia\n  sown: 2027-04-10\n"
                  "- crop: lettuce\n- crop: kale")
    check_lane(desk)
    lettuce = next(piece for piece in main_lane(desk.plan.beds[0]) if piece.plants == ("lettuce",))
    assert lettuce.start > date(2027, 4, 10)


def test_a_cover_sown_where_a_crop_was_still_to_come_takes_its_place(garden: Garden) -> None:
    desk = garden("- crop: lettuce\n  planted: 2026-08-25\n- crop: kale\n- cover: white mustard\n  sown: 2026-09-20\n"
                  "- crop: French bean")
    check_lane(desk)
    assert [piece.plants for piece in main_lane(desk.plan.beds[0])][:2] == [("lettuce",), ("white-mustard",)]
    assert "note-falls-out" in keys(desk)


def test_nothing_is_planned_for_the_days_before_the_chart(garden: Garden) -> None:
    desk = garden("- crop: lettuce\n  planted: 2026-05-09\n  cleared: 2026-08-10\n- cover: choose\n- crop: tomato")
    check_lane(desk)
    cover = next(piece for piece in desk.plan.beds[0].pieces if piece.kind in ("cover", "mulch"))
    assert cover.start >= desk.plan.start == date(2026, 9, 1)
    (sow,) = [job for job in desk.schedule(date(2026, 9, 1)).jobs if job.kind == "sow" and "tomato" not in job.plants]
    assert sow.on >= date(2026, 9, 1)


def test_what_was_sown_before_the_chart_stays_where_it_was(garden: Garden) -> None:
    desk = garden("- crop: lettuce\n  planted: 2026-05-09\n  cleared: 2026-08-10\n- cover: white mustard\n"
                  "  sown: 2026-08-12\n- crop: tomato")
    check_lane(desk)
    cover = next(piece for piece in desk.plan.beds[0].pieces if piece.plants == ("white-mustard",))
    assert cover.start == date(2026, 8, 12)


def test_an_early_end_cuts_the_crop_that_stands_and_says_so(garden: Garden) -> None:
    desk = garden("- crop: leek\n  planted: 2026-08-20\n- crop: lettuce\n  planted: 2026-10-01")
    check_lane(desk)
    assert "note-overlap-unready" in keys(desk)
    assert main_lane(desk.plan.beds[0])[0].to == date(2026, 10, 1)


CROPS = ("leek", "tomato", "kale", "garlic", "carrot", "lettuce", "potato-maincrop", "sweet-corn", "spinach", "rhubarb")
COVERS = ("choose", "choose", "cereal rye", "white mustard", "crimson clover", "buckwheat", "[oats, common vetch]")


@st.composite
def orders(draw: st.DrawFn) -> str:
    lines = []
    if draw(st.booleans()):
        lines.append(f"- crop: {draw(st.sampled_from(CROPS))}\n  planted: 2026-0{draw(st.integers(4, 7))}-10")
    day = date(2026, 9, 1)
    for _ in range(draw(st.integers(1, 4))):
        day = date.fromordinal(day.toordinal() + draw(st.integers(5, 150)))
        kind = draw(st.sampled_from(("crop", "crop", "cover", "mulch")))
        dated = draw(st.integers(0, 3)) == 0
        if kind == "crop" or not lines or not lines[-1].startswith("- crop"):
            lines.append(f"- crop: {draw(st.sampled_from(CROPS))}" + (f"\n  planted: {day}" if dated else ""))
        elif kind == "cover":
            cover = draw(st.sampled_from(COVERS))
            lines.append(f"- cover: {cover}" + (f"\n  sown: {day}" if dated and cover != "choose" else ""))
        else:
            lines.append("- mulch: straw" + (f"\n  laid: {day}" if dated else ""))
    return "\n".join(lines)


@settings(max_examples=25, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(order=orders(), data=st.data())
def test_no_bed_holds_two_things_on_one_day_whatever_the_order(garden: Garden, places: tuple[str, ...], order: str,
                                                               data: st.DataObject) -> None:
    try:
        desk = garden(order, data.draw(st.sampled_from(places)))
    except InputError:
        return
    check_lane(desk)


@pytest.mark.parametrize("place", ["mild", "cold", "south", "south from January"])
def test_every_job_lies_in_its_window_and_has_a_key_of_its_own(garden: Garden, place: str) -> None:
    desk = garden("- crop: kale\n  planted: 2026-07-10\n- cover: choose\n- crop: tomato\n- cover: choose\n- crop: leek",
                  place)
    check_lane(desk)
    jobs = desk.schedule(desk.plan.start).jobs
    assert jobs
    assert len({job.key for job in jobs}) == len(jobs)
    for job in jobs:
        assert job.first <= job.on <= job.last
        assert desk.plan.start <= job.on < desk.plan.end


def test_ground_between_two_crops_is_mulched_and_told_not_left_bare(garden: Garden) -> None:
    """Bare soil loses what it holds: a cover or a mulch on every bed, as README promises."""
    order = "- crop: cucumber\n  planted: 2026-06-01\n  cleared: 2026-09-05\n- crop: garlic\n"
    desk = garden(order)
    check_lane(desk)
    lane = main_lane(desk.plan.beds[0])
    assert [piece.plants for piece in lane[:3]] == [("cucumber",), ("straw",), ("garlic",)]
    assert lane[1].start == date(2026, 9, 5)
    assert "note-mulched-between" in keys(desk)
    assert "note-bare" not in keys(desk)
    mulched = [timed for timed in desk.plan.beds[0].tasks if timed.kind == "mulch"]
    assert mulched[0].best == date(2026, 9, 5)
    close = garden(order.replace("2026-09-05", "2026-10-05") + "  planted: 2026-10-15\n")
    assert [piece.kind for piece in main_lane(close.plan.beds[0])[:3]] == ["crop", "bare", "crop"]


def test_no_straw_is_put_where_the_diary_says_what_was_done(garden: Garden) -> None:
    desk = garden("- crop: cucumber\n  planted: 2026-06-01\n  cleared: 2026-09-05\n- crop: garlic\n")
    names = plant_names(desk.knowledge)
    diary = b"diary:\n  - {on: 2026-10-20, bed: Long bed, done: planted, plant: [garlic]}\n"
    site = with_diary(desk.site, read_diary(diary, "plot.diary.yaml", desk.site, names))
    bed = plan(site, desk.climate, desk.knowledge).beds[0]
    assert [piece.kind for piece in main_lane(bed)[:3]] == ["crop", "bare", "crop"]
    assert not [timed for timed in bed.tasks if timed.kind == "mulch" and timed.best < date(2026, 10, 20)]


@pytest.mark.parametrize("crop", ["strawberry", "rhubarb", "asparagus"])
def test_a_perennial_that_nothing_follows_stands_on_and_is_not_mulched_over(garden: Garden, crop: str) -> None:
    """A strawberry bed crops for three or four years: Royal Horticultural Society, from memory; the others longer."""
    desk = garden(f"- crop: {crop}\n  planted: 2025-08-20")
    check_lane(desk)
    assert [piece.plants for piece in main_lane(desk.plan.beds[0])] == [(crop,)]
    assert not [timed for timed in desk.plan.beds[0].tasks if timed.kind in ("mulch", "clear")]
    given = garden(f"- crop: {crop}\n  planted: 2025-08-20\n  cleared: 2027-06-20")
    assert main_lane(given.plan.beds[0])[0].to == date(2027, 6, 20)

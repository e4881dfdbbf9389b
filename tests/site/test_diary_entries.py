"""The diary: entries read and written, faults with their place, and orders as the doings leave them."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest
from calgen.knowledge.names import plant_names
from calgen.knowledge.read import read_knowledge
from calgen.problems import InputError, Place
from calgen.site.diary import diary_line, read_diary, with_diary
from calgen.site.model import DOINGS, CoverStep, CropStep, Doing, MulchStep
from calgen.site.read import read_site
from hypothesis import given
from hypothesis import strategies as st

if TYPE_CHECKING:
    from calgen.site.model import Site, Step

NAMES = plant_names(read_knowledge())
SITE = """\
site: Rook Lane
latitude: 52.4
frost: {last: 28 April, first: 19 October}
chart-starts: September 2026
beds:
  "Long bed":
    size: 1 x 5 m
    order:
      - {crop: leek, planted: 2026-06-20}
      - cover: choose
      - crop: carrot
      - cover: oats
  "O'Grady's end: no. 2":
    size: 1 x 5 m
    order: [{crop: tomato, planted: 2026-05-30}, {mulch: straw}, {crop: tomato}]
"""


def site() -> Site:
    return read_site(SITE.encode(), "rook.yaml", NAMES)


def entries(text: str) -> tuple[Doing, ...]:
    return read_diary(text.encode(), "rook.diary.yaml", site(), NAMES)


def order(text: str, bed: int = 0) -> tuple[Step, ...]:
    return with_diary(site(), entries("diary:\n" + text)).beds[bed].order


@given(st.dates(date(2026, 1, 1), date(2028, 1, 1)), st.sampled_from([bed.name for bed in site().beds]),
       st.sampled_from(DOINGS), st.lists(st.sampled_from(["oats", "hairy-vetch", "white-mustard"]), unique=True),
       st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), max_size=30))
def test_a_line_reads_back_as_the_entry(on: date, bed: str, done: str, plants: list[str], note: str) -> None:
    doing = Doing(on, bed, done, tuple(plants), " ".join(note.split()), Place("x"))
    assert entries("diary:\n" + diary_line(doing)) == (doing,)


@pytest.mark.parametrize("text", ["diary:\n", "diary: []\n", "# nothing yet\ndiary:\n"])
def test_an_empty_diary_is_one(text: str) -> None:
    assert entries(text) == ()


def test_entries_come_in_order_of_date() -> None:
    found = entries("diary:\n  - {on: 2026-10-01, bed: long  BED, done: looked}\n"
                    "  - {on: 2026-09-01, bed: Long bed, done: cleared, plant: leek}\n")
    assert [(doing.on.month, doing.bed, doing.plants) for doing in found] == [
        (9, "Long bed", ("leek",)), (10, "Long bed", ())]


def test_every_fault_has_its_line() -> None:
    with pytest.raises(InputError) as raised:
        entries("diary:\n  - {on: 2026-9-31, bed: Long bed, done: sown}\n"
                "  - {on: 2026-09-12, bed: Longe bed, done: sown}\n"
                "  - {on: 2026-09-12, bed: Long bed, done: sawn}\n"
                "  - {on: 2026-09-12, bed: Long bed, done: sown, plant: otas}\n"
                "  - {on: 2026-09-12, bed: Long bed, done: planted, plant: pumpkin}\n"
                "  - {on: 2026-09-12, done: cut}\n"
                "  - {on: 2026-09-12, bed: Long bed, done: cut, notes: x}\n")
    told = [str(problem).removeprefix("rook.diary.yaml:") for problem in raised.value.problems]
    assert [line.split(":")[0] for line in told] == ["2", "3", "4", "5", "6", "7", "8"]
    words = ("2026-9-31", 'did you mean "Long bed"?', "sown", "otas", 'add "- crop: pumpkin" to it first',
             "the bed is missing", 'did you mean "note"?')
    assert all(word in line for word, line in zip(words, told, strict=True))


def test_a_sowing_names_the_cover_and_its_day() -> None:
    cover = order("  - {on: 2026-09-12, bed: Long bed, done: sown, plant: [oats, common vetch]}\n")[1]
    assert isinstance(cover, CoverStep)
    assert (cover.covers, cover.sown) == (("oats", "common-vetch"), date(2026, 9, 12))


def test_another_cover_than_the_one_named_is_what_stands() -> None:
    steps = order("  - {on: 2026-09-12, bed: Long bed, done: sown, plant: rye}\n"
                  "  - {on: 2027-08-20, bed: Long bed, done: sown, plant: phacelia}\n")
    assert [step.covers for step in steps if isinstance(step, CoverStep)] == [("cereal-rye",), ("phacelia",)]


def test_the_same_cover_sown_again_a_year_later_is_the_next_one() -> None:
    steps = order("  - {on: 2026-09-12, bed: Long bed, done: sown, plant: oats}\n"
                  "  - {on: 2027-08-20, bed: Long bed, done: sown, plant: oats}\n")
    assert [step.sown for step in steps if isinstance(step, CoverStep)] == [date(2026, 9, 12), date(2027, 8, 20)]


def test_a_crop_sown_is_never_taken_for_a_cover() -> None:
    steps = order("  - {on: 2027-04-01, bed: Long bed, done: sown, plant: carrot}\n")
    assert steps[1] == site().beds[0].order[1]
    assert isinstance(steps[2], CropStep)
    assert steps[2].sown == date(2027, 4, 1)


def test_a_failed_sowing_leaves_the_choice_open_without_it() -> None:
    cover = order("  - {on: 2026-09-12, bed: Long bed, done: sown, plant: oats}\n"
                  "  - {on: 2026-10-01, bed: Long bed, done: failed, plant: oats}\n")[1]
    assert isinstance(cover, CoverStep)
    assert (cover.choose, cover.sown, cover.failed, cover.not_before) == (True, None, ("oats",), date(2026, 10, 1))


def test_clearing_planting_and_cutting_put_the_real_day_in() -> None:
    steps = order("  - {on: 2026-10-09, bed: Long bed, done: cleared}\n"
                  "  - {on: 2026-10-10, bed: Long bed, done: sown, plant: oats}\n"
                  "  - {on: 2027-03-01, bed: Long bed, done: cut, plant: oats}\n")
    assert isinstance(steps[0], CropStep)
    assert isinstance(steps[1], CoverStep)
    assert (steps[0].cleared, steps[1].sown, steps[1].cut) == (date(2026, 10, 9), date(2026, 10, 10), date(2027, 3, 1))


def test_the_second_of_two_like_crops_is_planted_a_year_on() -> None:
    text = "  - {on: 2027-05-28, bed: \"O'Grady's end: no. 2\", done: planted, plant: tomato}\n"
    first, mulch, second = order(text, 1)
    assert isinstance(first, CropStep)
    assert isinstance(second, CropStep)
    assert (first.planted, second.planted) == (date(2026, 5, 30), date(2027, 5, 28))
    assert mulch == MulchStep("straw", Place("x"))


def test_mulch_in_place_of_a_cover() -> None:
    laid = order("  - {on: 2026-11-20, bed: Long bed, done: mulched}\n")[1]
    assert isinstance(laid, MulchStep)
    assert laid.laid == date(2026, 11, 20)

"""Family gaps: who comes back too soon, with the years; what is no relative, or far enough back, passes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from calgen.climate.build import climate_of
from calgen.knowledge.names import plant_names
from calgen.knowledge.read import read_knowledge
from calgen.planner.plan import plan
from calgen.site.read import read_site

if TYPE_CHECKING:
    from calgen.planner.model import Finding

KNOWLEDGE = read_knowledge()
NAMES = plant_names(KNOWLEDGE)
SITE = """\
site: Rook Lane
latitude: 52.4
frost: {{last: 28 April, first: 19 October}}
chart-starts: September 2026
beds:
  Long bed:
    size: 1 x 5 m
    grew: {{{grew}}}
    order:
      - crop: {crop}
        {start}
"""


def told(grew: str, crop: str, start: str = "planted: 2027-06-01", key: str = "note-rotation") -> list[Finding]:
    site = read_site(SITE.format(grew=grew, crop=crop, start=start).encode(), "rook.yaml", NAMES)
    bed = plan(site, climate_of(site, None), KNOWLEDGE).beds[0]
    return [note for note in bed.notes if note.reason.key == key]


def test_the_note_names_both_crops_both_years_and_the_gap() -> None:
    (note,) = told("2025: [potato]", "tomato")
    facts = note.reason.facts
    assert (facts["crop"], facts["year"], facts["other"], facts["past"]) == ("tomato", 2027, "potato-maincrop", 2025)
    assert note.place.line == 10
    assert note.reason.sources
    assert (facts["low"], facts["high"]) == (3, 4)


@pytest.mark.parametrize(("grew", "crop"), [
    ("2025: [cabbage]", "kale"),
    ("2025: [onion]", "leek"),
    ("2026: [pea]", "runner bean"),
    ("2025: [carrot]", "parsnip"),
    ("2025: [courgette]", "pumpkin"),
])
def test_relatives_within_their_gap_are_told(grew: str, crop: str) -> None:
    """Common practice: brassicas, alliums and umbellifers 3 to 4 years apart, peas and beans and cucurbits 2 to 3."""
    assert len(told(grew, crop)) == 1


@pytest.mark.parametrize(("grew", "crop"), [
    ("2017: [potato]", "tomato"),
    ("2026: [onion]", "kale"),
    ("2026: [cabbage], 2025: [cabbage]", "courgette"),
    ("2026: [buckwheat, rye]", "tomato"),
])
def test_strangers_and_old_tales_pass(grew: str, crop: str) -> None:
    assert told(grew, crop) == []


def test_the_order_itself_counts_too() -> None:
    found = told("2020: [leek]", "potato", "planted: 2026-04-10\n        cleared: 2026-09-10\n      - crop: tomato")
    assert [note.reason.facts["past"] for note in found] == [2026]


def test_a_crop_that_stands_over_winter_counts_from_the_year_it_comes_in() -> None:
    (note,) = told("2025: [carrot]", "parsnip", "sown: 2027-04-01\n        cleared: 2028-02-20")
    assert (note.reason.facts["year"], note.reason.facts["past"]) == (2027, 2025)


def test_a_crop_that_stood_over_winter_counts_from_the_year_it_left() -> None:
    order = "planted: 2026-06-20\n        cleared: 2027-03-20\n      - crop: onion sets\n        planted: 2029-04-01"
    (note,) = told("2019: [kale]", "leek", order.replace("2029-04-01", "2028-04-01"))
    assert (note.reason.facts["other"], note.reason.facts["past"]) == ("leek", 2027)


def test_perennials_are_no_rotation() -> None:
    assert told("2026: [rhubarb], 2025: [rhubarb]", "rhubarb") == []


@pytest.mark.parametrize(("grew", "crop", "years"), [
    # University of Connecticut: clubroot 7 years, Verticillium of the nightshades 4. Onion white rot 8: from memory.
    ("2021: [cabbage]", "kale", 7), ("2023: [potato]", "tomato", 4), ("2020: [garlic]", "leek", 8),
])
def test_a_disease_that_outlasts_the_ordinary_gap_is_told_apart(grew: str, crop: str, years: int) -> None:
    assert told(grew, crop) == []
    (note,) = told(grew, crop, key="note-disease")
    assert note.reason.facts["low"] == years
    assert note.reason.sources


@pytest.mark.parametrize(("grew", "crop"), [
    ("2019: [cabbage]", "kale"), ("2022: [potato]", "tomato"), ("2018: [garlic]", "leek"),  # longer ago than above
    ("2025: [cabbage]", "kale"),  # within the ordinary gap: that note says it already
    ("2023: [carrot]", "parsnip"),  # no lasting disease is known with a number of years
])
def test_no_disease_is_told_beyond_its_life_or_twice(grew: str, crop: str) -> None:
    assert told(grew, crop, key="note-disease") == []

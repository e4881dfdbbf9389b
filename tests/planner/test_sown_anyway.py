"""A cover that is in the ground is planned on, whatever speaks against it; what failed gives way to the next choice."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

import pytest
from calgen.climate.build import climate_of
from calgen.knowledge.names import plant_names
from calgen.knowledge.read import read_knowledge
from calgen.planner.plan import plan
from calgen.site.diary import read_diary, with_diary
from calgen.site.read import read_site

if TYPE_CHECKING:
    from calgen.planner.model import BedPlan

KNOWLEDGE = read_knowledge()
NAMES = plant_names(KNOWLEDGE)
SITE = """\
site: Rook Lane
latitude: 52.6
frost: {last: 22 April, first: 4 November}
winter-low: -6
warmest-month: 16.9
chart-starts: September 2026
beds:
  Long bed:
    size: 1 x 5 m
    needs: [cover]
    order:
      - {crop: lettuce, planted: 2026-06-20, cleared: 2026-09-01}
      - cover: choose
      - crop: French bean
"""
BRASSICAS = SITE.replace("lettuce", "Brussels sprouts").replace("2026-06-20", "2026-05-20")


@cache
def planned(diary: str, text: str = SITE) -> BedPlan:
    site = read_site(text.encode(), "rook.yaml", NAMES)
    site = with_diary(site, read_diary(f"diary:\n{diary}".encode(), "rook.diary.yaml", site, NAMES))
    return plan(site, climate_of(site, None), KNOWLEDGE).beds[0]


def sown(day: str, *plants: str, text: str = SITE) -> BedPlan:
    return planned(f"  - {{on: {day}, bed: Long bed, done: sown, plant: [{', '.join(plants)}]}}\n", text)


@pytest.mark.parametrize("day", ["2026-09-02", "2026-12-20", "2027-05-14"])
@pytest.mark.parametrize("cover", ["oats", "cereal-rye", "buckwheat", "white-mustard", "cowpea", "lucerne"])
def test_whatever_was_sown_whenever_is_what_stands(cover: str, day: str) -> None:
    bed = sown(day, cover, text=BRASSICAS)
    chosen = bed.choices[0].chosen
    assert chosen
    assert (chosen.ids, chosen.sow) == ((cover,), date.fromisoformat(day))
    sowing = next(timed for timed in bed.tasks if timed.kind == "sow" and timed.plants == (cover,))
    assert (sowing.done, sowing.best) == (True, date.fromisoformat(day))
    assert any(piece.kind == "cover" and piece.start == date.fromisoformat(day) for piece in bed.pieces)


def test_a_mixture_in_the_ground_stays_too() -> None:
    chosen = sown("2026-12-20", "cowpea", "white-mustard", text=BRASSICAS).choices[0].chosen
    assert chosen
    assert set(chosen.ids) == {"cowpea", "white-mustard"}


@pytest.mark.parametrize(("day", "cover", "reason"), [
    ("2026-11-20", "buckwheat", "past-safe-and-killed"),
    ("2026-12-20", "oats", "past-safe-sowing"),
    ("2026-09-02", "cowpea", "no-window-here"),
])
def test_what_speaks_against_it_is_told(day: str, cover: str, reason: str) -> None:
    chosen = sown(day, cover).choices[0].chosen
    assert chosen
    assert reason in [told.key for told in chosen.reasons]


def test_sown_too_late_to_come_up_it_is_cut_when_the_bed_is_due() -> None:
    due = SITE.replace("- crop: French bean", "- {crop: French bean, sow-by: 2027-06-01}")
    bed = sown("2027-05-27", "buckwheat", text=due)
    chosen = bed.choices[0].chosen
    assert chosen
    assert "may-not-come-up" in [told.key for told in chosen.reasons]
    assert [told.key for told in chosen.ending.reasons] == ["end-cut-short"]
    assert max(piece.to for piece in bed.pieces if piece.kind == "cover") <= date(2027, 6, 1)


def test_with_time_to_spare_the_next_crop_waits_for_it() -> None:
    bed = sown("2027-05-27", "buckwheat")
    assert bed.choices[0].chosen
    beans = next(piece for piece in bed.pieces if piece.plants == ("french-bean-bush",))
    assert beans.start > date(2027, 6, 20)


def test_the_later_it_was_sown_the_less_it_covers_by_winter() -> None:
    days = ["2026-09-05", "2026-09-25", "2026-10-15", "2026-11-05"]
    found = [sown(day, "cereal-rye").choices[0].chosen for day in days]
    shares = [option.attained.ground_cover_winter for option in found if option]
    assert len(shares) == 4
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > shares[-1] + 0.3


def test_cleared_late_more_seed_is_wanted() -> None:
    """Lawson 2015 and Cornell on rye: more seed for late sowings."""
    late = planned("  - {on: 2026-10-30, bed: Long bed, done: cleared}\n", SITE.replace("choose", "rye"))
    usual = planned("", SITE.replace("choose", "rye"))
    early_option, late_option = usual.choices[0].chosen, late.choices[0].chosen
    assert early_option
    assert late_option
    assert late_option.sow >= date(2026, 10, 30)
    assert late_option.seed_factor > early_option.seed_factor


def test_what_failed_gives_way_to_another_from_that_day_on() -> None:
    first = planned("").choices[0].chosen
    assert first
    name = first.ids[0]
    text = f"  - {{on: {first.sow}, bed: Long bed, done: sown, plant: [{', '.join(first.ids)}]}}\n"
    day = first.sow + timedelta(16)
    after = planned(text + f"  - {{on: {day}, bed: Long bed, done: failed, plant: [{', '.join(first.ids)}]}}\n")
    chosen = after.choices[0].chosen
    assert chosen
    assert name not in chosen.ids
    assert chosen.sow >= day
    assert not any(timed.done for timed in after.tasks)
    failed = [entry for entry in after.choices[0].ranking.rejected if name in entry.covers]
    assert any(told.key == "failed-before" for entry in failed for told in entry.reasons)


def test_failed_too_late_for_any_other_comes_to_mulch() -> None:
    text = "  - {on: 2026-09-05, bed: Long bed, done: sown, plant: oats}\n" \
           "  - {on: 2026-12-28, bed: Long bed, done: failed, plant: oats}\n"
    bed = planned(text)
    assert bed.choices[0].chosen is None or bed.choices[0].chosen.sow >= date(2027, 2, 1)
    assert any(timed.kind == "mulch" for timed in bed.tasks)


def test_cut_early_is_cut_then() -> None:
    bed = planned("  - {on: 2026-09-05, bed: Long bed, done: sown, plant: rye}\n"
                  "  - {on: 2027-03-20, bed: Long bed, done: cut, plant: rye}\n")
    cut = next(timed for timed in bed.tasks if timed.kind == "cut-down")
    assert (cut.done, cut.best) == (True, date(2027, 3, 20))
    assert max(piece.to for piece in bed.pieces if piece.kind == "cover") == date(2027, 3, 20)


def test_a_cover_sown_while_the_crop_still_stands_is_undersown() -> None:
    text = SITE.replace("lettuce", "leek").replace(", cleared: 2026-09-01", "")
    bed = sown("2026-09-12", "white-clover", text=text)
    chosen = bed.choices[0].chosen
    assert chosen
    assert chosen.how != "cleared"
    assert [timed.kind for timed in bed.tasks if timed.done] == ["undersow" if chosen.how == "undersown" else "drill"]

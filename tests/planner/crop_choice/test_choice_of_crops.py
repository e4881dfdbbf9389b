"""Which crop goes where: what the trade's rules ask for, on gardens small enough to see the answer."""

from __future__ import annotations

import random
from pathlib import Path
from typing import TYPE_CHECKING

import numpy
import pytest
from calgen.command.load import desk_of
from calgen.planner.crop_choice.chosen import with_crops
from scipy.optimize import linear_sum_assignment

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.command.load import Desk
    from calgen.planner.model import CropChoice, CropOffer

    Garden = Callable[..., Desk]

CLEARED = "{crop: corn salad, sown: 2026-03-20, cleared: 2026-08-20}"


def bed(name: str, *, before: str = CLEARED, more: str = "", ground: str = "size: 1.2 x 6 m",
        rest: str = "[{cover: choose}, {crop: choose}]") -> str:
    steps = rest.strip("[]")
    return f"  {name}:\n    {ground}\n{more}    order: [{before}, {steps}]\n"


def standing(found: Desk) -> dict[str, str | None]:
    """The crop chosen in each bed that has one place left to choose."""
    return {plan.bed.name: plan.crops[0].plant for plan in found.plan.beds if plan.crops}


def choice(found: Desk, name: str) -> CropChoice:
    return next(plan.crops[0] for plan in found.plan.beds if plan.bed.name == name)


def offer(found: Desk, name: str, plant: str) -> CropOffer:
    return next(one for one in choice(found, name).offers if one.plant == plant)


def keys(one: CropOffer) -> set[str]:
    return {reason.key for reason in one.reasons}


@pytest.mark.parametrize(("past", "wanted", "relative"), [
    # Iowa State: 2 to 3 years between crops of one family, 3 to 4 for the nightshades and the cabbage family.
    ("potato", "tomato", "tomato"), ("broccoli", "kale", "kale"), ("pea", "runner bean", "runner-bean"),
    ("celery", "carrot", "carrot"),
])
def test_a_relative_goes_where_the_family_has_rested(garden: Garden, past: str, wanted: str, relative: str) -> None:
    beds = bed("A", more=f"    grew: {{2026: [{past}]}}\n") + bed("B", more="    grew: {2025: [sweet corn]}\n")
    found = garden("", beds=beds, more=f"wanted: [{wanted}, sweet corn]\n")
    assert standing(found)["B"] == relative
    assert "crop-family-soon" in keys(offer(found, "A", relative))
    assert "crop-family-soon" not in keys(offer(found, "B", relative))


def test_the_longer_ago_the_better(garden: Garden) -> None:
    beds = bed("A", more="    grew: {2026: [potato]}\n") + bed("B", more="    grew: {2024: [potato]}\n")
    found = garden("", beds=beds, more="wanted: [tomato]\n")
    assert standing(found) == {"A": None, "B": "tomato"}
    assert offer(found, "A", "tomato").points < offer(found, "B", "tomato").points


def test_a_disease_that_outlasts_the_gap_counts(garden: Garden) -> None:
    """White rot: 8 years and more without alliums, from memory of AHDB's advice; the ordinary gap is 3 to 4 years."""
    beds = bed("A", more="    grew: {2021: [onion]}\n") + bed("B", more="    grew: {2021: [carrot]}\n")
    found = garden("", beds=beds, more="wanted: [leek]\n")
    assert standing(found) == {"A": None, "B": "leek"}
    against = next(reason for reason in offer(found, "A", "leek").reasons if reason.key == "crop-disease-soon")
    assert (against.facts["past"], against.facts["low"]) == (2021, 8)
    assert "white rot" in found.speaker.reason(against)


def test_a_relative_that_is_to_follow_counts(garden: Garden) -> None:
    rest = "[{cover: choose}, {crop: choose}, {crop: leek}]"
    found = garden("", beds=bed("A", rest=rest) + bed("B"), more="wanted: [spring onion]\n")
    assert standing(found) == {"A": None, "B": "spring-onion"}
    assert "crop-family-later" in keys(offer(found, "A", "spring-onion"))


def test_two_places_in_one_bed_keep_relatives_apart(garden: Garden) -> None:
    both = bed("A", rest="[{crop: choose}, {crop: choose}]") + bed("B") + bed("C")
    found = garden("", beds=both, more="wanted: [lettuce 2 beds, French bean 2 beds]\n")
    plants = [one.plant for one in found.plan.beds[0].crops]
    assert sorted(plants) == ["french-bean-bush", "lettuce"]


def test_hungry_crops_follow_legumes_and_light_feeders_hungry_ones(garden: Garden) -> None:
    """Common practice; nitrogen left by a legume: PNW 636."""
    beds = bed("A", before="{crop: sweet corn, planted: 2026-05-20, cleared: 2026-09-20}") \
        + bed("B", before="{crop: broad bean, sown: 2026-03-10, cleared: 2026-08-01}")
    found = garden("", beds=beds, more="wanted: [cabbage, carrot]\n")
    assert standing(found) == {"A": "carrot", "B": "cabbage-summer"}
    assert "crop-light-after-heavy" in keys(offer(found, "A", "carrot"))
    assert "crop-fed" in keys(offer(found, "B", "cabbage-summer"))


def test_a_named_cover_keeps_its_family_away(garden: Garden) -> None:
    """Mustard before cabbages keeps clubroot going (Cornell, Minnesota)."""
    beds = bed("A", rest="[{cover: white mustard}, {crop: choose}]") \
        + bed("B", rest="[{cover: phacelia}, {crop: choose}]")
    found = garden("", beds=beds, more="wanted: [cabbage, lettuce]\n")
    assert standing(found) == {"A": "lettuce", "B": "cabbage-summer"}
    assert "clash-brassica" in keys(offer(found, "A", "cabbage-summer"))


@pytest.mark.parametrize(("soil", "kept_out", "other"), [
    # Common practice.
    ("shaded", "tomato", "lettuce"), ("compacted", "parsnip", "runner bean"), ("wet", "garlic", "sweet corn"),
    ("acid", "cabbage", "beetroot"), ("dry", "lettuce", "runner bean"),
])
def test_the_ground_counts(garden: Garden, soil: str, kept_out: str, other: str) -> None:
    beds = bed("A", more=f"    soil: [{soil}]\n") + bed("B")
    found = garden("", beds=beds, more=f"wanted: [{kept_out}, {other}]\n")
    name = found.knowledge.plant(kept_out).id
    assert standing(found)["B"] == name


def test_pots_take_what_they_can_hold(garden: Garden) -> None:
    """Common practice: a courgette fills a tub of 30 to 40 litres, lettuce does with a few litres a plant."""
    found = garden("", beds=bed("A", ground="pots: 6 x 10 l") + bed("B"), more="wanted: [courgette, lettuce]\n")
    assert standing(found) == {"A": "lettuce", "B": "courgette-summer-squash"}


def test_a_crop_that_the_summer_is_too_short_for_is_left_out(garden: Garden) -> None:
    """At 64 degrees north with 106 days between frosts nobody grows sweet potatoes outdoors. Common practice."""
    found = garden("", place="short summer", more="wanted: [sweet potato, kale]\n",
                   beds=bed("A", before="{crop: radish, sown: 2026-05-25, cleared: 2026-07-10}"))
    assert standing(found) == {"A": "kale"}
    assert [(left.plant, left.beds) for left in found.plan.left] == [("sweet-potato", 1)]
    assert offer(found, "A", "sweet-potato").refused


def test_what_the_grower_named_after_it_is_not_lost(garden: Garden) -> None:
    rest = "[{cover: choose}, {crop: choose}, {crop: garlic, plant-by: 2027-11-10}]"
    beds = bed("A", rest=rest) + bed("B")
    found = garden("", beds=beds, more="wanted: [leek, lettuce]\n")
    assert standing(found) == {"A": "lettuce", "B": "leek"}


def test_more_crops_than_beds_the_most_wanted_stand_and_the_rest_is_named(garden: Garden) -> None:
    found = garden("", beds=bed("A"), more="wanted: [beetroot, chard 2 beds]\n")
    assert standing(found) == {"A": "beetroot"}
    note = found.plan.notes[-1]
    assert (note.bed, note.reason.key, note.reason.facts["beds"]) == ("", "note-crop-left", 2)
    assert note.place.line == 7
    assert found.plan.left[0].offers[0].bed == "A"


def test_more_beds_than_crops_the_bed_left_over_is_covered(garden: Garden) -> None:
    beds = bed("A") + bed("B", rest="[{crop: choose}]")
    found = garden("", beds=beds, more="wanted: [beetroot]\n")
    empty = next(plan for plan in found.plan.beds if plan.crops[0].plant is None)
    assert any(note.reason.key == "note-no-crop-left" for note in empty.notes)
    assert any(piece.kind in ("cover", "mulch") for piece in empty.pieces)


def test_crops_wanted_without_a_place_to_choose_are_named(garden: Garden) -> None:
    found = garden("- {crop: leek, planted: 2026-06-20}", more="wanted: {tomato: 2}\n")
    assert [note.reason.key for note in found.plan.notes if not note.bed] == ["note-crop-left"]


@pytest.mark.parametrize("wanted", ["[tomato 2 beds, carrot 1 bed]", "[tomato: 2, carrot]", "{tomato: 2, carrot: 1}",
                                    "[tomatoes 2, Carrot]", "[{tomato: 2 beds}, carrot 1]"])
def test_the_list_may_be_written_in_several_ways(garden: Garden, wanted: str) -> None:
    found = garden("", beds=bed("A"), more=f"wanted: {wanted}\n")
    assert [(wish.plant, wish.beds) for wish in found.site.wanted] == [("tomato", 2), ("carrot", 1)]


BEDS = (
    bed("One", more="    grew: {2026: [potato], 2025: [carrot]}\n"),
    bed("Two", more="    soil: [shaded]\n    grew: {2026: [leek]}\n"),
    bed("Three", more="    soil: [compacted]\n", before="{crop: pea, sown: 2026-04-05, cleared: 2026-08-01}"),
    bed("Four", more="    grew: {2025: [cabbage]}\n",
        before="{crop: sweet corn, planted: 2026-05-25, cleared: 2026-09-20}"),
    bed("Five", more="    grew: {2024: [tomato]}\n"),
)
GARDEN = "".join(BEDS)
LIST = "wanted: [tomato, carrot, leek, cabbage, lettuce]\n"


@pytest.mark.parametrize("last", [f"{day} April" for day in range(14, 31, 2)] + ["4 May", "8 May", "12 May"])
@pytest.mark.parametrize("first", ["5 October", "19 October", "2 November"])
def test_a_frost_date_that_moves_by_two_weeks_moves_no_crop(garden: Garden, last: str, first: str) -> None:
    """The same list, place and beds; only the frost dates differ from those of the first plan."""
    text = (f"site: Test\nlatitude: 52.4\nfrost: {{last: {last}, first: {first}}}\nwinter-low: -8\n"
            f"warmest-month: 16.8\nchart-starts: September 2026\n{LIST}beds:\n{GARDEN}")
    assert standing(desk_of(text.encode(), Path("plot.yaml"))) == standing(garden("", beds=GARDEN, more=LIST))


def test_the_same_beds_in_another_order_are_worth_the_same(garden: Garden) -> None:
    def points(beds: str) -> int:
        found = garden("", beds=beds, more=LIST)
        return sum(one.points for plan in found.plan.beds for chosen in plan.crops for one in chosen.offers
                   if one.plant == chosen.plant)

    assert points("".join(reversed(BEDS))) == points(GARDEN)


PAST = ("potato", "onion", "cabbage", "carrot", "pea", "lettuce", "courgette", "leek")
GROUND = ("", "    soil: [shaded]\n", "    soil: [compacted]\n", "    soil: [wet]\n", "    soil: [dry]\n")


@pytest.mark.parametrize("seed", range(8))
def test_a_whole_garden_is_as_good_as_the_solver_finds_it(garden: Garden, seed: int) -> None:
    """SciPy's ``linear_sum_assignment`` on the points that each crop has in each bed: the sum is the same."""
    chance = random.Random(seed)
    beds = "".join(bed(f"Bed {number}", more=chance.choice(GROUND)
                       + f"    grew: {{2026: [{chance.choice(PAST)}], 2025: [{chance.choice(PAST)}]}}\n")
                   for number in range(chance.randint(3, 9)))
    names = chance.sample(["tomato", "kale", "leek", "carrot", "lettuce", "beetroot", "French bean", "chard"], 5)
    wishes = ", ".join(f"{name} {chance.randint(1, 2)} beds" for name in names)
    found = garden("", beds=beds, more=f"wanted: [{wishes}]\n")
    units = [wish.plant for wish in found.site.wanted for _ in range(wish.beds)]
    points = [{one.plant: one.points for one in plan.crops[0].offers if not one.refused} for plan in found.plan.beds]
    table = numpy.array([[row.get(plant, -1000) for plant in units] + [0] * len(points) for row in points])
    rows, columns = linear_sum_assignment(table, maximize=True)
    ours = sum(row[plan.crops[0].plant] for row, plan in zip(points, found.plan.beds, strict=True)
               if plan.crops[0].plant)
    assert ours == table[rows, columns].sum()


def test_the_choice_reckons_with_the_days_that_the_plan_comes_to(garden: Garden) -> None:
    """The quick look at a bed's order and the plan itself: a chosen cover moves a start by a fortnight at most."""
    found = garden("", beds=GARDEN, more=LIST)
    quick = with_crops(found.site, found.climate, found.knowledge, found.plan.end).choices
    for plan in found.plan.beds:
        planned, looked = plan.crops[0].start, quick[plan.bed.name][0].start
        assert planned
        assert looked
        assert abs((planned - looked).days) <= 14, plan.bed.name

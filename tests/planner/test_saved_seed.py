"""A crop that stands for its seed: gathering dates from its ripeness, and a bed that is free later."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from calgen.climate.build import climate_of
from calgen.knowledge.names import plant_names
from calgen.knowledge.read import read_knowledge
from calgen.planner.plan import plan
from calgen.site.read import read_site

if TYPE_CHECKING:
    from calgen.planner.model import BedPlan

KNOWLEDGE = read_knowledge()
NAMES = plant_names(KNOWLEDGE)
SEED_CROPS = sorted(crop.id for crop in KNOWLEDGE.crops.values() if crop.save_seed_days)
SITE = """\
site: Rook Lane
latitude: 45
frost: {{last: 20 April, first: 30 October}}
chart-starts: March 2027
beds:
  Long bed:
    size: 1 x 5 m
    order:
      - crop: {crop}
        {start}: 2027-05-20{save}
"""


def bed(crop: str, save: bool) -> BedPlan:
    start = "sown" if "direct" in KNOWLEDGE.crops[crop].methods else "planted"
    text = SITE.format(crop=crop, start=start, save="\n        save-seed: yes" if save else "")
    site = read_site(text.encode(), "rook.yaml", NAMES)
    return plan(site, climate_of(site, None), KNOWLEDGE).beds[0]


def test_there_are_crops_whose_seed_is_worth_saving() -> None:
    """The easy ones that every guide starts with (common practice): peas, beans, lettuce, tomato."""
    assert {"pea", "french-bean-bush", "lettuce", "tomato"} <= set(SEED_CROPS)


@pytest.mark.parametrize("crop", ["pea", "french-bean-bush", "lettuce", "tomato"])
def test_gathering_follows_ripeness_and_the_bed_is_free_no_sooner(crop: str) -> None:
    eaten, saved = bed(crop, save=False), bed(crop, save=True)
    (gather,) = [timed for timed in saved.tasks if timed.kind == "gather-seed"]
    assert gather.plants == (crop,)
    assert gather.first <= gather.best <= gather.last
    wait = KNOWLEDGE.crops[crop].save_seed_days
    assert wait
    assert gather.last - gather.first == timedelta(round(wait.high) - round(wait.low))
    free, sooner = (max(piece.to for piece in found.pieces if piece.kind == "crop") for found in (saved, eaten))
    assert free >= max(gather.best, sooner)
    assert gather.why[0].sources == wait.sources
    assert "note-stands-for-seed" in [note.reason.key for note in saved.notes]
    assert not [timed for timed in eaten.tasks if timed.kind == "gather-seed"]


def test_lettuce_holds_its_bed_for_weeks_after_the_last_head() -> None:
    """Lettuce must bolt and flower first: seed is ripe some two months after the heads (common practice)."""
    eaten, saved = (max(piece.to for piece in bed("lettuce", save).pieces if piece.kind == "crop")
                    for save in (False, True))
    assert saved - eaten >= timedelta(28)


def test_a_crop_without_seed_dates_is_told() -> None:
    crop = next(crop for crop in ("carrot", "leek", "kale", "parsnip") if crop not in SEED_CROPS)
    saved = bed(crop, save=True)
    assert "note-no-seed-dates" in [note.reason.key for note in saved.notes]
    assert not [timed for timed in saved.tasks if timed.kind == "gather-seed"]

"""What jobs say about pieces to plant and about crops that something is sown under. All of it is `common practice`."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk_of

if TYPE_CHECKING:
    from calgen.schedule.model import Job

SITE = """
site: Sedge End
latitude: 52.4
language: @
frost: {last: 24 April, first: 30 October}
winter-low: -7
chart-starts: July 2026
beds:
  Bed:
    size: 1.2 x 5 m
    order:
"""


def jobs(order: str, language: str = "en") -> tuple[Job, ...]:
    """The jobs of a bed with this order."""
    text = SITE.replace("@", language) + order
    return desk_of(text.encode(), Path("sedge.yaml")).schedule(date(2026, 7, 1)).jobs


@pytest.mark.parametrize(("crop", "english", "german"), [
    ("garlic", "Plant cloves of garlic", "Zehen stecken"),
    ("potato-maincrop", "Plant tubers of maincrop potato", "Knollen legen"),
    ("rhubarb", "Plant crowns of rhubarb", "Wurzelstöcke pflanzen"),
    ("shallot", "Plant shallot", "Schalotte stecken"),
])
def test_a_planting_names_what_is_planted(crop: str, english: str, german: str) -> None:
    order = f"      - crop: bush bean\n        sown: 2026-05-20\n      - crop: {crop}\n"
    for language, words in (("en", english), ("de", german)):
        titles = [job.title for job in jobs(order, language) if job.kind == "plant"]
        assert titles
        assert all(words in title for title in titles)


@pytest.mark.parametrize("how", ["undersown", "between-rows"])
def test_lower_leaves_of_kale_come_off_before_anything_is_sown_beneath(how: str) -> None:
    order = "      - crop: @\n        planted: 2026-06-01\n      - cover: crimson clover\n        how: " + how + "\n"
    sown = [job for job in jobs(order.replace("@", "kale")) if job.kind in ("undersow", "drill")]
    assert sown[0].how.startswith("Strip the lower leaves of kale")
    beans = [job for job in jobs(order.replace("@", "runner-bean")) if job.kind in ("undersow", "drill")]
    assert "leaves" not in beans[0].how


def test_a_cover_cut_green_in_a_mild_winter_is_waited_for() -> None:
    """What winter killed has rotted; green stuff wants two to three weeks: Virginia Cooperative Extension."""
    order = ("      - crop: lettuce\n        planted: 2026-06-01\n        cleared: 2026-08-20\n"
             "      - cover: oats\n      - crop: carrot\n")
    text = SITE.replace("@", "en").replace("winter-low: -7", "winter-low: -16") + order
    found = desk_of(text.encode(), Path("sedge.yaml")).schedule(date(2026, 7, 1)).jobs
    (cut,) = [job for job in found if job.kind == "cut-down"]
    assert cut.title.startswith("If still green")
    assert "If you had to cut it green: Wait 14 to 21 days" in cut.next_step
    (sown,) = [job for job in found if job.kind == "sow" and "carrot" in job.plants]
    assert (sown.on - cut.latest).days >= 13


def test_gaps_seen_after_the_last_safe_day_are_mulched() -> None:
    """Seed sown then comes up and does nothing before winter, whatever the job before said."""
    order = "      - crop: basil\n        planted: 2026-06-01\n        cleared: 2026-09-20\n      - cover: phacelia\n"
    (look,) = [job for job in jobs(order + "        sown: 2026-09-20\n      - crop: tomato\n") if job.kind == "look"]
    (early,) = [job for job in jobs(order.replace("09-20", "08-01") + "      - crop: tomato\n") if job.kind == "look"]
    assert look.next_step.startswith("The time for sowing gaps was over on")
    assert early.next_step.startswith("Top up while there is time")


@pytest.mark.parametrize(("ground", "how"), [
    ("size: 1.2 x 5 m", "weigh it down"), ("pots: 6 x 30 l", "close together")])
def test_a_tarp_as_mulch_is_laid_over_the_ground_and_not_told_in_litres(ground: str, how: str) -> None:
    order = "      - crop: basil\n        planted: 2026-06-01\n        cleared: 2026-09-20\n      - mulch: tarp\n"
    text = SITE.replace("@", "en").replace("size: 1.2 x 5 m", ground) + order
    found = desk_of(text.encode(), Path("sedge.yaml")).schedule(date(2026, 7, 1)).jobs
    (laid,) = [job for job in found if job.kind == "mulch"]
    assert laid.title == "Lay the tarp – Bed"
    assert " l" not in laid.quantity + laid.text.partition("over")[2].partition(",")[0]
    assert how in laid.how


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(("crop", "told"), [
    ("garlic", {"en": ["tops on", "papery"], "de": ["Laub daran", "papierartig"]}),
    ("onion sets", {"en": ["tops on", "papery"], "de": ["Laub daran", "papierartig"]}),
    ("maincrop potato", {"en": ["dark", "blight"], "de": ["dunkel", "Braunfäule"]}),
    ("carrot", {"en": ["as mulch"], "de": ["als Mulch"]}),
])
def test_bulbs_are_dried_with_their_tops_and_potatoes_kept_dark(crop: str, told: dict[str, list[str]],
                                                                language: str) -> None:
    """Common practice: bulbs keep once their necks are dry; potatoes green in the light; blight lives on in tops."""
    order = f"      - crop: {crop}\n        planted: 2026-03-20\n        cleared: 2026-08-22\n"
    order = order.replace("planted", "sown") if crop == "carrot" else order
    (lifted,) = [job for job in jobs(order, language=language) if job.kind == "clear"]
    assert [word for word in told[language] if word not in lifted.how] == []
    assert ("as mulch" in lifted.how or "als Mulch" in lifted.how) == (crop == "carrot")


@pytest.mark.parametrize(("place", "still"), [
    ({"52.4": "44", "24 April": "12 May", "30 October": "28 September", "low: -7": "low: -20"}, False), ({}, True)])
def test_a_mulch_moved_past_the_last_safe_sowing_says_so(place: dict[str, str], *, still: bool) -> None:
    """On 10 October no one is told that rye can be sown until the 6th."""
    text = SITE.replace("@", "en").replace("chart", "garden-days: [Sat]\nchart")
    for here, there in place.items():
        text = text.replace(here, there)
    text += "      - crop: cabbage\n        planted: 2026-06-20\n        cleared: 2026-09-14\n"
    text += "      - cover: cereal rye\n      - crop: pepper\n"
    found = desk_of(text.encode(), Path("sedge.yaml")).schedule(date(2026, 7, 1)).jobs
    (sown,) = [job for job in found if job.kind == "sow" and "cereal-rye" in job.plants]
    (mulch,) = [job for job in found if job.title.startswith("Not sown?")]
    assert (mulch.on <= sown.last) == still
    assert ("can be sown until" in mulch.text) == still
    assert ("can still be sown until" in mulch.why) == still


def test_a_crop_in_one_row_is_told_how_many_plants_it_takes() -> None:
    """A bed 5 m long and narrower than the rows lie apart has one row: its length over the distance of the plants."""
    order = "      - crop: French bean\n        sown: 2026-05-20\n      - cover: choose\n      - crop: winter squash\n"
    text = SITE.replace("@", "en") + order
    (planted,) = [job for job in desk_of(text.encode(), Path("sedge.yaml")).schedule(date(2026, 7, 1)).jobs
                  if job.kind == "plant"]
    told = re.search(r"(\d+) cm apart in one row, about (\d+) plants", planted.text)
    assert told
    assert abs(int(told[2]) - 500 / int(told[1])) <= 1

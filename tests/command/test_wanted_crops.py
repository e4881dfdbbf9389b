"""Crops left to choose, through a year: planned, told, planted as told or otherwise, and carried over."""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk
from calgen.site.model import CropStep

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from calgen.command.load import Desk

    Run = Callable[..., tuple[int, str, str]]

PLOT = """\
site: Rook Lane
latitude: 52.6
frost: {last: 22 April, first: 4 November}
winter-low: -6
warmest-month: 16.9
chart-starts: September 2026
wanted:                     # the most wanted first
  - tomato 2 beds
  - carrot: 1
  # - parsnip
  - leek
# the beds
beds:
  Long bed:
    size: 1.2 x 5 m
    grew: {2025: [onion], 2024: [potato]}
    order:
      - {crop: lettuce, planted: 2026-06-20, cleared: 2026-09-01}
      - cover: choose
      - crop: choose
  Gate bed:
    size: 1.2 x 5 m
    grew: {2025: [carrot]}
    order:
      - {crop: pea, sown: 2026-04-20, cleared: 2026-08-20}
      - cover: choose
      - crop: choose          # whatever fits
  Wall bed:
    size: 1.2 x 5 m
    order:
      - {crop: sweet corn, planted: 2026-05-20, cleared: 2026-09-20}
      - cover: choose
      - crop: choose
        plant-by: 2027-09-30
"""


@pytest.fixture
def wanted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The site file, in the folder that is worked in."""
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "plot.yaml"
    path.write_text(PLOT, "utf-8")
    return path


def crops(found: Desk) -> dict[str, tuple[str, ...]]:
    """What stands in the places left to choose, by bed."""
    return {bed.name: tuple(step.plant for step in bed.order if isinstance(step, CropStep) and step.choose)
            for bed in found.plan.site.beds}


def test_why_tells_the_choice_the_runner_up_and_the_next_best_bed(wanted: Path, calgen: Run) -> None:
    status, out, _ = calgen("why", "plot.yaml", "Gate bed")
    assert status == 0
    text = " ".join(out.split())
    assert "Tomato, chosen for this bed, to start about" in text
    assert "has time to feed the ground" in text
    assert "Next best here:" in text
    assert "The next best bed for tomato:" in text
    assert "Leek has found no bed; it would do best in" in text


def test_why_tells_the_same_as_json(wanted: Path, calgen: Run) -> None:
    told = json.loads(calgen("why", "plot.yaml", "Gate bed", "--json")[1])
    (choice,) = told["crops"]
    assert choice["chosen"] == "tomato"
    assert date.fromisoformat(choice["start"]) > date(2027, 4, 1)
    assert {one["crop"] for one in choice["ranking"]} == {"tomato", "carrot", "leek"}
    assert [one["points"] for one in choice["ranking"]] == sorted((one["points"] for one in choice["ranking"]),
                                                                  reverse=True)
    assert all(one["reasons"] for one in choice["ranking"])
    assert [one["crop"] for one in told["left"]] == ["leek"]
    assert {one["holds"] for one in told["left"][0]["in"]} <= {"tomato", "carrot"}


def test_a_site_without_a_list_says_nothing_of_it(plot: Path, calgen: Run) -> None:
    assert "crops" not in json.loads(calgen("why", "plot.yaml", "Gate bed", "--json")[1])


def test_what_is_built_holds_the_chosen_crops(wanted: Path, calgen: Run) -> None:
    from pypdf import PdfReader

    chosen = {plant for plants in crops(desk(wanted)).values() for plant in plants}
    assert chosen == {"tomato", "carrot"}
    status, out, _ = calgen("build", "plot.yaml", "--today", "2026-09-01")
    assert status == 0
    assert "wanted: Leek: no bed is left for 1 of the beds wanted" in out
    plan = json.loads((wanted.parent / "output/plot/plan.json").read_text("utf-8"))
    grown = {plant for bed in plan["beds"] for span in bed["spans"] if span["is"] == "crop" for plant in span["plants"]}
    assert chosen <= grown
    assert any(job["kind"] == "plant" and job["plants"] == ["tomato"] for job in plan["jobs"])
    assert "Plant tomato" in (wanted.parent / "output/plot/feeds/all.ics").read_text("utf-8").replace("\r\n ", "")
    for name in ("wall-chart.pdf", "sheets.pdf"):
        text = " ".join(page.extract_text() for page in PdfReader(wanted.parent / "output/plot" / name).pages)
        assert "omato" in text, name
    assert "chosen for this bed" in (wanted.parent / "output/plot/index.html").read_text("utf-8")


def test_building_again_changes_nothing(wanted: Path, calgen: Run) -> None:
    calgen("build", "plot.yaml", "--today", "2026-09-01")
    assert "nothing has changed" in calgen("build", "plot.yaml", "--today", "2026-09-01")[1]


def test_a_crop_taken_off_the_list_is_told(wanted: Path, calgen: Run) -> None:
    calgen("build", "plot.yaml", "--today", "2026-09-01")
    wanted.write_text(PLOT.replace("  - carrot: 1\n", ""), "utf-8")
    out = calgen("build", "plot.yaml", "--today", "2026-09-02")[1]
    assert "wanted: tomato 2, carrot 1, leek 1 -> tomato 2, leek 1" in out


def test_planted_as_planned_it_is_fixed(wanted: Path, calgen: Run) -> None:
    before = crops(desk(wanted))
    status, out, err = calgen("done", "plot.yaml", "Gate bed", "planted", "--on", "2027-05-25")
    assert (status, err) == (0, "")
    assert "tomato" in out
    found = desk(wanted)
    assert crops(found) == before
    assert not next(bed for bed in found.plan.beds if bed.bed.name == "Gate bed").crops
    # a list that would now be answered otherwise leaves the planted crop where it is
    wanted.write_text(PLOT.replace("  - tomato 2 beds\n", "  - sweet corn\n  - tomato\n"), "utf-8")
    assert crops(desk(wanted))["Gate bed"] == ("tomato",)


def test_another_crop_of_the_list_planted_there_moves_the_others(wanted: Path, calgen: Run) -> None:
    assert crops(desk(wanted))["Gate bed"] == ("tomato",)
    status, _, err = calgen("done", "plot.yaml", "Gate bed", "planted", "--plant", "leek", "--on", "2027-06-05")
    assert (status, err) == (0, "")
    found = desk(wanted)
    assert crops(found)["Gate bed"] == ("leek",)
    left = {one.plant: one.beds for one in found.plan.left}
    assert "leek" not in left
    assert sum(left.values()) == 1


def test_a_cover_sown_before_does_not_pass_for_the_crop(wanted: Path, calgen: Run) -> None:
    assert calgen("done", "plot.yaml", "Gate bed", "sown", "--plant", "winter rye", "--on", "2026-09-10")[0] == 0
    found = desk(wanted)
    gate = next(bed for bed in found.site.beds if bed.name == "Gate bed")
    assert gate.order[1].covers == ("cereal-rye",)
    assert gate.order[2].is_open
    assert crops(found)["Gate bed"] != ("",)


def test_a_crop_sown_where_it_grows_is_not_taken_for_the_cover(wanted: Path, calgen: Run) -> None:
    assert calgen("done", "plot.yaml", "Long bed", "sown", "--plant", "carrot", "--on", "2027-04-02")[0] == 0
    bed = desk(wanted).site.beds[0]
    assert bed.order[1].choose
    assert (bed.order[2].plant, bed.order[2].sown) == ("carrot", date(2027, 4, 2))


def test_a_crop_that_is_not_wanted_is_refused_with_advice(wanted: Path, calgen: Run) -> None:
    status, _, err = calgen("done", "plot.yaml", "Gate bed", "planted", "--plant", "pepper", "--on", "2027-06-05")
    assert status == 1
    assert 'add "- crop: pepper" to it first, or to wanted' in err


def test_plants_raised_for_a_bed_decide_it(wanted: Path, calgen: Run) -> None:
    assert calgen("done", "plot.yaml", "Long bed", "sown-indoors", "--plant", "leek", "--on", "2027-03-10")[0] == 0
    found = desk(wanted)
    assert crops(found)["Long bed"] == ("leek",)
    assert next(bed for bed in found.plan.beds if bed.bed.name == "Long bed").pieces[-1].kind in ("crop", "bare")


def test_the_next_year_writes_down_what_stands_and_keeps_what_is_still_to_choose(wanted: Path, calgen: Run) -> None:
    """The chart ends on 31 August 2027: what starts before is a fact by then, what starts after is still open."""
    wanted.write_text(PLOT.replace("  - leek\n", "  - leek\n  - garlic\n").replace(
        "      - crop: choose          # whatever fits\n", "      - crop: choose\n      - crop: choose\n"), "utf-8")
    found = desk(wanted)
    starts = {(choice.bed, choice.plant): choice.start for bed in found.plan.beds for choice in bed.crops}
    later = {key: start for key, start in starts.items() if start and start >= date(2027, 9, 1)}
    assert later
    status, _, err = calgen("new", "--next-year", "plot.yaml")
    assert (status, err) == (0, "")
    text = (wanted.parent / "plot-2027.yaml").read_text("utf-8")
    new = desk(wanted.parent / "plot-2027.yaml")
    open_places = [bed.name for bed in new.site.beds for step in bed.order
                   if isinstance(step, CropStep) and step.is_open]
    assert sorted(open_places) == sorted(bed for bed, _ in later)
    for bed, plant in later:
        assert plant in {wish.plant for wish in new.site.wanted}, bed
    begun = [plant for (_, plant), start in starts.items() if start and start < date(2027, 9, 1)]
    wishes = {wish.plant: wish.beds for wish in found.site.wanted}
    for wish in new.site.wanted:
        assert wish.beds == wishes[wish.plant] - begun.count(wish.plant)
    assert "# the beds" in text


def test_the_next_year_without_anything_left_says_so(wanted: Path, calgen: Run) -> None:
    wanted.write_text(PLOT.replace("  - leek\n", ""), "utf-8")
    assert calgen("new", "--next-year", "plot.yaml")[0] == 0
    text = (wanted.parent / "plot-2027.yaml").read_text("utf-8")
    assert "# wanted: all have their beds" in text
    assert desk(wanted.parent / "plot-2027.yaml").site.wanted == ()


def test_a_frost_date_that_moves_leaves_the_crops_where_they_are(wanted: Path, calgen: Run) -> None:
    status, out, _ = calgen("frost", "plot.yaml", "--last", "4 May")
    assert status == 0
    assert not [line for line in out.splitlines() if line.startswith(("gone: Plant", "new: Plant", "gone: Sow carrot"))]


def test_the_german_words_are_there(wanted: Path, calgen: Run) -> None:
    wanted.write_text(PLOT.replace("site: Rook Lane", "site: Rook Lane\nlanguage: de"), "utf-8")
    text = " ".join(calgen("why", "plot.yaml", "Gate bed")[1].split())
    assert "für dieses Beet gewählt" in text
    assert "Das nächstbeste Beet" in text
    assert "hat kein Beet gefunden" in text

"""The next year's file: past, present and future of every bed where they belong, the rest byte for byte."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk
from calgen.site.model import CoverStep, CropStep

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.site.model import Bed

    Run = Callable[..., tuple[int, str, str]]

SITES = Path(__file__).parents[2] / "sites"
PLOT = """\
# Our plot.
site: Rook Lane
latitude: 52.6
frost: {last: 22 April, first: 4 November}   # almanac
winter-low: -6
warmest-month: 16.9
chart-starts: September 2026   # the first chart
beds:
  Long bed:
    size: 1.2 x 5 m
    soil: [compacted]
    needs:
      - cover
      - nitrogen
    grew: {2025: [onion], 2024: [carrot]}
    order:
      - {crop: lettuce, planted: 2026-06-20, cleared: 2026-09-01}
      - cover: choose
      - crop: French bean
  "Gate: bed":
    area: 4 m2
    order:
      - {crop: tomato, planted: 2026-05-30, cleared: 2026-10-10}
      - cover: rye
      - crop: leek
      - cover: choose
      - {crop: potato, plant-by: 2028-05-01}
  Roots:
    pots: 4 x 30 l
    order:
      - {crop: parsnip, sown: 2026-04-01, cleared: 2026-12-01}
  Crown bed:
    size: 1 x 2 m
    order: [{crop: rhubarb, planted: 2025-03-01}]
  Young crowns:
    size: 1 x 2 m
    order: [{crop: rhubarb, planted: 2026-03-01}]
garden-days: [Sat]
"""


@pytest.fixture
def beds(tmp_path: Path, calgen: Run, monkeypatch: pytest.MonkeyPatch) -> dict[str, Bed]:
    """The beds of the year after, by name."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "plot.yaml").write_text(PLOT, "utf-8")
    (tmp_path / "plot.diary.yaml").write_text(
        "diary:\n  - {on: 2026-09-05, bed: Long bed, done: sown, plant: oats}\n"
        "  - {on: 2027-06-28, bed: 'Gate: bed', done: planted, plant: leek}\n", "utf-8")
    status, out, err = calgen("new", "--next-year", "plot.yaml")
    assert (status, err) == (0, "")
    assert "plot-2027.yaml is written" in out
    assert calgen("check", "plot-2027.yaml")[0] == 0
    return {bed.name: bed for bed in desk(tmp_path / "plot-2027.yaml").site.beds}


def test_the_chart_goes_on_where_the_last_one_ended(beds: dict[str, Bed], tmp_path: Path) -> None:
    assert beds
    text = (tmp_path / "plot-2027.yaml").read_text("utf-8")
    head, rest = text.split("# Our plot.\n")
    assert "plot.yaml and its diary (2 entries)" in head
    assert "31 August 2027" in head
    old_head, old_beds = PLOT.split("# Our plot.\n")[1].split("beds:\n")
    assert rest.split("beds:\n")[0] == old_head.replace("September 2026 ", "September 2027 ")
    assert rest.endswith("garden-days: [Sat]\n")
    assert old_beds.endswith("garden-days: [Sat]\n")


def test_what_is_over_is_past_in_its_year(beds: dict[str, Bed]) -> None:
    past = dict(beds["Long bed"].grew)
    assert past[2026] == ("lettuce", "oats")
    assert past[2025] == ("onion-sets",)
    assert past[2024] == ("carrot",)
    assert dict(beds["Roots"].grew) == {2026: ("parsnip",)}
    assert dict(beds["Gate: bed"].grew)[2026] == ("tomato", "cereal-rye")


def test_what_stands_keeps_its_real_day_and_what_was_to_follow_comes_after(beds: dict[str, Bed]) -> None:
    leek, cover, potato = beds["Gate: bed"].order
    assert isinstance(leek, CropStep)
    assert (leek.plant, leek.planted) == ("leek", date(2027, 6, 28))
    assert isinstance(cover, CoverStep)
    assert cover.choose
    assert isinstance(potato, CropStep)
    assert (potato.planted, potato.plant_by) == (None, date(2028, 5, 1))


def test_a_perennial_stays_an_old_one_without_its_date(beds: dict[str, Bed], tmp_path: Path) -> None:
    """A date more than 900 days from the chart is taken for a slip, so the day goes into a remark."""
    (young,), (old,) = beds["Young crowns"].order, beds["Crown bed"].order
    assert isinstance(young, CropStep)
    assert isinstance(old, CropStep)
    assert (young.plant, young.planted, young.cleared) == ("rhubarb", date(2026, 3, 1), None)
    assert (old.plant, old.planted) == ("rhubarb", None)
    assert "# crop: rhubarb stands since 1 March 2025" in (tmp_path / "plot-2027.yaml").read_text("utf-8")
    plan = desk(tmp_path / "plot-2027.yaml").plan
    crowns = next(bed for bed in plan.beds if bed.bed.name == "Crown bed")
    assert not any(timed.kind == "plant" and timed.best >= plan.start for timed in crowns.tasks)


def test_the_ground_stays(beds: dict[str, Bed]) -> None:
    assert (beds["Long bed"].soil, beds["Long bed"].needs) == (("compacted",), ("cover", "nitrogen"))
    assert beds["Gate: bed"].size.area_m2 == 4
    assert beds["Roots"].size.pots == 4


def test_families_that_rest_are_told_with_the_year(beds: dict[str, Bed], tmp_path: Path) -> None:
    """Solanaceae 3 to 4 years apart (common practice): after tomato in 2026 not before 2030."""
    assert beds
    assert "# potato-solanaceae: not before 2030 (tomato in 2026)" in (tmp_path / "plot-2027.yaml").read_text("utf-8")


def test_the_year_after_that_too_and_its_remarks_do_not_pile_up(beds: dict[str, Bed], tmp_path: Path,
                                                               calgen: Run) -> None:
    assert beds
    assert calgen("new", "--next-year", "plot-2027.yaml")[0] == 0
    text = (tmp_path / "plot-2028.yaml").read_text("utf-8")
    assert text.count("# Carried over from") == 1
    assert "chart-starts: September 2028   # the first chart" in text
    assert dict(desk(tmp_path / "plot-2028.yaml").site.beds[0].grew)[2026] == ("lettuce", "oats")


def test_a_file_that_is_there_is_left_alone(beds: dict[str, Bed], tmp_path: Path, calgen: Run) -> None:
    assert beds
    before = (tmp_path / "plot-2027.yaml").read_bytes()
    status, _, err = calgen("new", "--next-year", "plot.yaml")
    assert status == 1
    assert "is there already" in err
    assert (tmp_path / "plot-2027.yaml").read_bytes() == before


def test_line_ends_and_byte_order_mark_stay(tmp_path: Path, calgen: Run) -> None:
    (tmp_path / "plot.yaml").write_bytes(b"\xef\xbb\xbf" + PLOT.replace("\n", "\r\n").encode())
    assert calgen("new", "--next-year", str(tmp_path / "plot.yaml"), "--to", str(tmp_path / "new.yaml"))[0] == 0
    data = (tmp_path / "new.yaml").read_bytes()
    assert data.startswith(b"\xef\xbb\xbf#")
    assert data.count(b"\n") == data.count(b"\r\n")


@pytest.mark.parametrize("name", ["withy-row", "kestrel-fork", "tussock-bight"])
def test_the_demo_sites_carry_over(name: str, tmp_path: Path, calgen: Run) -> None:
    shutil.copytree(SITES, tmp_path / "sites")
    old = desk(tmp_path / "sites" / f"{name}.yaml").plan.site  # crops left to choose written in
    target = tmp_path / "sites" / "next.yaml"
    assert calgen("new", "--next-year", str(tmp_path / "sites" / f"{name}.yaml"), "--to", str(target))[0] == 0
    assert calgen("check", str(target))[0] == 0
    new = desk(target).site
    assert [(bed.name, bed.size, bed.soil, bed.needs) for bed in new.beds] == [
        (bed.name, bed.size, bed.soil, bed.needs) for bed in old.beds]
    for before, after in zip(old.beds, new.beds, strict=True):
        assert {year for year, _ in before.grew} <= {year for year, _ in after.grew}
        crops = [step.plant for step in before.order if isinstance(step, CropStep)]
        carried = [plant for _, plants in after.grew for plant in plants] + [
            step.plant for step in after.order if isinstance(step, CropStep)]
        assert set(crops) <= set(carried)

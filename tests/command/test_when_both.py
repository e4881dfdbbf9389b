"""``calgen when`` for a plant that is eaten and also sown as cover."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from calgen.cli import main

SITE = Path(__file__).parent.parent.parent / "sites" / "withy-row.yaml"


@pytest.mark.parametrize(("word", "crop", "cover"), [
    ("corn salad", "corn-salad", "corn-salad"), ("broad bean", "broad-bean-spring", "broad-bean"),
    ("Broad beans", "broad-bean-spring", "broad-bean")])
def test_a_plant_that_is_both_has_the_windows_of_both(word: str, crop: str, cover: str,
                                                     capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["when", str(SITE), word, "--json"]) == 0
    rows = [(row["plant"], row["is"], row["method"]) for row in json.loads(capsys.readouterr().out)["windows"]]
    assert (crop, "crop") in {row[:2] for row in rows}
    assert (cover, "cover", "cover") in rows
    assert all((kind == "cover") == (method == "cover") for _, kind, method in rows)


def test_cowpea_is_sown_as_both_where_summers_are_long(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A grain and forage legume of the American South (common practice)."""
    path = tmp_path / "south.yaml"
    path.write_text("site: Long summer\nlatitude: 32.5\nfrost: {last: 20 March, first: 10 November}\n"
                    "warmest-month: 28\nchart-starts: January 2027\nbeds:\n  Bed:\n    area: 3 m2\n"
                    "    order: [{crop: okra}]\n", "utf-8")
    assert main(["when", str(path), "cowpea", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["windows"]
    assert {(row["plant"], row["is"]) for row in rows} == {("cowpea", "crop"), ("cowpea", "cover")}


def test_the_list_of_all_plants_has_both(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["when", str(SITE), "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["windows"]
    assert {row["is"] for row in rows if row["plant"] == "corn-salad"} == {"crop", "cover"}
    keys = [(row["plant"], row["is"], row["season"], row["method"]) for row in rows]
    assert len(keys) == len(set(keys))


def test_text_tells_them_apart(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["when", str(SITE), "corn salad"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "corn salad, as crop" in lines
    assert "corn salad, as cover" in lines


def test_covers_are_not_told_to_be_sown_later(capsys: pytest.CaptureFixture[str]) -> None:
    """``later`` sets summer sowings of a crop apart from its spring ones; covers have one time of year."""
    assert main(["when", str(SITE), "buckwheat", "beetroot"]) == 0
    told = capsys.readouterr().out
    assert "later" not in told.split("buckwheat")[1].split("beetroot")[0]
    assert "later       sow outdoors" in told


def test_what_is_known_of_a_plant_is_shown_by_its_plural(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plants", "leeks"]) == 0
    assert capsys.readouterr().out.startswith("leek (")

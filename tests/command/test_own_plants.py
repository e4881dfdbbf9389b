"""The grower's own plants: read like the shipped ones, used in an order, refused with the place of each fault."""

from __future__ import annotations

import json
from datetime import date
from importlib.resources import files
from typing import TYPE_CHECKING

import pytest
from calgen.cli import main
from calgen.command.load import desk
from calgen.knowledge.read import read_knowledge
from calgen.problems import InputError

if TYPE_CHECKING:
    from pathlib import Path

SKIRRET = """\
id: skirret
name: skirret
short: Skirret
code: SKR
botanical: Sium sisarum
also: [crummock]
family: Apiaceae
rotation-group: root
feeding: light
hardiness: hardy
methods: [direct]
seed-size: small
spring:
  direct: {value: [-6, 2], unit: weeks, source: own, why: sown here as early as parsnip for six years}
stands-winter: yes
perennial: no
maturity-days: {value: [180, 220], unit: days, source: own, why: dug from October on in this garden}
counted-from: sowing
harvest-days: {value: [60, 120], unit: days, source: own, why: keeps in the ground until it sprouts}
base-c: {value: 4, unit: C, source: own, why: taken like parsnip}
kill-c: {value: -25, unit: C, source: own, why: never lost here}
in-row-cm: {value: 25, unit: cm, source: own, why: as I space it}
rows-cm: {value: 40, unit: cm, source: own, why: as I space it}
depth-mm: {value: 10, unit: mm, source: own, why: as I sow it}
undersow: {possible: no, note: Too slow in its youth., source: own}
"""
SITE = """\
site: Own plot
latitude: 52.4
frost: {{last: 28 April, first: 19 October}}
chart-starts: September 2026
plants: {plants}
beds:
  Long bed:
    size: 1.2 x 6 m
    order:
      - crop: lettuce
        planted: 2026-07-20
        cleared: 2026-09-05
      - cover: phacelia
      - crop: crummock
"""


def shipped(cover: str) -> str:
    """The data file of a cover."""
    return (files("calgen.knowledge") / "data" / "covers" / f"{cover}.yaml").read_text("utf-8")


def phacelia(**changed: str) -> str:
    """The shipped phacelia with single lines changed."""
    lines = shipped("phacelia").splitlines()
    for key, line in changed.items():
        at = next(n for n, old in enumerate(lines) if old.startswith(f"{key.replace('_', '-')}:"))
        end = next(n for n in range(at + 1, len(lines)) if not lines[n].startswith((" ", "-")))
        lines[at:end] = [line]
    return "\n".join(lines) + "\n"


HARDIER = phacelia(kill_c="kill-c: {value: -18, unit: C, source: own, why: my strain stood -15 three times}")


def plot(tmp_path: Path, plants: str = "[own/skirret.yaml, own/phacelia.yaml]", skirret: str = SKIRRET,
         cover: str = HARDIER) -> Path:
    """A site file with two files of own plants."""
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "skirret.yaml").write_text(skirret, "utf-8")
    (tmp_path / "own" / "phacelia.yaml").write_text(cover, "utf-8")
    path = tmp_path / "plot.yaml"
    path.write_text(SITE.format(plants=plants), "utf-8")
    return path


def problems(path: Path) -> list[str]:
    """What is wrong, without the folder."""
    with pytest.raises(InputError) as raised:
        desk(path)
    return [str(problem).replace(f"{path.parent}/", "") for problem in raised.value.problems]


def test_a_new_crop_and_an_overridden_cover_are_planned(tmp_path: Path) -> None:
    found = desk(plot(tmp_path))
    [bed] = found.schedule(date(2026, 9, 1)).beds
    spans = [(span.kind, span.plants, span.label.name) for span in bed.spans]
    assert ("crop", ("skirret",), "skirret") in spans
    assert ("cover", ("phacelia",), "phacelia") in spans
    assert found.knowledge.covers["phacelia"].kill_c.mid == -18
    assert found.knowledge.crops["skirret"].maturity_days.why == "dug from October on in this garden"


def test_the_cover_of_the_grower_stands_colder_winters(tmp_path: Path) -> None:
    """The same site without it: winter ends shipped phacelia sooner or in more winters."""
    own = desk(plot(tmp_path))
    without = SITE.format(plants="[own/skirret.yaml]")
    (tmp_path / "plot.yaml").write_text(without, "utf-8")
    chances = [found.plan.beds[0].choices[0].chosen.attained.kill_chance  # type: ignore[union-attr]
               for found in (own, desk(tmp_path / "plot.yaml"))]
    assert chances[0] < chances[1]


def test_shipped_knowledge_is_left_as_it_was(tmp_path: Path) -> None:
    desk(plot(tmp_path))
    assert read_knowledge().covers["phacelia"].kill_c.mid != -18
    assert "skirret" not in read_knowledge().crops


def test_a_plant_may_be_written_out_in_the_site_file(tmp_path: Path) -> None:
    inline = "\n  - " + SKIRRET.replace("\n", "\n    ").rstrip() + "\n  - own/phacelia.yaml"
    found = desk(plot(tmp_path, inline))
    assert found.knowledge.crops["skirret"].names.also == ("crummock",)
    assert found.knowledge.covers["phacelia"].kill_c.mid == -18


def test_one_file_needs_no_list(tmp_path: Path) -> None:
    assert "skirret" in desk(plot(tmp_path, "own/skirret.yaml")).knowledge.crops


def test_when_answers_for_own_plants(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["when", str(plot(tmp_path)), "Crummock", "--json"]) == 0
    windows = json.loads(capsys.readouterr().out)["windows"]
    assert {(row["plant"], row["is"]) for row in windows} == {("skirret", "crop")}


def test_plants_shows_what_the_grower_wrote(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plants", "skirret", "--site", str(plot(tmp_path))]) == 0
    assert "dug from October on in this garden" in " ".join(capsys.readouterr().out.split())
    assert main(["plants", "skirret"]) == 1


def test_an_unknown_source_is_refused_at_its_line(tmp_path: Path) -> None:
    [told] = problems(plot(tmp_path, skirret=SKIRRET.replace("source: own, why: dug", "source: uncle, why: dug")))
    assert told.startswith("own/skirret.yaml:17:")
    assert '"uncle" is no known source' in told


def test_own_without_why_is_refused(tmp_path: Path) -> None:
    [told] = problems(plot(tmp_path, skirret=SKIRRET.replace(", why: never lost here", "")))
    assert told.startswith("own/skirret.yaml:21:")
    assert 'is our own; add "why"' in told


def test_wrong_units_and_numbers_out_of_bounds_are_told_together(tmp_path: Path) -> None:
    skirret = SKIRRET.replace("{value: 25, unit: cm", "{value: 25, unit: in").replace("value: -25", "value: -250")
    told = problems(plot(tmp_path, skirret=skirret))
    assert [line.split(":")[1] for line in told] == ["21", "22"]
    assert '"in" is no unit for this' in told[1]


def test_both_files_are_looked_through(tmp_path: Path) -> None:
    told = problems(plot(tmp_path, skirret=SKIRRET.replace("hardiness: hardy", "hardiness: tough"),
                         cover=HARDIER.replace("kind: ", "kind: my ")))
    assert {line.split(":")[0] for line in told} == {"own/skirret.yaml", "own/phacelia.yaml"}


@pytest.mark.parametrize(("line", "instead", "words"), [
    ("also: [crummock]", "also: [skirret, white carrot, arugula]", '"arugula" already stands for the crop rocket'),
    ("name: skirret", "name: Parsnip", '"Parsnip" already stands for the crop parsnip'),
    ("code: SKR", "code: ROC", '"ROC" already stands for rocket'),
])
def test_names_and_codes_must_be_free(tmp_path: Path, line: str, instead: str, words: str) -> None:
    told = problems(plot(tmp_path, skirret=SKIRRET.replace(line, instead)))
    number = SKIRRET[:SKIRRET.index(line)].count("\n") + 1
    assert any(one.startswith(f"own/skirret.yaml:{number}:") and words in one for one in told)


def test_a_plant_given_twice_is_refused(tmp_path: Path) -> None:
    [told] = problems(plot(tmp_path, "[own/skirret.yaml, own/skirret.yaml]"))
    assert 'the crop "skirret" is given twice' in told


def test_a_missing_file_is_told_where_it_is_named(tmp_path: Path) -> None:
    [told] = problems(plot(tmp_path, "[own/skirret.yaml, own/pfacelia.yaml]"))
    assert told.startswith("plot.yaml:5:28: plants: 2:")
    assert '"own/pfacelia.yaml" cannot be read' in told


def test_what_is_neither_crop_nor_cover_is_told(tmp_path: Path) -> None:
    [told] = problems(plot(tmp_path, skirret="id: skirret\nname: skirret\n"))
    assert told.startswith("own/skirret.yaml:1:1: is neither crop nor cover")


def test_broken_yaml_is_told_by_its_own_line(tmp_path: Path) -> None:
    [told] = problems(plot(tmp_path, skirret="id: skirret\nname: [\n"))
    assert told.startswith("own/skirret.yaml:")

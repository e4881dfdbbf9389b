"""``calgen check`` reads all that a site names; ``--plan`` adds what a build has to tell."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from calgen.cli import main

ROOT = Path(__file__).parents[2]
NAME = "withy-row.yaml"


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / "sites" / NAME, tmp_path)
    return NAME


def test_without_a_plan_only_mistakes_are_told(site: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", site]) == 0
    assert capsys.readouterr().out == f"{NAME}: 12 beds, nothing wrong\n"


def test_with_a_plan_it_tells_what_a_build_tells(site: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", site]) == 0
    built = [line for line in capsys.readouterr().out.splitlines() if ": note: " in line]
    assert main(["check", "--plan", site]) == 0
    *notes, last = capsys.readouterr().out.splitlines()
    assert notes
    assert notes == built
    assert last == f"{NAME}: 12 beds, nothing wrong, {len(notes)} notes"
    assert main(["check", "--plan", "--json", site]) == 0
    assert len(json.loads(capsys.readouterr().out)["sites"][0]["problems"]) == len(notes)


def test_templates_and_records_are_read_without_a_plan(site: str, capsys: pytest.CaptureFixture[str]) -> None:
    Path("own").mkdir()
    shutil.copy(ROOT / "templates" / "wording-en.yaml", "own")
    wording = Path("own/wording-en.yaml")
    wording.write_text(wording.read_text("utf-8").replace("language:", "langauge:", 1), "utf-8")
    assert main(["check", site, "--templates", "own"]) == 1
    assert "langauge" in capsys.readouterr().err
    text = Path(site).read_text("utf-8")
    assert "\nclimate:" not in text
    Path(site).write_text(f"{text}\nclimate: {{record: nights.csv}}\n", "utf-8")
    Path("nights.csv").write_text("date,tmin,tmax\n2020-01-01,cold,3\n", "utf-8")
    assert main(["check", site]) == 1
    assert "nights.csv:2" in capsys.readouterr().err

"""Damaged diaries, records, wordings, plants, chart styles and plan.json: each file gives exactly the lines beside it.

They are put where a site named ``plot`` reads them; exit status 1, nothing is written, nothing else is printed.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from calgen.cli import main

HERE = Path(__file__).parent
PLOT = """\
site: Rook Lane
latitude: 52.6
frost: {last: 22 April, first: 4 November}
chart-starts: September 2026
beds:
  Long bed: {size: 1 x 5 m, order: [{crop: lettuce, planted: 2026-06-20}, {cover: choose}, {crop: pea}]}
"""
KINDS = {
    "bad_diaries": ("plot.diary.yaml", ""),
    "bad_records": ("nights.csv", "climate: {record: nights.csv}\n"),
    "bad_wordings": ("own/wording-xx.yaml", "language: xx\n"),
    "bad_plants": ("own.yaml", "plants: [own.yaml]\n"),
    "bad_styles": ("own/chart-own.yaml", ""),
    "bad_plans": ("output/plot/plan.json", ""),
}
FILES = [path for folder in KINDS for path in sorted((HERE / folder).iterdir()) if path.suffix != ".txt"]


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_the_faults_are_told_in_these_words(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str],
                                            monkeypatch: pytest.MonkeyPatch) -> None:
    name, more = KINDS[path.parent.name]
    monkeypatch.chdir(tmp_path)
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    Path(name).write_bytes(path.read_bytes())
    Path("plot.yaml").write_text(PLOT + more, "utf-8")
    before = {file: file.read_bytes() for file in Path().rglob("*") if file.is_file()}
    assert main(["build", "plot.yaml", "--templates", "own", "--today", "2026-09-01", "--style",
                 "chart-own" if path.parent.name == "bad_styles" else "chart-a4"]) == 1
    out, err = capsys.readouterr()
    assert err == path.with_suffix(".txt").read_text("utf-8")
    assert out == ""
    assert {file: file.read_bytes() for file in Path().rglob("*") if file.is_file()} == before

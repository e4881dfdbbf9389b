"""``calgen build --json`` prints JSON and nothing else."""

import json
from pathlib import Path

import pytest
from calgen.cli import main

ROOT = Path(__file__).parents[2]


def test_what_was_written_and_told_is_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good, bad = ROOT / "sites" / "tussock-bight.yaml", ROOT / "tests" / "bad_sites" / "names.yaml"
    arguments = ["build", str(good), str(bad), "--out", str(tmp_path), "--today", "2026-09-01", "--json"]
    assert main(arguments) == 1
    data = json.loads(capsys.readouterr().out)
    assert data["format"] == 1
    assert [Path(site["file"]).name for site in data["sites"]] == [good.name, bad.name]
    assert "plan.json" in data["sites"][0]["written"]
    assert data["sites"][1]["written"] == []
    assert any("did you mean" in line for line in data["sites"][1]["told"])
    assert [site["done"] for site in data["sites"]] == [True, False]
    for path, done in ((good, True), (bad, False)):
        assert main(["build", str(path), "--out", str(tmp_path), "--today", "2026-09-01", "--json"]) == int(not done)
        assert [site["done"] for site in json.loads(capsys.readouterr().out)["sites"]] == [done]

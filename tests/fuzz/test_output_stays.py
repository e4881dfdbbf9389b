"""What is written stays in the output folder, whatever the site file is called and whatever lies there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from calgen.cli import main
from tests.fuzz.kinds import BARE_PLOT

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("name", ["..yaml", "...yaml"])
def test_a_file_without_a_name_of_its_own_is_refused(name: str, tmp_path: Path,
                                                     capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / name).write_bytes(BARE_PLOT)
    before = sorted(tmp_path.rglob("*"))
    assert main(["build", str(tmp_path / name), "--out", str(tmp_path / "in" / "out")]) == 1
    assert "has no name before .yaml to call its folder by; rename it" in capsys.readouterr().err
    assert sorted(tmp_path.rglob("*")) == before


def test_a_link_in_place_of_feeds_is_not_followed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "plot.yaml").write_bytes(BARE_PLOT)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (tmp_path / "out" / "plot").mkdir(parents=True)
    (tmp_path / "out" / "plot" / "feeds").symlink_to(elsewhere)
    assert main(["build", str(tmp_path / "plot.yaml"), "--out", str(tmp_path / "out")]) == 1
    assert "is a link that leads elsewhere; the output is as it was" in capsys.readouterr().err
    assert list(elsewhere.iterdir()) == []
    assert not (tmp_path / "out" / "plot" / "plan.json").exists()

"""A plot of two beds, and commands run on it as from a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from calgen.cli import main

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

PLOT = """\
# Our plot: the remark stays.
site: Rook Lane
latitude: 52.6
frost:
  last:   22 April     # from the parish almanac
  first: '4 November'  # average
winter-low: -6
warmest-month: 16.9
chart-starts: September 2026
beds:
  Long bed:
    size: 1 x 5 m
    soil: [compacted]
    needs: [cover, nitrogen]
    grew: {2025: [onion], 2024: [carrot]}
    order:
      - {crop: lettuce, planted: 2026-06-20, cleared: 2026-09-01}
      - cover: choose
      - crop: French bean
  Gate bed:
    size: 1 x 5 m
    order:
      - crop: leek
        planted: 2026-06-20
      - cover: choose
      - crop: carrot
"""


@pytest.fixture
def plot(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The site file, in the folder that is worked in."""
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "plot.yaml"
    path.write_bytes(PLOT.encode())
    return path


@pytest.fixture
def calgen(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """Runs a command line: exit status, output, and what went to standard error."""

    def run(*words: str) -> tuple[int, str, str]:
        capsys.readouterr()
        status = main(list(words))
        out, err = capsys.readouterr()
        return status, out, err

    return run

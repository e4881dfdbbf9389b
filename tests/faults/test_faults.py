"""A part of the campaign of faults with every run of the tests: killed, or with a failing disk, at every few touches.

The whole of it: ``python -m tests.faults.campaign``.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest
from tests.faults.moments import ANY, ERRORS, Moments, failing, kill, run
from tests.faults.plot import Case, cases, each_touch, faults, put

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
COMMANDS = ("first", "build", "frost", "done")


@pytest.fixture(scope="module")
def plot(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder in which all of it happens."""
    return tmp_path_factory.mktemp("faults").resolve() / "plot"


@pytest.fixture(scope="module")
def known(plot: Path) -> dict[str, Case]:
    """The commands, and the folder before and after each."""
    return cases(plot)


@pytest.mark.parametrize("command", COMMANDS)
def test_killed_at_any_moment_old_or_new_is_whole(command: str, known: dict[str, Case], plot: Path) -> None:
    case = known[command]
    wrong = each_touch(case, plot, lambda at: run(case.words, plot, Moments(at, kill, plot)), step=23)
    assert len(wrong) >= 2
    assert faults(wrong) == {}


@pytest.mark.parametrize("sort", ERRORS)
@pytest.mark.parametrize("command", COMMANDS)
def test_a_failing_disk_leaves_old_or_new_whole_and_is_told(command: str, sort: str, known: dict[str, Case],
                                                            plot: Path) -> None:
    case, (number, only) = known[command], ERRORS[sort]
    wrong = each_touch(case, plot, lambda at: run(case.words, plot, Moments(at, failing(number), plot, only,
                                                                           lasting=True)), step=53)
    assert faults(wrong) == {}


def test_touches_are_counted(known: dict[str, Case], plot: Path) -> None:
    """Of a build that changes files there are many."""
    put(plot, known["build"].before)
    assert run(known["build"].words, plot, Moments(10_000, kill, plot, ANY)).touches > 50

"""A pipe, device, socket or folder where a file should be: told in words, nobody waits for it, nothing is lost.

Each command is a process of its own, ended when it hangs.
"""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are a thing of POSIX")

BUILD = ("build", "plot.yaml", "--today", "2026-09-01", "--style", "chart-a4", "--templates", "own")
SEVERAL = ("build", "plot.yaml", "elm.yaml", "--today", "2026-09-01", "--style", "chart-a4", "--templates", "own")
DONE = ("done", "plot.yaml", "1", "sown", "--plant", "French bean", "--on", "2026-09-01", "--templates", "own")
FROST = ("frost", "plot.yaml", "--last", "9 May", "--write", "--today", "2026-09-01", "--templates", "own")
SERVE = ("serve", "--port", "0")
WHY = ("why", "plot.yaml", "1", "--templates", "own")


def a_socket(path: Path) -> None:
    with closing(socket.socket(socket.AF_UNIX)) as listener:
        listener.bind(str(path))


def a_device(path: Path) -> None:
    path.symlink_to("/dev/zero")


KINDS = {"pipe": os.mkfifo, "device": a_device, "socket": a_socket, "folder": Path.mkdir}


@pytest.fixture
def calgen(plot: Path) -> Callable[..., tuple[int, str]]:
    """Runs a command in the plot's folder; its exit status and what it told on standard error."""
    Path("elm.yaml").write_bytes(plot.read_bytes())
    Path("own").mkdir()

    def run(*words: str) -> tuple[int, str]:
        ended = subprocess.run([sys.executable, "-m", "calgen", *words], capture_output=True, text=True, check=False,
                               encoding="utf-8", timeout=60, stdin=subprocess.DEVNULL)
        return ended.returncode, ended.stderr

    return run


def lay(kind: str, name: str) -> Path:
    """Put one of a kind where a file may stand already."""
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.unlink(missing_ok=True)
    KINDS[kind](path)
    return path


def refused(ended: tuple[int, str], *names: str) -> None:
    status, err = ended
    assert status == 1
    assert "Traceback" not in err
    assert any(name in err for name in names), err
    assert any(words in err for words in ("is no plain file", "(no plain file)", "no plain file;", "is a folder",
                                          "in the way", "Is a directory", "cannot be read", "cannot write")), err


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ["plan.json", "changes.txt", "index.html", "wall-chart.pdf", "feeds/all.ics",
                                  "feeds/.all.ics.calgen-new", ".calgen-lock", ".calgen-moves"])
def test_in_the_output_folder(kind: str, name: str, calgen: Callable[..., tuple[int, str]]) -> None:
    """Each is in the way of a first build, but for what a build has for itself there: that it may clear away."""
    path = lay(kind, f"output/plot/{name}")
    ended = calgen(*BUILD)
    if name.endswith(".calgen-new") and kind != "folder":
        assert ended[0] == 0
        return
    refused(ended, path.name)
    assert "move it away" in ended[1]
    assert {found.name for found in Path("output/plot").rglob("*")} <= {path.name, "feeds", ".calgen-lock"}
    if kind == "pipe" and name in ("plan.json", "feeds/all.ics"):
        refused(calgen(*SEVERAL), path.name)
        assert Path("output/elm/plan.json").is_file()
        refused(calgen(*FROST), path.name)
        assert b"9 May" in Path("plot.yaml").read_bytes()  # it stays, as it tells


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ["plot.yaml", "plot.diary.yaml", "own/wording-en.yaml"])
def test_among_what_is_read(kind: str, name: str, calgen: Callable[..., tuple[int, str]]) -> None:
    lay(kind, name)
    for words in (BUILD, DONE, FROST, WHY, SEVERAL) if kind == "pipe" else (BUILD, DONE):
        refused(calgen(*words), Path(name).name)
    assert not Path("output/plot").exists()
    assert Path(name).is_dir() or not Path(name).is_file()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("ending", ["calgen-lock", "calgen-new"])
def test_beside_the_diary(kind: str, ending: str, calgen: Callable[..., tuple[int, str]]) -> None:
    """Where calgen is about to lock or write; a thing left there by nobody knows whom is cleared away if it can be."""
    lay(kind, f".plot.diary.yaml.{ending}")
    ended = calgen(*DONE)
    if ending == "calgen-new" and kind != "folder":
        assert ended == (0, "")
        assert Path("plot.diary.yaml").is_file()
        return
    refused(ended, f".plot.diary.yaml.{ending}")
    assert not Path("plot.diary.yaml").exists()


@pytest.mark.parametrize("kind", KINDS)
def test_as_the_note_of_what_was_made(kind: str, calgen: Callable[..., tuple[int, str]]) -> None:
    """It is there to save work, no more."""
    lay(kind, "output/plot/.calgen-made")
    assert calgen(*SEVERAL) == (0, "")
    assert Path("output/plot/plan.json").is_file()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ["output/.calgen-addresses.json", "output/.calgen-lock", "output/plot/plan.json"])
def test_where_serve_looks(kind: str, name: str, calgen: Callable[..., tuple[int, str]]) -> None:
    if not name.endswith("plan.json"):
        assert calgen(*BUILD)[0] == 0
    path = lay(kind, name)
    status, err = calgen(*SERVE)
    assert status == 1
    assert "Traceback" not in err
    assert path.name in err or "nothing has been built in output" in err


@pytest.mark.parametrize("kind", KINDS)
def test_as_a_font(kind: str, calgen: Callable[..., tuple[int, str]]) -> None:
    font = lay(kind, "own.ttf")
    style = (Path(__file__).parents[2] / "templates/chart-a4.yaml").read_text("utf-8")
    Path("own/chart-a4.yaml").write_text(f"{style}\nfonts: [own.ttf]\n", "utf-8")
    refused(calgen(*BUILD), font.name)

"""A site file from flags or by asking; nothing is written while something is wrong."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk
from calgen.command.plain import plain
from calgen.problems import Faults
from calgen.yamlfile import compose
from hypothesis import given
from hypothesis import strategies as st

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    Run = Callable[..., tuple[int, str, str]]

FLAGS = ("--name", "Rook Lane", "--latitude", "52.4", "--last", "28 April", "--first", "19 October",
         "--starts", "September 2026")


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], list[str]]:
    """Types these lines at a terminal; gives the questions as they are asked."""

    def type_in(text: str) -> list[str]:
        lines: Iterator[str] = iter(text.splitlines())
        asked: list[str] = []

        def answer(question: str = "") -> str:
            asked.append(question)
            try:
                return next(lines)
            except StopIteration:
                raise EOFError from None

        monkeypatch.setattr("builtins.input", answer)
        monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
        return asked

    return type_in


@given(st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), min_size=1).filter(str.split))
def test_any_text_reads_back_from_a_file(text: str) -> None:
    tidy = " ".join(text.split())
    top = compose(f"a: {plain(text)}\n".encode(), "x", Faults())
    assert top.scalar("a", str) == tidy


def test_flags_make_a_file_that_is_right(tmp_path: Path, calgen: Run) -> None:
    status, out, _ = calgen("new", "sites/rook.yaml", *FLAGS, "--bed", "Long bed = 1.2 x 6 m = leek",
                            "--bed", "O'Grady's: no. 2 = pots: 6 x 30 l = tomato", "--soil", "clay")
    assert status == 1
    assert not (tmp_path / "sites").exists()
    status, out, _ = calgen("new", "sites/rook.yaml", *FLAGS, "--bed", "Long bed = 1.2 x 6 m = leek",
                            "--bed", "O'Grady's: no. 2 = 1 x 3 m = runner bean", "--soil", "clay")
    assert status == 0
    assert "calgen build sites/rook.yaml" in out
    site = desk(tmp_path / "sites/rook.yaml").site
    assert [bed.name for bed in site.beds] == ["Long bed", "O'Grady's: no. 2"]
    assert (site.name, site.soil, site.latitude_deg) == ("Rook Lane", "clay", 52.4)
    assert calgen("check", "sites/rook.yaml")[0] == 0


def test_a_file_that_is_there_is_never_touched(tmp_path: Path, calgen: Run) -> None:
    (tmp_path / "rook.yaml").write_bytes(b"mine")
    status, _, err = calgen("new", "rook.yaml", *FLAGS)
    assert status == 1
    assert "rook.yaml: is there already" in err
    assert (tmp_path / "rook.yaml").read_bytes() == b"mine"


@pytest.mark.parametrize(("flag", "value", "told"), [
    ("--latitude", "north", '--latitude: "north"'),
    ("--last", "31 June", '--last: "31 June"'),
    ("--soil", "mud", "mud"),
    ("--winter-low", "cold", "cold"),
    ("--starts", "Septober", "Septober"),
    ("--bed", "Long bed", "is no bed; write"),
    ("--bed", "Long bed = 1 x 2 m = leeek", "leeek"),
])
def test_a_wrong_flag_is_told_and_nothing_written(tmp_path: Path, calgen: Run, flag: str, value: str,
                                                  told: str) -> None:
    words = [*FLAGS]
    if flag in words:
        words[words.index(flag) + 1] = value
    else:
        words += [flag, value]
    status, _, err = calgen("new", "rook.yaml", *words)
    assert status == 1
    assert told in err
    assert list(tmp_path.iterdir()) == []


def test_without_terminal_what_is_missing_is_told(tmp_path: Path, calgen: Run,
                                                  monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False, raising=False)
    status, _, err = calgen("new", "rook.yaml", "--name", "Rook Lane")
    assert status == 1
    assert [line.rpartition("--")[2].split()[0] for line in err.splitlines()[:3]] == ["first", "last", "latitude"]
    assert list(tmp_path.iterdir()) == []


def test_answers_are_asked_for_again_until_they_are_right(tmp_path: Path, calgen: Run,
                                                          answers: Callable[[str], list[str]]) -> None:
    asked = answers("Rook: Lane #2\nnorth\n52.4\n31 June\n28 April\n19 October\n"
                    "Long bed\nLong bed = 1.2 x 6 m = leek\n\n")
    status, out, _ = calgen("new", "rook.yaml", "--starts", "September 2026")
    assert status == 0
    assert len(asked) == 9
    assert '"north" ' in out
    site = desk(tmp_path / "rook.yaml").site
    assert site.name == "Rook: Lane #2"
    assert [bed.name for bed in site.beds] == ["Long bed"]


def test_questions_broken_off_write_nothing(tmp_path: Path, calgen: Run,
                                            answers: Callable[[str], list[str]]) -> None:
    answers("Rook Lane\n")
    status, _, err = calgen("new", "rook.yaml")
    assert status == 1
    assert "the questions were not answered" in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="no pseudo-terminal")
def test_on_a_real_terminal(tmp_path: Path) -> None:
    import pty
    import subprocess

    master, slave = pty.openpty()
    process = subprocess.Popen([sys.executable, "-m", "calgen", "new", "rook.yaml"], stdin=slave, stdout=slave,
                               stderr=subprocess.PIPE, cwd=tmp_path)
    os.close(slave)
    os.write(master, "Zum Grünen Eck\n52.4\n28 April\n19 October\nEck = 2 x 3 m = leek\n\n".encode())
    assert process.wait(60) == 0
    assert process.stderr
    process.stderr.close()
    os.close(master)
    assert desk(tmp_path / "rook.yaml").site.name == "Zum Grünen Eck"


def test_neither_file_nor_year_is_wrong_use(calgen: Run) -> None:
    assert calgen("new")[0] == 2
    assert calgen("new", "a.yaml", "--next-year", "b.yaml")[0] == 2

"""Ten megabytes in place of any file that calgen reads: refused in a few words, soon, and with nothing written."""

from __future__ import annotations

import gzip
import os
from pathlib import Path

import pytest
from calgen.cli import main
from tests.test_bad_files import KINDS, PLOT

SIZE = 10_000_000
FILLED = {
    "letters": lambda: b"x" * SIZE,
    "empty lines": lambda: b"\n" * SIZE,
    "brackets": lambda: b"[" * SIZE,
    "nothing": lambda: bytes(SIZE),
    "quotation marks": lambda: b'"' * SIZE,
    "keys": lambda: b"".join(b"k%d: [1, 2]\n" % number for number in range(SIZE // 16)),
    "objects": lambda: b'{"format": 1, "jobs": [' + b"{}," * (SIZE // 3),
    "days": lambda: b"date,tmin,tmax\n" + b"2001-01-01,1.0,2.0\n" * (SIZE // 19),
    "an archive that swells": lambda: gzip.compress(b"date,tmin,tmax\n" + b"\n" * SIZE),
}


def _refused(name: str, more: str, data: bytes, capsys: pytest.CaptureFixture[str]) -> str:
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    Path(name).write_bytes(data)
    if name != "plot.yaml":
        Path("plot.yaml").write_text(PLOT + more, "utf-8")
    style = "chart-own" if "chart-own" in name else "chart-a4"
    before = sorted(Path().rglob("*"))
    assert main(["build", "plot.yaml", "--templates", "own", "--today", "2026-09-01", "--style", style]) == 1
    out, err = capsys.readouterr()
    assert sorted(Path().rglob("*")) == before
    assert (out, len(err) < 2000) == ("", True)
    return err


@pytest.mark.parametrize("filled", FILLED)
@pytest.mark.parametrize("kind", ["site", *KINDS])
def test_ten_megabytes_are_refused_in_a_few_words(kind: str, filled: str, tmp_path: Path,
                                                  capsys: pytest.CaptureFixture[str],
                                                  monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    name, more = KINDS.get(kind, ("plot.yaml", ""))
    data = FILLED[filled]()
    err = _refused(name, more, data, capsys)
    assert err.startswith(f"{name}:")
    if len(data) > 2_000_000 and kind not in ("bad_records", "bad_plans"):
        assert err == f"{name}:1:1: is larger than 2 MB; this is no file for calgen\n1 problem; nothing was written\n"


@pytest.mark.parametrize("filled", FILLED)
def test_feeds_of_ten_megabytes_are_no_memory(filled: str, tmp_path: Path, capsys: pytest.CaptureFixture[str],
                                              monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("plot.yaml").write_text(PLOT, "utf-8")
    Path("output/plot/feeds").mkdir(parents=True)
    Path("output/plot/feeds/all.ics").write_bytes(FILLED[filled]())
    assert main(["build", "plot.yaml", "--today", "2026-09-01", "--style", "chart-a4"]) == 0
    assert "nor can a reminder in feeds/ be read" in capsys.readouterr().out


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are a thing of POSIX")
@pytest.mark.parametrize("kind", ["bad_records", "bad_plants"])
def test_a_pipe_that_nobody_writes_to_is_refused(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str],
                                                 monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    name, more = KINDS[kind]
    os.mkfifo(name)
    Path("plot.yaml").write_text(PLOT + more, "utf-8")
    assert main(["check", "plot.yaml", "--plan"]) == 1
    assert "is no plain file" in capsys.readouterr().err

"""Each file of ``bad_sites`` gives exactly the lines beside it on standard error, exit status 1, and writes nothing."""

from pathlib import Path

import pytest
from calgen.cli import main

FOLDER = Path(__file__).parent / "bad_sites"
FILES = sorted(FOLDER.glob("*.yaml"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_faults_are_told_in_these_words(path: Path, capsys: pytest.CaptureFixture[str],
                                           monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)
    assert main(["check", path.name]) == 1
    out, err = capsys.readouterr()
    assert err == path.with_suffix(".txt").read_text("utf-8")
    assert out == ""


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_nothing_is_written(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", str(path), "--out", str(tmp_path / "out")]) == 1
    assert not (tmp_path / "out").exists()
    assert "Traceback" not in capsys.readouterr().err

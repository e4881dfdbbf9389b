"""README is true: its site file builds, its commands run, its two setup lines are the ones that CI uses."""

import re
import shlex
import shutil
from glob import glob
from pathlib import Path

import pytest
from calgen.cli import COMMANDS, main

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
COMMAND_LINES = re.findall(r"^ {4,6}(\.venv/bin/calgen .*)$", README, re.MULTILINE)
SETUP_LINES = re.findall(r"^ {4}(python3 -m venv .*)$", README, re.MULTILINE)


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo sites and the site file of README."""
    folder = tmp_path_factory.mktemp("garden")
    shutil.copytree(ROOT / "sites", folder / "sites")
    snippet = re.search(r"```yaml\n(.*?)```", README, re.DOTALL)
    assert snippet
    (folder / "sites" / "my-plot.yaml").write_text(snippet[1], "utf-8")
    return folder


def test_two_setup_lines_one_builds_a_demo_and_one_tests() -> None:
    assert len(SETUP_LINES) == 2
    build, test = SETUP_LINES
    site = re.search(r"calgen build (\S+)$", build)
    assert site
    assert (ROOT / site[1]).is_file()
    assert test.endswith("pytest -q")


def test_there_is_a_tour() -> None:
    assert len(COMMAND_LINES) >= 6


@pytest.mark.parametrize("line", COMMAND_LINES)
def test_a_command_of_the_tour_runs(line: str, garden: Path, monkeypatch: pytest.MonkeyPatch,
                                    capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(garden)
    words = [found for word in shlex.split(line)[1:] for found in (sorted(glob(word)) if "*" in word else [word])]
    assert main(words) == 0
    assert capsys.readouterr().out.strip()


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_with_an_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main([command, "--help"])
    assert ended.value.code == 0
    assert "Example: calgen " in " ".join(capsys.readouterr().out.split())


def test_wrong_use_ends_with_status_2(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["bild"])
    assert ended.value.code == 2
    assert "invalid choice" in capsys.readouterr().err

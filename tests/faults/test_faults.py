"""Commands cut short: old or new whole, a clear message, a clean run after. ``campaign.py`` tries every moment."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from tests.faults.moments import ANY, ERRORS, Ended, Moments, failing, kill, run
from tests.faults.plot import BUILD, COMMANDS, OUT, Case, cases, each_touch, files, outputs, put

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

pytestmark = [
    pytest.mark.skipif(sys.platform == "win32", reason="needs fork"),
    pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning"),  # the child runs one thread
]


@pytest.fixture(scope="module")
def plots(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Case]]:
    """A folder to work in, and the commands with their folders before and after."""
    folder = tmp_path_factory.mktemp("faults") / "plot"
    return folder, cases(folder)


def disturbed(act: Callable[[], None], folder: Path, words: tuple[str, ...], only: frozenset[str] = ANY,
              lasting: bool = False) -> Callable[[int], Ended]:
    """The command with something that happens at one of its touches."""
    return lambda at: run(words, folder, Moments(at, act, folder, only, lasting))


def found(wrong: dict[int, list[str]]) -> dict[int, list[str]]:
    """The moments at which something was wrong."""
    return {at: lines for at, lines in wrong.items() if lines}


@pytest.mark.parametrize(("name", "every", "least"), [("build", 11, 100), ("frost", 19, 90), ("done", 2, 7)])
def test_killed(plots: tuple[Path, dict[str, Case]], name: str, every: int, least: int) -> None:
    folder, cases_by_name = plots
    case = cases_by_name[name]
    wrong = each_touch(case, folder, disturbed(kill, folder, case.words), every)
    assert max(wrong) >= least
    assert found(wrong) == {}


@pytest.mark.parametrize(("name", "every"), [("first", 31), ("build", 41), ("frost", 41), ("done", 3)])
@pytest.mark.parametrize("sort", ["full", "read-only"])
def test_a_disk_that_fails(plots: tuple[Path, dict[str, Case]], name: str, every: int, sort: str) -> None:
    """Full: whatever needs room fails from there on; read-only: one touch fails, as to undo the rest needs a disk."""
    folder, cases_by_name = plots
    case = cases_by_name[name]
    number, only = ERRORS[sort]
    act = disturbed(failing(number), folder, case.words, only, lasting=sort == "full")
    assert found(each_touch(case, folder, act, every)) == {}


def test_a_disk_that_dies_between_two_moves(plots: tuple[Path, dict[str, Case]]) -> None:
    """Then nothing can be put back: the files are named, and the next build makes all whole."""
    folder, cases_by_name = plots
    case = cases_by_name["build"]
    number, only = ERRORS["broken"]
    touches = run_to_end(case, folder)
    for at in range(touches, touches // 2, -5):
        put(folder, case.before)
        ended = run(case.words, folder, Moments(at, failing(number), folder, only, lasting=True))
        if "could not be put back" in ended.err:
            break
    else:
        pytest.fail("never between two moves")
    assert ended.status == 1
    assert "as it was" not in ended.err
    assert case.wrong(folder, ended) == []
    assert case.again(folder) == []


def run_to_end(case: Case, folder: Path) -> int:
    """How many touches the command comes to undisturbed."""
    put(folder, case.before)
    return run(case.words, folder, Moments(10_000, kill, folder)).touches


def test_outputs_that_are_removed_meanwhile(plots: tuple[Path, dict[str, Case]]) -> None:
    """By hand in a file manager, say; another process does it here, so that its touches are not counted."""
    folder, cases_by_name = plots
    case = cases_by_name["build"]
    for at in (3, 20, 60, 95):
        put(folder, case.before)
        ended = run(case.words, folder, Moments(at, lambda: _removed_by_another(folder / OUT), folder))
        assert case.unclear(ended) == []
        again = run(case.words, folder)
        assert again.status == 0, again.err
        assert {*outputs(files(folder))} <= {*outputs(case.after)}
        assert not [name for name in files(folder) if ".calgen" in name]


def _removed_by_another(folder: Path) -> None:
    subprocess.run(["rm", "-r", str(folder)], check=False, capture_output=True)


def test_frost_tells_that_the_site_file_is_new_when_the_output_is_not(plots: tuple[Path, dict[str, Case]]) -> None:
    folder, cases_by_name = plots
    case = cases_by_name["frost"]
    put(folder, {**{name: data for name, data in case.before.items() if not name.startswith(OUT)}, "output": b"mine"})
    ended = run(case.words, folder)
    assert ended.status == 1
    assert ended.err == ("plot.yaml: the site file has the new date; output/plot is in the way; the output is as it "
                         "was: move it away, or choose another folder with --out\n")
    assert files(folder) == {"plot.yaml": case.after["plot.yaml"], "plot.diary.yaml": case.before["plot.diary.yaml"],
                             "output": b"mine"}


def test_done_once_more_notes_nothing_twice(plots: tuple[Path, dict[str, Case]]) -> None:
    folder, cases_by_name = plots
    put(folder, cases_by_name["done"].after)
    ended = run(cases_by_name["done"].words, folder)
    assert (ended.status, ended.err) == (0, "")
    assert "it was there already, nothing was changed" in ended.out
    assert files(folder) == cases_by_name["done"].after


def test_two_at_once(plots: tuple[Path, dict[str, Case]]) -> None:
    """Two doings are both noted; of two builds and a doing each ends whole or says that the other came between."""
    folder, cases_by_name = plots
    put(folder, cases_by_name["done"].before)
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    bed = COMMANDS["done"][2]
    commands = [COMMANDS["done"], ("done", "plot.yaml", bed, "failed", "--on", "2026-09-10", "--plant", "oats"),
                BUILD, BUILD]
    running = [subprocess.Popen([sys.executable, "-m", "calgen", *words], cwd=folder, env=env, text=True,
                                stdout=subprocess.PIPE, stderr=subprocess.PIPE) for words in commands]
    ended = [(process.communicate()[1], process.returncode) for process in running]
    for err, status in ended:
        assert status == 0 or "another build has just written" in err, err
        assert "Traceback" not in err
    diary = (folder / "plot.diary.yaml").read_text()
    assert diary.startswith(cases_by_name["done"].before["plot.diary.yaml"].decode())
    assert diary.count("done: sown") == diary.count("done: failed") == 1
    again = run(BUILD, folder)
    assert again.status == 0, again.err
    assert len(outputs(files(folder))) == len([name for name in files(folder) if name.startswith("output/")])


@pytest.mark.parametrize("sort", ["plan.json", "changes.txt", "feeds/all.ics"])
def test_an_output_that_cannot_be_read(plots: tuple[Path, dict[str, Case]], sort: str) -> None:
    """A folder in its place stands for a file that the system does not let be read, which root always may."""
    folder, cases_by_name = plots
    held = {name: data for name, data in cases_by_name["build"].before.items()
            if name not in (f"{OUT}/plan.json", f"{OUT}/{sort}")}
    put(folder, held)
    (folder / OUT / sort).mkdir()
    ended = run(BUILD, folder)
    assert ended.status == 1
    assert f"cannot read {OUT}/{sort} (Is a directory); the output is as it was: move it away" in ended.err
    assert files(folder) == held


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")
def test_a_full_disk_under_what_is_printed(tmp_path: Path) -> None:
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    with open("/dev/full", "w") as full:
        ended = subprocess.run([sys.executable, "-m", "calgen", "plants", "rye"], stdout=full, stderr=subprocess.PIPE,
                               env=env, cwd=tmp_path, text=True, check=False)
    assert ended.returncode == 1
    assert ended.stderr == "calgen: the output: No space left on device; nothing half-written is left\n"


def test_the_moments_are_felt(tmp_path: Path) -> None:
    """That the harness hits what it says: after clearing the place and opening, the write is cut in half."""
    (tmp_path / "plot.yaml").write_bytes(b"site: x\n")
    ended = run(("new", "made.yaml", "--name", "x", "--latitude", "52", "--last", "28 April", "--first", "19 October"),
                tmp_path, Moments(3, kill, tmp_path, ANY))
    assert ended.status < 0
    assert ended.touches == 3
    half = next(data for name, data in files(tmp_path).items() if name.endswith(".calgen-new"))
    assert 100 < len(half) < 5000

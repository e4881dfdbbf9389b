"""Many sites in one command: one's fault stops no other, unchanged ones are passed over, and any executor will do."""

from __future__ import annotations

import gc
import gzip
import json
import os
import signal
import subprocess
import sys
import time
import weakref
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from datetime import date
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from calgen.command import build
from calgen.command.made import program_sum
from calgen.command.many import Order, Outcome, build_site, over

if TYPE_CHECKING:
    from collections.abc import Callable

    Calgen = Callable[..., tuple[int, str, str]]

TODAY = ("--today", "2026-09-01")
NAMES = ("ash", "beech", "cedar")


@pytest.fixture
def sites(plot: Path) -> list[Path]:
    """Three site files that differ in name and frost date, in the folder that is worked in."""
    found = []
    for number, name in enumerate(NAMES):
        text = plot.read_text("utf-8").replace("Rook Lane", f"{name} plot").replace("22 April", f"{22 + number} April")
        found.append(Path(f"{name}.yaml"))
        found[-1].write_text(text, "utf-8")
    return found


def contents(folder: Path) -> dict[str, bytes]:
    """What the grower gets, by name."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*"))
            if path.is_file() and not path.name.startswith(".")}


class Dying(Executor):
    """Its workers die with every order."""

    def submit(self, fn: object, /, *args: object, **named: object) -> Future[Any]:
        lost: Future[Any] = Future()
        lost.set_exception(BrokenExecutor("gone"))
        return lost


def hear_ctrl_c() -> None:
    """Programs started in the background by a shell are deaf to it, and so are theirs."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def orders(sites: list[Path], out: Path) -> list[Order]:
    """The same as the command gives."""
    return [Order(path, out, date(2026, 9, 1), None, "chart-a3", None) for path in sites]


def test_processes_threads_and_one_after_the_other_make_the_same(calgen: Calgen, sites: list[Path]) -> None:
    words = [str(path) for path in sites]
    status, told, err = calgen("build", *words, *TODAY, "--out", "serial")
    assert (status, err) == (0, "")
    assert told.splitlines()[-1] == "3 sites: 3 built"
    parallel = calgen("build", *words, *TODAY, "--out", "serial2", "--workers", "3")
    assert parallel == (0, told.replace("serial", "serial2"), "")
    with ThreadPoolExecutor(3) as pool:
        found = list(over(pool, iter(orders(sites, Path("threads"))), 2))
    assert sorted(one.path for one in found) == sites
    assert contents(Path("serial")) == contents(Path("serial2")) == contents(Path("threads"))
    assert {name.split("/")[0] for name in contents(Path("serial"))} == set(NAMES)


def test_a_site_with_mistakes_and_a_folder_in_the_way_stop_no_other(calgen: Calgen, sites: list[Path]) -> None:
    sites[0].write_text(sites[0].read_text("utf-8").replace("latitude: 52.6", "latitude: 152"), "utf-8")
    Path("output").mkdir()
    Path("output/beech").write_text("mine", "utf-8")
    status, out, err = calgen("build", *map(str, sites), *TODAY)
    assert status == 1
    assert err.splitlines()[0].startswith("ash.yaml:3:11: latitude: ")
    assert err.splitlines()[1].startswith("beech.yaml: ")
    assert "is in the way" in err.splitlines()[1]
    assert out.splitlines()[-1] == "3 sites: 1 built, 2 with problems, of which nothing was written"
    assert Path("output/beech").read_text("utf-8") == "mine"
    assert contents(Path("output/cedar"))
    assert not Path("output/ash").exists()


def test_what_calgen_itself_gets_wrong_is_told_with_its_site(calgen: Calgen, sites: list[Path],
                                                            monkeypatch: pytest.MonkeyPatch) -> None:
    whole = build.build

    def failing(found: object, *others: object) -> object:
        if found.path == sites[1]:  # type: ignore[attr-defined]
            raise ZeroDivisionError("no beds")
        return whole(found, *others)  # type: ignore[arg-type]

    monkeypatch.setattr(build, "build", failing)
    status, out, err = calgen("build", *map(str, sites), *TODAY)
    assert status == 1
    assert err == "beech.yaml: calgen failed (ZeroDivisionError: no beds); that is calgen's fault, please report it\n"
    assert out.splitlines()[-1].startswith("3 sites: 2 built, 1 with problems")


KILLER = """\
import os, sys
def watch(event, found):
    if event == "open" and str(found[0]) == "beech.yaml":
        os.kill(os.getpid(), 9)
sys.addaudithook(watch)
"""


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such signal")
def test_a_killed_worker_loses_its_site_only(sites: list[Path]) -> None:
    """The process that opens beech.yaml is killed, each time anew."""
    Path("hook").mkdir()
    Path("hook/sitecustomize.py").write_text(KILLER, "utf-8")
    more = [Path(f"oak-{number}.yaml") for number in range(4)]
    for path in more:
        path.write_bytes(sites[0].read_bytes())
    command = [sys.executable, "-m", "calgen", "build", *map(str, [*sites, *more]), *TODAY, "--workers", "2"]
    run = subprocess.run(command, env={**os.environ, "PYTHONPATH": "hook"}, capture_output=True, text=True,
                         check=False)
    assert run.returncode == 1
    assert run.stderr == ("beech.yaml: the process that worked on it was killed or ran out of memory; build it by "
                          "itself\n")
    assert run.stdout.splitlines()[-1].startswith("7 sites: 6 built, 1 with problems")
    assert sorted(path.name for path in Path("output").iterdir()) == sorted(
        path.stem for path in [*sites, *more] if path.stem != "beech")


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such signal")
def test_stopping_leaves_nothing_half_written(sites: list[Path]) -> None:
    many = [Path(f"oak-{number}.yaml") for number in range(12)]
    for path in many:
        path.write_bytes(sites[0].read_bytes())
    command = [sys.executable, "-u", "-m", "calgen", "build", *map(str, many), *TODAY, "--workers", "2"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                          start_new_session=True, preexec_fn=hear_ctrl_c) as run:
        assert run.stdout is not None
        run.stdout.readline()
        os.killpg(run.pid, signal.SIGINT)
        _, err = run.communicate(timeout=60)
    assert run.returncode == 130
    assert err == "stopped; nothing half-written is left\n"
    folders = list(Path("output").iterdir())
    assert 0 < len(folders) < len(many)
    assert all((folder / "plan.json").is_file() for folder in folders)
    assert not [path for path in Path("output").rglob(".*") if path.name.endswith(("-new", "-old"))]


def at_work(pid: str) -> bool:
    """Whether a process is there and not only waiting to be buried."""
    try:
        return Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="who started whom is read from Linux's /proc")
def test_no_worker_outlives_its_parent(sites: list[Path]) -> None:
    """A worker that waits for orders from a killed parent would wait for ever."""
    many = [Path(f"oak-{number}.yaml") for number in range(12)]
    for path in many:
        path.write_bytes(sites[0].read_bytes())
    command = [sys.executable, "-u", "-m", "calgen", "build", *map(str, many), *TODAY, "--workers", "2"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as run:
        assert run.stdout is not None
        run.stdout.readline()
        workers = Path(f"/proc/{run.pid}/task/{run.pid}/children").read_text("utf-8").split()
        run.kill()
    assert len(workers) >= 2
    until = time.monotonic() + 60
    while any(map(at_work, workers)) and time.monotonic() < until:
        time.sleep(0.1)
    assert not any(map(at_work, workers))


def test_nothing_of_a_site_stays_in_memory(sites: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """The planner keeps its answers by climate: kept on, memory would grow with the number of sites."""
    whole = build.build
    climates = []

    def seen(found: object, *others: object) -> object:
        climates.append(weakref.ref(found.climate))  # type: ignore[attr-defined]
        return whole(found, *others)  # type: ignore[arg-type]

    monkeypatch.setattr(build, "build", seen)
    assert not [problem for order in orders(sites, Path("output")) for problem in build_site(order).problems]
    gc.collect()
    assert [climate() for climate in climates] == [None, None, None]


def built(calgen: Calgen, sites: list[Path], *more: str) -> list[str]:
    """Names of the sites that were built, not passed over."""
    status, out, _ = calgen("build", *map(str, sites), *TODAY, "--json", *more)
    assert status == 0
    return [Path(site["file"]).stem for site in json.loads(out)["sites"] if not site["unchanged"]]


def test_only_what_is_different_is_built_again(calgen: Calgen, sites: list[Path]) -> None:
    assert built(calgen, sites) == list(NAMES)
    assert built(calgen, sites) == []
    assert built(calgen, sites, "--all") == list(NAMES)
    assert built(calgen, sites, "--tile", "A4") == list(NAMES)
    assert built(calgen, sites) == list(NAMES)

    sites[0].write_text(sites[0].read_text("utf-8").replace("22 April", "29 April"), "utf-8")
    assert built(calgen, sites) == ["ash"]
    calgen("done", str(sites[1]), "Long bed", "cleared", "--on", "2026-09-01")
    assert built(calgen, sites) == ["beech"]
    Path("output/cedar/sheets.pdf").write_bytes(b"scribbled over")
    assert built(calgen, sites) == ["cedar"]
    Path("output/cedar/feeds/all.ics").unlink()
    assert built(calgen, sites) == ["cedar"]
    Path("output/cedar/.calgen-made").write_text("[", "utf-8")
    assert built(calgen, sites) == ["cedar"]
    assert built(calgen, sites) == []
    status, out, _ = calgen("build", *map(str, sites), "--today", "2026-09-02", "--json")
    assert not any(site["unchanged"] for site in json.loads(out)["sites"]), "another day has other next jobs"
    assert status == 0


def test_what_was_left_between_two_moves_is_finished_even_where_nothing_is_built(calgen: Calgen,
                                                                                sites: list[Path]) -> None:
    """As after a power cut in a build with other options, before its first move."""
    assert built(calgen, sites) == list(NAMES)
    site = Path("output/ash")
    (site / ".index.html.calgen-new").write_bytes(b"other")
    (site / ".calgen-moves").write_text("put index.html\n", "utf-8")
    assert built(calgen, sites) == ["ash"]
    assert (site / "index.html").read_bytes() != b"other"
    assert [path.name for path in site.rglob(".*")] == [".calgen-made"]


def test_what_a_lost_worker_left_is_finished(sites: list[Path]) -> None:
    site = Path("output/ash")
    site.mkdir(parents=True)
    (site / ".index.html.calgen-new").write_bytes(b"other")
    (site / ".calgen-moves").write_text("put index.html\n", "utf-8")
    with Dying() as executor:
        outcomes = list(over(executor, iter(orders(sites[:1], Path("output"))), 1))
    assert [outcome.lost for outcome in outcomes] == orders(sites[:1], Path("output"))
    assert contents(site) == {"index.html": b"other"}


END = """
import sys, time
from multiprocessing import Pipe
from threading import Thread
from calgen.command.worker import _end_with
from calgen.output import MOVING
here, there = Pipe()
with MOVING:
    Thread(target=_end_with, args=(here.fileno(),), daemon=True).start()
    there.close()
    time.sleep(0.2)
    print("the last move is made", flush=True)
time.sleep(60)
"""


@pytest.mark.skipif(os.name == "nt", reason="Windows waits for other things than numbers")
def test_a_worker_whose_parent_is_gone_ends_only_after_its_moves() -> None:
    run = subprocess.run([sys.executable, "-c", END], capture_output=True, text=True, check=False, timeout=50)
    assert (run.returncode, run.stdout, run.stderr) == (1, "the last move is made\n", "")


def test_an_edit_while_a_site_is_built_is_built_next_time(calgen: Calgen, sites: list[Path],
                                                         monkeypatch: pytest.MonkeyPatch) -> None:
    whole = build.build

    def edited(found: object, *others: object) -> object:
        made = whole(found, *others)  # type: ignore[arg-type]
        sites[0].write_text(sites[0].read_text("utf-8").replace("22 April", "29 April"), "utf-8")
        return made

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(build, "build", edited)
        assert built(calgen, sites) == list(NAMES)
    assert built(calgen, sites) == ["ash"]
    assert built(calgen, sites) == []


def test_own_plants_records_and_templates_count_as_read(calgen: Calgen, sites: list[Path]) -> None:
    rye = (Path(build.__file__).parents[1] / "knowledge/data/covers/cereal-rye.yaml").read_text("utf-8")
    Path("rye.yaml").write_text(rye, "utf-8")
    sites[0].write_text(f"plants: [rye.yaml]\n{sites[0].read_text('utf-8')}", "utf-8")
    nights = gzip.decompress((Path(__file__).parents[1] / "climate/data/brussels_be.csv.gz").read_bytes())
    Path("nights.csv").write_bytes(nights)
    sites[1].write_text(f"climate: {{record: nights.csv}}\n{sites[1].read_text('utf-8')}", "utf-8")
    assert built(calgen, sites) == list(NAMES)
    assert built(calgen, sites) == []
    Path("rye.yaml").write_text(f"{rye}# a remark\n", "utf-8")
    assert built(calgen, sites) == ["ash"]
    Path("nights.csv").write_bytes(nights + b"\n")
    assert built(calgen, sites) == ["beech"]
    Path("own").mkdir()
    assert built(calgen, sites, "--templates", "own") == list(NAMES)
    assert built(calgen, sites, "--templates", "own") == []


def test_another_calgen_builds_again(calgen: Calgen, sites: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    assert built(calgen, sites) == list(NAMES)
    assert len(program_sum()) == 64
    monkeypatch.setattr("calgen.command.made.program_sum", lambda: "another")
    assert built(calgen, sites) == list(NAMES)


def test_other_libraries_or_fonts_build_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen by what pip leaves behind and by the files of the system's fonts: name, size, time."""
    fonts, packages = tmp_path / "fonts", tmp_path / "packages"
    fonts.mkdir()
    packages.mkdir()
    monkeypatch.setattr("calgen.render.fonts.system.font_files", lambda: sorted(fonts.iterdir()))
    monkeypatch.setattr("sys.path", [str(packages), *sys.path])

    def summed() -> str:
        program_sum.cache_clear()
        return program_sum()

    seen = [summed()]
    (packages / "some_other_thing-1.0.dist-info").mkdir()
    assert summed() == seen[0]
    (packages / "reportlab-99.0.dist-info").mkdir()
    seen.append(summed())
    (packages / "reportlab-99.0.dist-info").rename(packages / "reportlab-99.1.dist-info")
    seen.append(summed())
    (fonts / "garden.ttf").write_bytes(b"x")
    seen.append(summed())
    (fonts / "garden.ttf").write_bytes(b"xy")
    seen.append(summed())
    os.utime(fonts / "garden.ttf", ns=(1, 1))
    seen.append(summed())
    program_sum.cache_clear()
    assert len(set(seen)) == len(seen)


def test_fonts_of_the_growers_own_count_as_read(calgen: Calgen, sites: list[Path]) -> None:
    import calgen.render.fonts as bundled

    face = next(Path(bundled.__path__[0]).glob("*Bold.ttf")).read_bytes()
    Path("own.ttf").write_bytes(face)
    Path("own").mkdir()
    Path("own/chart-own.yaml").write_text("fonts: [own.ttf]\n", "utf-8")
    words = ("--templates", "own", "--style", "chart-own")
    assert built(calgen, sites, *words) == list(NAMES)
    assert built(calgen, sites, *words) == []
    Path("own.ttf").write_bytes(face + b"\0")
    assert built(calgen, sites, *words) == list(NAMES)


def test_two_files_of_one_name_are_refused_and_the_others_built(calgen: Calgen, sites: list[Path]) -> None:
    Path("far").mkdir()
    twin = Path("far/Ash.yaml")
    twin.write_bytes(sites[0].read_bytes())
    status, out, err = calgen("build", *map(str, [*sites, twin]), *TODAY)
    assert status == 1
    assert err.splitlines() == [
        "ash.yaml: would be written to the same folder as far/Ash.yaml; rename one of the files, or name it once",
        "far/Ash.yaml: would be written to the same folder as ash.yaml; rename one of the files, or name it once",
    ]
    assert out.splitlines()[-1].startswith("4 sites: 2 built, 2 with problems")


def test_diaries_that_a_pattern_brings_in_are_no_sites(calgen: Calgen, sites: list[Path]) -> None:
    calgen("done", str(sites[0]), "Long bed", "cleared", "--on", "2026-09-01")
    status, out, err = calgen("build", "ash.diary.yaml", *map(str, sites), *TODAY)
    assert (status, err) == (0, "")
    assert out.splitlines()[-1] == "3 sites: 3 built; 1 diary read with its site"


@pytest.mark.parametrize("number", ["0", "-1", "two", "12345"])
def test_a_number_of_workers_that_is_none_is_wrong_use(calgen: Calgen, sites: list[Path], number: str,
                                                      capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        calgen("build", *map(str, sites), f"--workers={number}")
    assert stopped.value.code == 2
    assert f'"{number}" is no number from 1 to 9999' in capsys.readouterr().err


def test_more_workers_than_are_of_use_are_refused(calgen: Calgen, sites: list[Path],
                                                  monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    assert calgen("build", *map(str, sites), "--workers", "9") == (
        2, "", "--workers 9: at most 8 are of use on this machine\n")
    assert not Path("output").exists()


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such terminals")
def test_a_terminal_shows_a_bar_and_a_pipe_does_not(sites: list[Path]) -> None:
    import pty
    import termios

    parent, child = pty.openpty()
    termios.tcsetwinsize(child, (24, 80))
    command = [sys.executable, "-m", "calgen", "build", *map(str, sites), *TODAY]
    run = subprocess.run(command, stdout=subprocess.PIPE, stderr=child, text=True, check=False)
    os.close(child)
    shown = b""
    try:
        while piece := os.read(parent, 4096):
            shown += piece
    except OSError:  # the other end is closed
        pass
    os.close(parent)
    assert run.returncode == 0
    assert b"0/3" in shown
    assert "0/3" not in run.stdout
    again = subprocess.run(command, capture_output=True, text=True, check=False)
    assert again.stderr == ""


def dask_or_skip() -> None:
    """Skip where Dask is absent; fail where everything should be there."""
    if not find_spec("distributed"):
        message = "distributed is not installed (see .ci/interop-packages)"
        (pytest.fail if os.environ.get("CI") else pytest.skip)(message)


def test_diaries_alone_are_wrong_use(calgen: Calgen, sites: list[Path]) -> None:
    status, out, err = calgen("build", "ash.diary.yaml", "beech.diary.yaml")
    assert (status, out) == (2, "")
    assert "only diaries are named" in err


@pytest.mark.interop
@pytest.mark.filterwarnings("default")
def test_a_cluster_makes_the_same_bytes(calgen: Calgen, sites: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """Dask's distributed scheduler with two worker processes on this machine, which work in another folder."""
    dask_or_skip()
    from distributed import LocalCluster

    here = Path.cwd()
    sites[1].write_text("beds: {}\n", "utf-8")
    alone = calgen("build", *map(str, map(Path.absolute, sites)), *TODAY, "--out", str(here / "alone"))
    elsewhere = here / "elsewhere"
    elsewhere.mkdir()
    monkeypatch.chdir(elsewhere)
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        monkeypatch.chdir(here)
        spread = calgen("build", *map(str, sites), *TODAY, "--out", "spread", "--cluster", cluster.scheduler_address)
        one = calgen("build", str(sites[0]), *TODAY, "--out", "one", "--cluster", cluster.scheduler_address)
    assert alone[0] == spread[0] == 1
    assert spread[1] == alone[1].replace("alone", "spread")
    assert spread[2] == alone[2]
    assert contents(Path("alone")) == contents(Path("spread"))
    assert one[0] == 0
    assert one[1].endswith("1 site: 1 built\n")
    assert contents(Path("one/ash")) == contents(Path("alone/ash"))


@pytest.mark.interop
@pytest.mark.filterwarnings("default")
def test_no_scheduler_is_told(calgen: Calgen, sites: list[Path]) -> None:
    dask_or_skip()
    for some in (sites, sites[:1]):
        status, out, err = calgen("build", *map(str, some), "--cluster", "nowhere")
        assert (status, out) == (1, "")
        assert err.startswith("--cluster nowhere: no scheduler answers there")


def test_one_site_with_workers_is_built_as_by_itself(calgen: Calgen, sites: list[Path]) -> None:
    """Also when it is unchanged; what holds for many workers holds for it."""
    by_itself = calgen("build", str(sites[0]), *TODAY)
    for _ in range(2):
        assert calgen("build", str(sites[0]), *TODAY, "--out", "two", "--workers", "2")[0] == 0
    status, out, _ = calgen("build", str(sites[0]), *TODAY, "--out", "two", "--workers", "2", "--json")
    assert (status, json.loads(out)["sites"][0]["unchanged"]) == (0, False)
    assert by_itself[0] == 0
    assert contents(Path("output/ash")) == contents(Path("two/ash"))
    assert calgen("build", str(sites[0]), "--workers", "999")[0] == 2


def test_an_outcome_travels() -> None:
    """To other processes and machines."""
    import pickle

    order = orders([Path("a.yaml")], Path("output"))[0]
    outcome = Outcome(order.path, problems=("x",), lost=order)
    assert pickle.loads(pickle.dumps(outcome)) == outcome

"""Outputs are the old set or the new one, whole, whatever fails on the way."""

from __future__ import annotations

import errno
import multiprocessing
import os
import shutil
import stat
import subprocess
import sys
import tempfile
import threading
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from calgen.lock import Busy, locked
from calgen.output import OutputError, settle, write_all

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

OLD = {"index.html": b"old page", "wall-chart.pdf": b"old chart", "feeds/all.ics": b"old all", "feeds/sow.ics": b"old",
       "feeds/mulch.ics": b"same", "plan.json": b"old plan"}
NEW = {"index.html": b"new page", "wall-chart.pdf": b"new chart", "feeds/all.ics": b"new all",
       "feeds/plant.ics": b"new", "feeds/mulch.ics": b"same", "plan.json": b"new plan"}
STEPS = ("open", "fsync", "link", "replace", "unlink")


def files(folder: Path) -> dict[str, bytes]:
    """Everything in the folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An output folder holding the old set."""
    write_all(tmp_path / "out", OLD)
    assert files(tmp_path / "out") == OLD
    return tmp_path / "out"


def test_a_new_set_replaces_the_old_and_drops_feeds_that_are_gone(folder: Path) -> None:
    written = write_all(folder, NEW)
    assert files(folder) == NEW
    assert sorted(written) == ["feeds/all.ics", "feeds/plant.ics", "index.html", "plan.json", "wall-chart.pdf"]
    assert written[-1] == "plan.json"


def test_equal_files_are_not_touched(folder: Path) -> None:
    before = {path: path.stat().st_mtime_ns for path in folder.rglob("*")}
    assert write_all(folder, OLD) == []
    write_all(folder, NEW)
    mulch = folder / "feeds/mulch.ics"
    assert mulch.stat().st_mtime_ns == before[mulch]


def test_what_the_grower_put_there_stays(folder: Path) -> None:
    own = {"notes.txt": b"mine", "feeds/birthdays.ics": b"mine", ".hidden": b"mine"}
    for name, data in own.items():
        (folder / name).write_bytes(data)
    write_all(folder, NEW)
    assert files(folder) == {**NEW, **own}


def test_a_set_without_feeds_leaves_feeds_alone(folder: Path) -> None:
    write_all(folder, {"index.html": b"x"})
    assert files(folder) == {**OLD, "index.html": b"x"}


@pytest.mark.parametrize("name", [
    "../x", "/x", "a/b", "feeds/../x", "feeds/a/b", "feeds/", "..", ".", "", ".hidden", "feeds/.x", "a\\b", "x\n",
    "c:x", "x\0", "Feeds/x",
])
def test_names_never_leave_the_folder(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="no name"):
        write_all(tmp_path / "out", {name: b"x"})
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="Windows has no such modes")
def test_files_are_as_readable_as_the_system_says_or_the_grower_made_them(tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        write_all(tmp_path, OLD)
        assert stat.S_IMODE((tmp_path / "index.html").stat().st_mode) == 0o644
        (tmp_path / "index.html").chmod(0o640)
        write_all(tmp_path, NEW)
        assert stat.S_IMODE((tmp_path / "index.html").stat().st_mode) == 0o640
    finally:
        os.umask(before)


class Failing:
    """Makes the n-th call of a system function fail; counts them all."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, at: int, error: Callable[[], BaseException]) -> None:
        self.calls, self.at, self.error = 0, at, error
        for name in STEPS:
            monkeypatch.setattr(os, name, self.counted(getattr(os, name)))

    def counted(self, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **named: Any) -> Any:
            self.calls += 1
            if self.calls == self.at:
                raise self.error()
            return real(*args, **named)
        return call


def runs(folder: Path, error: Callable[[], BaseException]) -> Iterator[tuple[int, BaseException | None]]:
    """Write the new set over the old with the first step failing, then the second, until none is left to fail."""
    at = 0
    while True:
        at += 1
        shutil.rmtree(folder)
        write_all(folder, OLD)
        with pytest.MonkeyPatch.context() as monkeypatch:
            failing = Failing(monkeypatch, at, error)
            try:
                write_all(folder, NEW)
                raised = None
            except (OutputError, KeyboardInterrupt) as caught:
                raised = caught
        if failing.calls < at:
            return
        yield at, raised


@pytest.mark.parametrize("error", [
    lambda: OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)),
    lambda: OSError(errno.EIO, os.strerror(errno.EIO)),
    KeyboardInterrupt,
])
def test_a_failure_at_any_step_leaves_the_old_set_whole(folder: Path, error: Callable[[], BaseException]) -> None:
    """Only what comes after the last move may fail without undoing it."""
    steps = 0
    for at, raised in runs(folder, error):
        steps = at
        found = files(folder)
        found.pop(".calgen-lock", None)  # its own removal may be what failed
        if isinstance(raised, OutputError):
            assert found == OLD, at
            assert "the output is as it was" in str(raised)
        elif raised is None:
            assert {name: found.get(name) for name in NEW} == NEW, at
        else:
            assert {name: found.get(name) for name in OLD} == OLD or {name: found.get(name) for name in NEW} == NEW, at
        write_all(folder, NEW)
        assert files(folder) == NEW, f"the next build makes it whole after step {at}"
    assert steps > 20


def test_a_folder_whose_disk_knows_no_second_names(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on memory sticks and cards with a FAT file system."""
    def no_links(*_: Any, **__: Any) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", no_links)
    for _at, raised in runs(folder, lambda: OSError(errno.ENOSPC, "full")):
        assert files(folder) == OLD or raised is None
    write_all(folder, NEW)
    assert files(folder) == NEW


def test_files_that_cannot_be_put_back_are_named(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real, moved = os.replace, []

    def replace(source: Path, target: Path) -> None:
        if len(moved) == 2:
            raise OSError(errno.EIO, "the card is dying")
        moved.append(target)
        real(source, target)

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(OutputError, match=r"could not be put back: .*index\.html"):
        write_all(folder, NEW)


def stopped(folder: Path, at: int, power: bool) -> None:
    """A build that ends without a word at its n-th step, with its guard when it is by a power cut."""
    with pytest.MonkeyPatch.context() as monkeypatch:
        if power:
            monkeypatch.setattr("calgen.output.guarded", lambda finish: nullcontext())

        def end() -> BaseException:
            os._exit(7)

        Failing(monkeypatch, at, end)
        write_all(folder, NEW)
        os._exit(0)


def full(files: dict[str, bytes]) -> dict[str, bytes | None]:
    """Every name of both sets, with what it holds."""
    return {name: files.get(name) for name in {**OLD, **NEW}}


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork")
@pytest.mark.parametrize("power", [True, False])
def test_a_build_cut_off_at_any_step_is_made_whole(folder: Path, power: bool) -> None:
    """By its guard at once; after a power cut by the next that settles: before it the memory is never newer than the
    feeds.
    """
    fork = multiprocessing.get_context("fork")
    for at in range(1, 200):
        shutil.rmtree(folder)
        write_all(folder, OLD)
        process = fork.Process(target=stopped, args=(folder, at, power))
        process.start()
        process.join(30)
        with locked(folder / ".calgen-lock") if not power else nullcontext():  # until the guard has ended
            found = files(folder)
            found.pop(".calgen-lock", None)
        if not power:
            assert {name: found.get(name) for name in {**OLD, **NEW}} in (full(OLD), full(NEW)), at
        assert all(found.get(name) in {OLD.get(name), NEW.get(name)} for name in {**OLD, **NEW})
        if found["plan.json"] == NEW["plan.json"]:
            assert {name: found.get(name) for name in NEW} == NEW
            assert "feeds/sow.ics" not in found
        settle(folder)
        settled = {name: data for name, data in files(folder).items() if not name.rpartition("/")[2].startswith(".")}
        assert settled in (OLD, NEW), at
        write_all(folder, NEW)
        assert files(folder) == NEW
        if process.exitcode == 0:
            assert at > 20
            return
    pytest.fail("never came to an end")


RUN = """
import resource, sys
from pathlib import Path
from calgen.output import OutputError, write_all
try:
    {before}
    write_all(Path(sys.argv[1]), {{"index.html": b"x" * 5000, "wall-chart.pdf": b"y", "plan.json": b"z"}})
except OutputError as error:
    print(error)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs limits of a process")
def test_a_file_larger_than_the_system_allows(folder: Path) -> None:
    """The kernel's own limit on file size stands for a full disk: the write itself fails half-way."""
    code = RUN.format(before="resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))")
    done = subprocess.run([sys.executable, "-c", code, str(folder)], capture_output=True, text=True, check=True)
    assert done.stdout == (f"no room left to write to {folder}; the output is as it was: "
                           "make room on the disk, then build again\n")
    assert files(folder) == OLD


@pytest.mark.skipif(sys.platform == "win32", reason="needs users and modes")
@pytest.mark.parametrize("made", ["folder", "parent"])
def test_a_folder_that_may_not_be_written(made: str) -> None:
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        top.chmod(0o755)
        out = top / "out"
        if made == "folder":
            write_all(out, OLD)
        for path in (out / "feeds", out, top):
            if path.exists():
                path.chmod(0o555)
        drop = "import os; os.getuid() or os.setuid(65534)"
        code = RUN.format(before=drop)
        done = subprocess.run([sys.executable, "-c", code, str(out)], capture_output=True, text=True, check=True)
        for path in (top, out, out / "feeds"):
            if path.exists():
                path.chmod(0o755)
        assert done.stdout.startswith("not allowed to write ")
        assert done.stdout.endswith("; the output is as it was: close programs that show it, or choose another folder "
                                    "with --out\n")
        assert files(out) == (OLD if made == "folder" else {})


@pytest.mark.parametrize("in_the_way", ["out", "out/feeds", "out/plan.json"])
def test_something_else_in_the_way(tmp_path: Path, in_the_way: str) -> None:
    path = tmp_path / in_the_way
    path.parent.mkdir(exist_ok=True)
    if path.name == "plan.json":
        path.mkdir()
    else:
        path.write_bytes(b"mine")
    before = files(tmp_path)
    with pytest.raises(OutputError, match=f"{path.name} is in the way; the output is as it was: move it away"):
        write_all(tmp_path / "out", NEW)
    assert files(tmp_path) == before


def test_a_build_that_read_an_older_memory_writes_nothing(folder: Path) -> None:
    with pytest.raises(OutputError, match="another build has just written"):
        write_all(folder, NEW, {"plan.json": b"older"})
    with pytest.raises(OutputError, match="another build has just written"):
        write_all(folder, NEW, {"plan.json": None})
    assert files(folder) == OLD
    write_all(folder, NEW, {"plan.json": OLD["plan.json"]})
    assert files(folder) == NEW


def test_builds_at_once_do_not_mix(tmp_path: Path) -> None:
    sets = [dict.fromkeys((*OLD, f"feeds/{kind}.ics"), b"%d" % number)
            for number, kind in enumerate(("drill", "look", "clear", "top-up"))]
    failures: list[BaseException] = []

    def build(number: int) -> None:
        try:
            for _ in range(5):
                write_all(tmp_path, sets[number])
        except BaseException as error:
            failures.append(error)

    threads = [threading.Thread(target=build, args=(number,)) for number in range(len(sets))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert files(tmp_path) in sets


def test_a_build_waits_for_another_only_so_long(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("calgen.output.locked", lambda path, _: locked(path, wait_s=0.1))
    with locked(folder / ".calgen-lock"):
        with pytest.raises(OutputError, match="another build is writing"):
            write_all(folder, NEW)
        with pytest.raises(Busy), locked(folder / ".calgen-lock", wait_s=0):
            pass
    assert files(folder) == OLD
    write_all(folder, NEW)
    assert files(folder) == NEW

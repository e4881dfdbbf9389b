"""The second process that ends what a killed one began."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from multiprocessing import get_context
from typing import TYPE_CHECKING

import pytest
from calgen.command.worker import begin
from calgen.guard import guarded

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows knows no copies of a process")
RUN = """
import os, signal, sys, threading, time
from pathlib import Path
from calgen.guard import guarded
from calgen.lock import locked
here = Path(sys.argv[1])
real, guards = os.fork, []
def fork():
    guards.append(real())
    return guards[-1]
os.fork = fork
def finish():
    time.sleep(0.2)
    (here / "finished").touch()
{before}
with locked(here / "lock"), guarded(finish):
    {block}
try:
    os.waitpid(-1, os.WNOHANG)
    sys.exit("the guard has not been waited for")
except ChildProcessError:
    pass
"""


def run(folder: Path, block: str, before: str = "pass") -> subprocess.CompletedProcess[str]:
    """A program with a guard, until both have ended: a guard holds the other end of what is read here.

    A program of its own, since other tests leave threads and processes in this one.
    """
    return subprocess.run([sys.executable, "-c", RUN.format(block=block, before=before), str(folder)],
                          capture_output=True, text=True, check=False, start_new_session=True)


@pytest.mark.parametrize("end", [
    "os.kill(os.getpid(), signal.SIGKILL)", "os.killpg(0, signal.SIGKILL)", "os.killpg(0, signal.SIGTERM)",
    "os._exit(3)",
])
def test_what_was_begun_is_finished(tmp_path: Path, end: str) -> None:
    """Also when the whole group of processes is killed, as when a terminal is closed; the guard has left it by then."""
    done = run(tmp_path, f"time.sleep(0.1); {end}")
    assert done.returncode != 0
    assert done.stderr == ""
    assert (tmp_path / "finished").exists()


@pytest.mark.parametrize("end", ["pass", "raise SystemExit(3)"])
def test_a_block_that_comes_to_its_end_needs_no_guard(tmp_path: Path, end: str) -> None:
    assert run(tmp_path, end).returncode == (0 if end == "pass" else 3)
    assert list(tmp_path.iterdir()) == []


def test_what_is_locked_stays_so_until_the_guard_has_ended(tmp_path: Path) -> None:
    import fcntl

    process = subprocess.Popen([sys.executable, "-c", RUN.format(
        block="print(flush=True); time.sleep(60)", before="pass"), str(tmp_path)], stdout=subprocess.PIPE)
    assert process.stdout
    process.stdout.readline()
    process.kill()
    process.wait()
    with (tmp_path / "lock").open("rb") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        assert (tmp_path / "finished").exists()
    process.stdout.close()


def test_a_guard_that_is_killed_is_not_missed(tmp_path: Path) -> None:
    done = run(tmp_path, "os.kill(guards[0], signal.SIGKILL); time.sleep(0.05)")
    assert (done.returncode, done.stderr) == (0, "")
    assert list(tmp_path.iterdir()) == []


def test_a_worker_of_a_pool_has_one(tmp_path: Path) -> None:
    """Beside the thread that waits for the end of its parent. Killed, the worker is missed when its guard has ended."""
    block = f"""
import os, signal, time
from pathlib import Path
from calgen.guard import guarded
def finish():
    time.sleep(0.2)
    Path({str(tmp_path / "finished")!r}).touch()
with guarded(finish):
    os.kill(os.getpid(), signal.SIGKILL)
"""
    with ProcessPoolExecutor(1, get_context("spawn"), initializer=begin) as pool:
        assert pool.submit(os.getpid).result() != os.getpid()
        with pytest.raises(BrokenExecutor):
            pool.submit(exec, block, {}).result()
        assert (tmp_path / "finished").exists()


def test_beside_other_threads_there_is_none(tmp_path: Path) -> None:
    done = run(tmp_path, "sys.exit(len(guards))", "threading.Thread(target=time.sleep, args=(0.3,)).start()")
    assert (done.returncode, done.stderr) == (0, "")
    assert run(tmp_path, "sys.exit(len(guards))").returncode == 1


def test_signals_are_heard_again() -> None:
    heard: list[int] = []
    before = signal.signal(signal.SIGUSR1, lambda number, _: heard.append(number))
    try:
        with guarded(lambda: None):
            os.kill(os.getpid(), signal.SIGUSR1)
            time.sleep(0)
        assert heard == [signal.SIGUSR1]
    finally:
        signal.signal(signal.SIGUSR1, before)

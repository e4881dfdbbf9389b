"""The whole campaign of faults; from the checkout: ``python -m tests.faults.campaign [--random 200] [--only WORD]``.

1. Each of ``build`` (over an older build, and the first one), ``frost --write`` and ``done`` is killed at its first
   touch of the disk, at its second, and so on to its end (``moments.py`` says what a touch is).
2. The same with a full, read-only, forbidding or dying disk in place of the kill: from that touch on, and at that one
   only.
3. The same with the output folder taken away, or replaced by a file, or the site file or diary removed, at that touch.
4. Each is started as its own process and killed by the system at random moments, ``--random`` times in its whole life
   and as often while it writes.
5. Each is started together with a build of the same site, one a chance time after the other (a quarter as often).
6. As root on Linux: on a small disk of its own that is full to the last block, and on one mounted read-only.

After each, ``plot.Case`` says what must hold. Exit status 1 when anything does not. Takes about an hour of one
processor; ``test_faults.py`` takes some of the moments with every run of the tests.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from tests.faults.moments import ANY, ERRORS, KILLED, Ended, Moments, failing, kill, run
from tests.faults.plot import BUILD, OUT, OWN, Case, cases, each_touch, files, outputs, put

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

ROOT = Path(__file__).parent.parent.parent


DIARY_GONE = "diary removed"
WRITING_S = 0.03
"""About as long as a build writes here; a kill that comes too late is not counted."""


def removals(folder: Path) -> dict[str, Callable[[], None]]:
    """What others may do to the files while calgen works."""
    def gone(name: str) -> Callable[[], None]:
        def remove() -> None:
            path = folder / name
            shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)
        return remove

    def replaced() -> None:
        shutil.rmtree(folder / "output", ignore_errors=True)
        (folder / "output").write_bytes(b"mine")

    return {"outputs removed": gone(OUT), "output replaced by a file": replaced, "feeds removed": gone(f"{OUT}/feeds"),
            "plan.json removed": gone(f"{OUT}/plan.json"), "site file removed": gone("plot.yaml"),
            DIARY_GONE: gone("plot.diary.yaml")}


def at_touches(name: str, case: Case, folder: Path) -> Iterator[tuple[str, dict[int, list[str]]]]:
    """Kills, errors and removals at every touch of a command: what was done, and what was wrong at each touch."""
    def disturbed(act: Callable[[], None], only: frozenset[str], lasting: bool) -> Callable[[int], Ended]:
        return lambda at: run(case.words, folder, Moments(at, act, folder, only, lasting))

    yield f"{name}: killed", each_touch(case, folder, disturbed(kill, ANY, False))
    for sort, (number, only) in ERRORS.items():
        for lasting in (False, True):
            yield (f"{name}: disk {sort}{' from there on' if lasting else ' once'}",
                   each_touch(case, folder, disturbed(failing(number), only, lasting)))


def after_removals(name: str, case: Case, folder: Path) -> Iterator[tuple[str, dict[int, list[str]]]]:
    """Removals at every touch: a clear end, nothing damaged that is still there, and once all is put back a clean run.

    What another removes is lost: only the rest can be asked for.
    """
    for what, act in removals(folder).items():
        wrong: dict[int, list[str]] = {}
        at = 1
        while True:
            put(folder, case.before)
            ended = run(case.words, folder, Moments(at, _unhooked(act), folder))
            wrong[at] = case.unclear(ended)
            now = files(folder)
            for own in OWN:
                new = what == DIARY_GONE and own == "plot.diary.yaml"  # then an entry goes into a new diary
                whole = case.after[own].rpartition(b"\n  - ")[2] if new else case.after[own]
                if own in now and now[own] != case.before[own] and not now[own].endswith(whole):
                    wrong[at].append(f"{own} is damaged")
            if (folder / "output").is_file():
                (folder / "output").unlink()
            for own in OWN:
                if own in case.before and not (folder / own).exists():
                    (folder / own).write_bytes(case.before[own])
            again = run(case.words, folder)
            if again.status != 0:
                wrong[at].append(f"again: exit status {again.status}: {again.err}")
            wrong[at] += [f"again: {left} is left over" for left in files(folder)
                          if left not in case.after and left not in case.before]
            if ended.touches < at:
                break
            at += 1
        yield f"{name}: {what}", wrong


def _unhooked(act: Callable[[], None]) -> Callable[[], None]:
    """Done by another process, so that its touches are not counted."""
    def by_another() -> None:
        other = os.fork()
        if not other:
            try:
                act()
            finally:
                os._exit(0)
        os.waitpid(other, 0)
    return by_another


def at_random(name: str, case: Case, folder: Path, times: int) -> Iterator[tuple[str, dict[int, list[str]]]]:
    """A process of its own, killed by the system at random moments: of its whole life, then of its writing alone.

    Writing begins when the lock of the outputs is seen, or of the diary.
    """
    lock = ".plot.diary.yaml.calgen-lock" if name == "done" else ".calgen-lock"
    put(folder, case.before)
    begun = time.monotonic()
    started(case.words, folder).communicate()
    whole_s = time.monotonic() - begun
    chance = random.Random(name)
    for when, from_lock, until_s in (("", False, whole_s), (" while writing", True, WRITING_S)):
        wrong: dict[int, list[str]] = {}
        killed = 0
        while killed < times:
            put(folder, case.before)
            process = started(case.words, folder)
            while from_lock and process.poll() is None and not any(folder.rglob(lock)):
                time.sleep(0.0005)
            try:
                process.wait(chance.uniform(0.0, until_s))
            except subprocess.TimeoutExpired:
                process.kill()
            ended = Ended(process.wait(), "", process.communicate()[1], 0)  # until its guard has ended too
            killed += ended.status == KILLED
            wrong[len(wrong) + 1] = [*case.wrong(folder, ended), *case.again(folder)]
        yield f"{name}: killed by the system {killed} times{when}", wrong


def started(words: Sequence[str], folder: Path) -> subprocess.Popen[str]:
    """A command line as a process of its own."""
    return subprocess.Popen([sys.executable, "-m", "calgen", *words], cwd=folder, stdout=subprocess.PIPE, text=True,
                            stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)})


def together(name: str, case: Case, folder: Path, times: int) -> Iterator[tuple[str, dict[int, list[str]]]]:
    """With a build of the same site at the same time: the outputs are whole, as after one of them or after both."""
    may_be = [outputs(case.before)]
    for order in ((BUILD,), (case.words,), (BUILD, case.words), (case.words, BUILD)):
        put(folder, case.before)
        for words in order:
            run(words, folder)
        may_be.append(outputs(files(folder)))
    put(folder, case.before)
    begun = time.monotonic()
    started(BUILD, folder).communicate()
    whole_s = time.monotonic() - begun
    chance = random.Random(name)
    wrong: dict[int, list[str]] = {}
    refused = 0
    for number in range(times):
        put(folder, case.before)
        later = chance.gauss(0.0, whole_s / 8)
        first, second = (case.words, BUILD) if later > 0 else (BUILD, case.words)
        running = [started(first, folder)]
        time.sleep(abs(later))
        running.append(started(second, folder))
        wrong[number] = []
        for process in running:
            err = process.communicate()[1]
            refused += process.returncode == 1
            wrong[number] += case.unclear(Ended(process.returncode, "", err, 0))
            if process.returncode == 1 and "another build" not in err:
                wrong[number].append(err)
        if outputs(files(folder)) not in may_be:
            wrong[number].append("the outputs are of two builds")
        if any(files(folder).get(own) not in (case.before.get(own), case.after.get(own)) for own in OWN):
            wrong[number].append("site file or diary is damaged")
        again = run(case.words, folder)
        wrong[number] += [again.err] if again.status else []
        known = {*case.before, *case.after}.union(*may_be)
        wrong[number] += [f"{left} is left over" for left in files(folder) if left not in known]
    yield f"{name}: with a build at once ({refused} times one of them wrote nothing)", wrong


def on_disks(name: str, case: Case, folder: Path) -> Iterator[tuple[str, dict[int, list[str]]]]:
    """A small disk of its own: nothing left at all, little left, and mounted read-only."""
    if sys.platform != "linux" or os.getuid():
        return
    for what, room in (("full disk", 0), ("4 KB left", 4), ("40 KB left", 40), ("120 KB left", 120),
                       ("read-only disk", -1)):
        disk = folder.parent / "disk"
        disk.mkdir(exist_ok=True)
        size = 40 + sum(-(-len(data) // 4096) * 4 for data in case.before.values())
        if subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size + max(room, 0)}k", "tmpfs", str(disk)],
                          capture_output=True, check=False).returncode:
            print("no disk can be mounted here", file=sys.stderr)
            return
        try:
            for own, data in case.before.items():
                (disk / own).parent.mkdir(parents=True, exist_ok=True)
                (disk / own).write_bytes(data)
            if room < 0:
                subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
            else:
                _fill(disk / "filler", room)
            ended = run(case.words, disk)
            wrong = [*case.unclear(ended), *case.broken(disk)]
            if ended.status == 1:
                print(f"  {what}: {ended.err.strip()}")
            subprocess.run(["mount", "-o", f"remount,rw,size={size + 2000}k", str(disk)], check=True)
            (disk / "filler").unlink(missing_ok=True)
            wrong += case.again(disk)
        finally:
            subprocess.run(["umount", str(disk)], check=True)
        yield f"{name}: {what}", {1: wrong}


def _fill(path: Path, leave_kb: int) -> None:
    with path.open("wb", buffering=0) as file:
        try:
            while True:
                file.write(bytes(4096))
        except OSError:
            pass
        file.truncate(max(0, file.tell() - leave_kb * 1024))


def main() -> int:
    """Run it all; 1 when something did not hold."""
    parser = argparse.ArgumentParser(description="Kills, full disks, removals: old or new must be whole.")
    parser.add_argument("--random", type=int, default=200, metavar="N", help="kills at random moments (200 a command)")
    parser.add_argument("--only", default="", metavar="WORD", help="only parts whose name holds this")
    asked = parser.parse_args()
    failed = 0
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place).resolve() / "plot"
        parts: dict[str, Callable[[str, Case], Iterator[tuple[str, dict[int, list[str]]]]]] = {
            "touches": lambda name, case: at_touches(name, case, folder),
            "removals": lambda name, case: after_removals(name, case, folder),
            "disks": lambda name, case: on_disks(name, case, folder),
            "random": lambda name, case: at_random(name, case, folder, asked.random),
            "together": lambda name, case: together(name, case, folder, asked.random // 4),
        }
        for name, case in cases(folder).items():
            for part, tried in parts.items():
                if asked.only not in f"{name} {part}":
                    continue
                for what, wrong in tried(name, case):
                    found = {at: lines for at, lines in wrong.items() if lines}
                    failed += len(found)
                    print(f"{what}: {len(wrong)} moments, {len(found)} wrong", flush=True)
                    for at, lines in list(found.items())[:5]:
                        print(f"  at {at}: {'; '.join(lines)}", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())

"""Whole commands over a folder with one damaged file: ``python -m tests.fuzz.commands --count 500 --seed 1``.

What must be true of each: exit status 0 or 1, and 1 exactly when problems were told; printable lines; no traceback and
no warning; not long; nothing of the grower's changed but by a command that is to change it, and nothing outside the
output folder made. ``--processes`` runs each as a process of its own.
"""

from __future__ import annotations

import argparse
import gzip
import io
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path
from random import Random

from calgen.cli import main as calgen
from tests.fuzz.__main__ import LIMIT_S, WHOLE_BUILD_S, TooLong, unprintable
from tests.fuzz.built import hold_files
from tests.fuzz.kinds import BARE_PLOT, DIARY, PLOT, RECORDS, kinds
from tests.fuzz.mutate import damaged

RECORDED = PLOT.replace(b"frost:", b"climate: {record: nights.csv}\nfrost:")
PACKED = RECORDED.replace(b"nights.csv", b"nights.csv.gz")
IN_GERMAN = PLOT + b"language: de\n"
BUILD = "build plot.yaml --style chart-a4 --today 2026-09-02 --templates own"
DONE = "done plot.yaml Long_bed planted --plant tomato --on 2027-06-01 --templates own"
FROST = "frost plot.yaml --last 9_May --templates own --style chart-a4"
ASKED = ("check plot.yaml", "check plot.yaml --json", "why plot.yaml 1", "why plot.yaml Long_bed --json",
         "check plot.yaml --plan", "when plot.yaml tomato",
         "jobs plot.yaml --from 2026-09-01 --to 2027-09-01 --templates own", DONE, FROST, BUILD)
KNOWN_OUTPUT = re.compile(
    r"output/plot/(plan\.json|changes\.txt|index\.html|(wall-chart|sheets)\.pdf|feeds/[a-z-]+\.ics)")
NOTE = re.compile(r"\S+:\d+:\d+: note: ")
LAST_LINE = re.compile(r"(\d+) problems?; .+")

CASES = {
    "site": ("plot.yaml", (PLOT, RECORDED),
             (*ASKED, "new --next-year plot.yaml --to next.yaml", "plants --site plot.yaml")),
    "diary": ("plot.diary.yaml", (DIARY,), ASKED),
    "wording": ("own/wording-de.yaml", kinds()["wording"].texts, tuple(f"{words} --templates own" for words in (
        "check plot.yaml", "why plot.yaml 1", "jobs plot.yaml", "when plot.yaml",
        "done plot.yaml 1 planted --plant tomato", "check plot.yaml --plan",
        "frost plot.yaml --first 1_November", "build plot.yaml --style chart-a4 --today 2026-09-02"))),
    "style": ("own/chart-a4.yaml", kinds()["style"].texts, (BUILD,)),
    "own plant": ("own.yaml", kinds()["own-plant"].texts, (*ASKED, "plants --site plot.yaml --json")),
    "record": ("nights.csv", RECORDS, ("climate nights.csv", "climate nights.csv --json --latitude 52", *ASKED)),
    "packed record": ("nights.csv.gz", RECORDS, ("climate nights.csv.gz", *ASKED)),
    "plan": ("output/plot/plan.json", kinds()["plan"].texts, (BUILD, f"{FROST} --write")),
    "feeds": ("output/plot/feeds/all.ics", kinds()["feed"].texts, (BUILD,)),
}


@cache
def _good() -> Path:
    """A folder with one good file of each kind, built once."""
    folder = Path(tempfile.mkdtemp(prefix="calgen-fuzz-"))
    (folder / "own").mkdir()
    for name, data in (("plot.yaml", BARE_PLOT), ("plot.diary.yaml", DIARY), ("nights.csv", RECORDS[0]),
                       ("own.yaml", kinds()["own-plant"].texts[0]), ("nights.csv.gz", gzip.compress(RECORDS[0]))):
        (folder / name).write_bytes(data)
    _run(f"{BUILD} --out output".split(), folder)
    (folder / "plot.yaml").write_bytes(PLOT)
    return folder


def one(kind: str, seed: str, folder: Path, processes: bool = False, timed: bool = False) -> tuple[str, int, str]:
    """The words of a command, its exit status and what was found (nothing when all is well).

    Args:
        folder: an empty one, to work in; the damaged file is left there.
        timed: whether too much computing is a finding.
    """
    chance = Random(seed)
    name, texts, commands = CASES[kind]
    shutil.copytree(_good(), folder, dirs_exist_ok=True)
    _lay(kind, folder, chance)
    bad = damaged(chance.choice(texts), chance, texts)
    if kind == "packed record":
        bad = gzip.compress(bad) if chance.random() < 0.7 else damaged(gzip.compress(bad, mtime=0), chance)
    (folder / name).write_bytes(bad)
    words, run = chance.choice(commands), _process if processes else _run
    before = _files(folder)
    status, out, err, spent = run([word.replace("_", " ") for word in words.split()], folder)
    odd = _odd(words, status, out, err, before, _files(folder))
    if timed and spent > (LIMIT_S if status or words.split(maxsplit=1)[0] not in ("build", "frost") else WHOLE_BUILD_S):
        odd.append(f"{spent:.1f} s")
    return words, status, "; ".join(odd)


def _lay(kind: str, folder: Path, chance: Random) -> None:
    """What else this kind of file needs beside it."""
    if kind == "wording":
        (folder / "plot.yaml").write_bytes(IN_GERMAN)
    elif kind.endswith("record"):
        (folder / "plot.yaml").write_bytes(RECORDED if kind == "record" else PACKED)
    elif kind == "feeds":
        (folder / "output/plot/plan.json").unlink()
        for feed in (folder / "output/plot/feeds").iterdir():
            feed.write_bytes(damaged(feed.read_bytes(), chance))


def _files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def _odd(words: str, status: int, out: str, err: str, before: dict[str, bytes], after: dict[str, bytes]) -> list[str]:
    """Everything that is not as it must be."""
    found = []
    command = words.split(maxsplit=1)[0]
    if status not in (0, 1):
        found.append(f"exit status {status}")
    if "Traceback" in out + err or "Warning" in err:
        found.append(err[-2000:])
    if unprintable(out + err):
        found.append(f"unprintable: {(out + err)!r}")
    lines = err.splitlines()
    if "--json" not in words and bool(status) != bool(lines):
        found.append(f"exit status {status} with {err[-300:]!r}")
    if (ends := LAST_LINE.fullmatch(lines[-1]) if lines else None) and \
            int(ends[1]) != sum(not NOTE.match(line) for line in lines[:-1]):
        found.append(f"told {lines[-1]!r} after {len(lines) - 1} lines")
    changed = {name for name in before.keys() | after.keys() if before.get(name) != after.get(name)}
    may = {"done": {"plot.diary.yaml"}, "new": {"next.yaml"}, "frost": {"plot.yaml"} if "--write" in words else set()}
    if odd := [name for name in changed - may.get(command, set())
               if status or command not in ("build", "frost") or not KNOWN_OUTPUT.fullmatch(name)]:
        found.append(f"changed: {', '.join(odd)}")
    if command == "build" and not status:
        try:
            hold_files({name.removeprefix("output/plot/"): data for name, data in after.items()
                        if KNOWN_OUTPUT.fullmatch(name)})
        except Exception:
            found.append(traceback.format_exc(limit=-2))
    return found


def _run(words: list[str], folder: Path) -> tuple[int, str, str, float]:
    out, err = io.StringIO(), io.StringIO()
    begun, home = time.process_time(), Path.cwd()
    os.chdir(folder)
    signal.setitimer(signal.ITIMER_PROF, 3 * WHOLE_BUILD_S)
    try:
        with redirect_stdout(out), redirect_stderr(err), warnings.catch_warnings():
            warnings.simplefilter("always", UserWarning)
            status = calgen(words)
    except SystemExit as end:
        status = int(end.code or 0) if not isinstance(end.code, str) else 1
    except (Exception, TooLong):
        status = -1
        err.write(traceback.format_exc(limit=-4))
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        os.chdir(home)
    return status, out.getvalue(), err.getvalue(), time.process_time() - begun


def _process(words: list[str], folder: Path) -> tuple[int, str, str, float]:
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    ended = subprocess.run([sys.executable, "-m", "calgen", *words], cwd=folder, capture_output=True, check=False,
                           timeout=120)
    spent = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
    return ended.returncode, ended.stdout.decode("utf-8"), ended.stderr.decode("utf-8"), spent


def _stop(*_: object) -> None:
    raise TooLong


def main() -> int:
    """Run; exit status 1 when anything was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kinds", nargs="*", default=[*CASES], help=", ".join(CASES))
    parser.add_argument("--count", type=int, default=100, help="commands for each kind")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", action="store_true")
    parser.add_argument("--keep", type=Path, help="folder for the folders in which something was found")
    args = parser.parse_args()
    signal.signal(signal.SIGPROF, _stop)
    found = 0
    for kind in args.kinds:
        came = Counter[int]()
        for number in range(args.count):
            folder = Path(tempfile.mkdtemp(prefix="calgen-fuzz-"))
            words, status, odd = one(kind, f"{args.seed}/{kind}/{number}", folder, args.processes, timed=True)
            came[status] += 1
            if odd:
                found += 1
                print(f"{kind} {number}: {words}: {odd}", file=sys.stderr, flush=True)
                if args.keep:
                    shutil.copytree(folder, args.keep / f"{kind}-{number}", dirs_exist_ok=True)
            shutil.rmtree(folder)
        print(f"{kind}: " + ", ".join(f"{count} ended with {status}" for status, count in sorted(came.items())),
              flush=True)
    print(f"{found} found")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main())

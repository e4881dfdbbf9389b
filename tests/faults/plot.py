"""A plot with its outputs, three commands that change it, and what must hold when one of them is cut short.

Each command has a folder as it was and one as it is to be, made by undisturbed runs. A run cut short must leave the
site file and the diary as one of the two, and the outputs too; the same command again must make all as it is to be.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.faults.moments import KILLED, Ended, run

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

SITE = """\
# Our plot: the remark stays.
site: Rook Lane
latitude: 52.6
frost:
  last:   22 April     # from the parish almanac
  first: '4 November'  # average
winter-low: -6
warmest-month: 16.9
chart-starts: September 2026
beds:
  Long bed:
    size: 1 x 5 m
    order:
      - {crop: lettuce, planted: 2026-06-20, cleared: 2026-09-01}
      - cover: choose
      - crop: French bean
"""
DIARY = """\
diary:
  - {on: 2026-09-01, bed: Long bed, done: cleared, plant: lettuce}  # in the rain
"""
TODAY = ("--today", "2026-09-10")
BUILD = ("build", "plot.yaml", *TODAY)
COMMANDS: Mapping[str, tuple[str, ...]] = {
    "build": BUILD,
    "frost": ("frost", "plot.yaml", "--last", "9 May", "--write", *TODAY),
    "done": ("done", "plot.yaml", "Long bed", "sown", "--on", "2026-09-10", "--note", "dry"),
}
OUT = "output/plot"


def files(folder: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*"))
            if path.is_file()}


def put(folder: Path, held: Mapping[str, bytes]) -> None:
    """Make a folder hold these files and nothing else."""
    if folder.is_dir():
        shutil.rmtree(folder)
    else:
        folder.unlink(missing_ok=True)
    for name, data in held.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)


def outputs(held: Mapping[str, bytes]) -> dict[str, bytes]:
    """The output files as a grower sees them: nothing hidden."""
    return {name: data for name, data in held.items()
            if name.startswith(f"{OUT}/") and not name.rpartition("/")[2].startswith(".")}


@dataclass(frozen=True)
class Case:
    """A command, and the folder before and after an undisturbed run of it."""

    words: tuple[str, ...]
    before: Mapping[str, bytes]
    after: Mapping[str, bytes]

    def broken(self, folder: Path) -> list[str]:
        """What is wrong with a folder in which the command was cut short, ``moving`` for outputs half moved."""
        now, wrong = files(folder), []
        for name in ("plot.yaml", "plot.diary.yaml"):
            if now.get(name) not in (self.before.get(name), self.after.get(name)):
                wrong.append(f"{name} is damaged")
        seen, old, new = outputs(now), outputs(self.before), outputs(self.after)
        if seen not in (old, new):
            whole = all(seen.get(name) in (old.get(name), new.get(name)) for name in {*seen, *old, *new})
            wrong.append("moving" if whole and f"{OUT}/.calgen-moves" in now else "the outputs are of two builds")
        if new and old != new and seen == new and now["plot.yaml"] != self.after["plot.yaml"]:
            wrong.append("the outputs are newer than the site file")
        return wrong

    def unclear(self, ended: Ended) -> list[str]:
        """What is wrong with how the command ended."""
        if ended.status == KILLED:
            return []
        wrong = [f"exit status {ended.status}"] if ended.status not in (0, 1) else []
        if "Traceback" in ended.err or "Exception ignored" in ended.err:
            wrong.append("a traceback")
        if ended.status == 1 and not ended.err.strip():
            wrong.append("no message")
        return wrong

    def again(self, folder: Path) -> list[str]:
        """What is wrong after the same command once more, undisturbed."""
        ended = run(self.words, folder)
        wrong = [] if ended.status == 0 else [f"again: exit status {ended.status}: {ended.err}"]
        now = files(folder)
        return wrong + [f"again: {name} is {'left over' if name not in self.after else 'not as it should be'}"
                        for name in sorted({*now, *self.after}) if now.get(name) != self.after.get(name)]


def cases(folder: Path) -> dict[str, Case]:
    """The three commands, tried in a folder; each changes outputs, drops some and adds some.

    The build follows a change of the site file, after one with the chart in pieces; of ``first`` there is nothing yet.
    """
    site, diary = SITE.encode(), DIARY.encode()

    def after(words: tuple[str, ...]) -> dict[str, bytes]:
        ended = run(words, folder)
        assert ended.status == 0, ended.err
        return files(folder)

    start = {"plot.yaml": site, "plot.diary.yaml": diary}
    put(folder, start)
    built = after((*BUILD, "--tile", "A4"))
    found: dict[str, Case] = {}
    other = site.replace(b"'4 November'", b"20 October").replace(b"cover: choose", b"cover: rye")
    changed = {**built, "plot.yaml": other}
    for name, before, words in (("first", start, BUILD), ("build", changed, BUILD),
                                ("frost", built, COMMANDS["frost"]), ("done", built, COMMANDS["done"])):
        put(folder, before)
        found[name] = Case(words, before, after(words))
    return found


def faults(wrong: Mapping[int, list[str]]) -> dict[int, list[str]]:
    """What is wrong beside outputs half moved, which is told, and which the next build finishes."""
    return {at: lines for at, lines in wrong.items()
            if any(line != "moving" and not line.startswith("said: ") for line in lines)}


def each_touch(case: Case, folder: Path, disturbed: Callable[[int], Ended], step: int = 1) -> dict[int, list[str]]:
    """Disturb the command at its first touch, and so on by steps until it comes to an end first; what was wrong."""
    wrong: dict[int, list[str]] = {}
    at = 1
    while True:
        put(folder, case.before)
        ended = disturbed(at)
        wrong[at] = [*case.unclear(ended), *case.broken(folder)]
        if ended.status in (0, 1):
            wrong[at] += [f"said: {ended.err.strip()}"] if wrong[at] else []
        wrong[at] += case.again(folder)
        if ended.touches < at:
            return wrong
        at += step

"""A plot with its outputs, three commands that change it, and what must hold when one of them is cut short.

Each command has a folder as it was and one as it is to be, made by undisturbed runs. A run cut short must leave the
site file and the diary as one of the two, and the outputs too; the same command again must make all as it is to be.
"""

from __future__ import annotations

import io
import shutil
from contextlib import redirect_stdout
from dataclasses import dataclass, field
from hashlib import sha256
from typing import TYPE_CHECKING

from tests.faults.moments import KILLED, Ended, run

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping
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
OWN = ("plot.yaml", "plot.diary.yaml")


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
    """A command, and the folder before and after an undisturbed run of it.

    ``tried`` keeps what came of running it again in a folder left in a certain state.
    """

    words: tuple[str, ...]
    before: Mapping[str, bytes]
    after: Mapping[str, bytes]
    tried: dict[bytes, list[str]] = field(default_factory=dict)

    def wrong(self, folder: Path, ended: Ended) -> list[str]:
        """What is wrong with how the command ended, and with the folder that it left."""
        wrong = [*self.unclear(ended), *self.broken(folder, ended.err), *self.untrue(folder, ended)]
        return [f"{'; '.join(wrong)} (said: {ended.err.strip()})"] if wrong else []

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

    def broken(self, folder: Path, said: str = "") -> list[str]:
        """What is damaged. A disk that dies may leave outputs of both builds, if that is said."""
        now, wrong = files(folder), []
        for name in OWN:
            if now.get(name) not in (self.before.get(name), self.after.get(name)):
                wrong.append(f"{name} is damaged")
        seen, old, new = outputs(now), outputs(self.before), outputs(self.after)
        if seen not in (old, new) and "could not be put back" not in said:
            wrong.append("the outputs are of two builds")
        if new and old != new and seen == new and now["plot.yaml"] != self.after["plot.yaml"]:
            wrong.append("the outputs are newer than the site file")
        return wrong

    def untrue(self, folder: Path, ended: Ended) -> list[str]:
        """What the command says that is not so."""
        now, wrong = files(folder), []
        own, seen = [now.get(name) for name in OWN], outputs(now)
        changed = own != [self.before.get(name) for name in OWN]
        if ended.status == 0 and (seen != outputs(self.after) or own != [self.after.get(name) for name in OWN]):
            wrong.append("not done, but says nothing")
        if "nothing was changed" in ended.err and (changed or seen != outputs(self.before)):
            wrong.append("says that nothing was changed")
        if "the output is as it was" in ended.err and seen != outputs(self.before):
            wrong.append("says that the output is as it was")
        if "has the new date" in ended.err and not changed:
            wrong.append("says that the site file is new")
        if ended.status == 1 and changed and self.words[0] == "frost" and "has the new date" not in ended.err:
            wrong.append("does not say that the site file is new")
        return wrong

    def again(self, folder: Path) -> list[str]:
        """What is wrong after the same command once more, undisturbed."""
        state = sha256(repr(files(folder)).encode()).digest()
        if state not in self.tried:
            ended = run(self.words, folder)
            wrong = [] if ended.status == 0 else [f"again: exit status {ended.status}: {ended.err}"]
            now = files(folder)
            self.tried[state] = wrong + [
                f"again: {name} is {'left over' if name not in self.after else 'not as it should be'}"
                for name in sorted({*now, *self.after}) if now.get(name) != self.after.get(name)]
        return self.tried[state]


def imported(folder: Path, site: bytes) -> None:
    """Let this process import and read all that a build and a look at another frost date need: its forks have it."""
    from calgen.cli import main

    put(folder, {"plot.yaml": site})
    with redirect_stdout(io.StringIO()):
        for words in (("build", "--tile", "A4", "--out", str(folder / "output")), ("frost", "--last", "9 May")):
            assert main([words[0], str(folder / "plot.yaml"), *words[1:]]) == 0


def cases(folder: Path, wanted: Collection[str] = ("first", "build", "frost", "done")) -> dict[str, Case]:
    """The three commands, tried in a folder; each changes outputs, drops some and adds some.

    The build follows a change of the site file, after one with the chart in pieces; of ``first`` there is nothing yet.
    """
    site, diary = SITE.encode(), DIARY.encode()

    def after(words: tuple[str, ...]) -> dict[str, bytes]:
        ended = run(words, folder)
        assert ended.status == 0, ended.err
        return files(folder)

    imported(folder, site)
    start = {"plot.yaml": site, "plot.diary.yaml": diary}
    put(folder, start)
    built = after((*BUILD, "--tile", "A4"))
    found: dict[str, Case] = {}
    other = site.replace(b"'4 November'", b"20 October").replace(b"cover: choose", b"cover: rye")
    changed = {**built, "plot.yaml": other}
    for name, before, words in (("first", start, BUILD), ("build", changed, BUILD),
                                ("frost", built, COMMANDS["frost"]), ("done", built, COMMANDS["done"])):
        if name not in wanted:
            continue
        put(folder, before)
        found[name] = Case(words, before, after(words))
    return found


def each_touch(case: Case, folder: Path, disturbed: Callable[[int], Ended], step: int = 1) -> dict[int, list[str]]:
    """Disturb the command at its first touch, and so on by steps until it ends before; what was wrong at each."""
    wrong: dict[int, list[str]] = {}
    at = 1
    while True:
        put(folder, case.before)
        ended = disturbed(at)
        wrong[at] = [*case.wrong(folder, ended), *case.again(folder)]
        if ended.touches < at:
            return wrong
        at += step

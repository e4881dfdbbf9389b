"""``calgen done``: write into the diary what was really done; the bed is planned again from it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterable

    from calgen.command.load import Desk
    from calgen.site.model import Doing

HELP = "note in the diary what was done in a bed, and on which day"
EXAMPLE = "calgen done sites/my-plot.yaml 'Long bed' sown --on 2026-09-12 --note 'dry seedbed'"
HEADER = "# What was really done. calgen adds lines at the end; you may edit them.\ndiary:\n"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    from calgen.command.option import day

    parser.add_argument("site", type=Path, metavar="SITE.yaml")
    from calgen.site.model import DOINGS

    parser.add_argument("bed", metavar="BED", help="a bed's name or its number; all for ordered seed")
    parser.add_argument("job", metavar="JOB", help=f"what was done: {', '.join(DOINGS)}")
    parser.add_argument("--plant", action="append", default=[], metavar="NAME",
                        help="crop or cover (default: the one planned; give it twice for a mixture)")
    parser.add_argument("--on", type=day, metavar="DATE", help="the day (default: today)")
    parser.add_argument("--note", default="", metavar="TEXT")
    parser.add_argument("--templates", type=Path, metavar="DIR", help="folder with your own wording")


def run(args: argparse.Namespace) -> int:
    """Add a line to the diary, whole or not at all."""
    import sys

    from calgen.command.load import desk, diary_path, show_problems
    from calgen.command.moves import moves
    from calgen.output import OutputError
    from calgen.problems import InputError

    try:
        found = desk(args.site, args.templates)
        _ = found.plan, found.speaker  # what is wrong with record or wording is told before the diary is touched
        doing = _doing(args, found)
        path = diary_path(args.site)
        news = _append(path, doing, found)
        after = desk(args.site, args.templates)
    except InputError as error:
        return show_problems(error)
    except OutputError as error:
        print(f"{args.site}: {error}", file=sys.stderr)
        return 1
    what = " ".join(part for part in (doing.done, after.speaker.listed(doing.plants) if doing.plants else "") if part)
    print(f"{path}: {doing.bed or 'all beds'}: {what}, {after.speaker.full_day(doing.on)}"
          f"{'' if news else '; it was there already, nothing was changed'}")
    for line in moves(found, after):
        print(line)
    for note in after.plan.notes:
        if note.bed == doing.bed:
            print(f"note: {after.speaker.reason(note.reason)}")
    print(f"calgen build {args.site} carries it to chart and phone")
    return 0


def _doing(args: argparse.Namespace, found: Desk) -> Doing:
    from calgen.command.why import planned_bed
    from calgen.knowledge.names import plant_names
    from calgen.planner.doing import TASKS_OF
    from calgen.problems import InputError, Place, Problem
    from calgen.site.convert import name_text
    from calgen.site.diary import plant_done
    from calgen.site.model import Doing
    from calgen.yamlfile import nearest

    place = Place(str(found.path), 0)
    done_of = {kind: done for done, kinds in TASKS_OF.items() if done != "failed" for kind in kinds}
    said = "-".join(args.job.casefold().split())
    word = done_of.get(said, said)
    if word not in TASKS_OF:
        near = nearest(word, (*TASKS_OF, *done_of))
        known = f'did you mean "{near}"?' if near else f"known: {', '.join(TASKS_OF)}"
        raise InputError([Problem(place, "", f'"{args.job}" is no job here; {known}')])
    on: date = args.on or datetime.now(UTC).astimezone().date()
    names = plant_names(found.knowledge)
    note = _read("--note", args.note, name_text) if args.note else ""
    if word == "ordered" and args.bed.casefold() == "all":
        return Doing(on, "", word, tuple(_read("--plant", name, names.grown) for name in args.plant), note, place)
    bed = planned_bed(args.bed, found)
    written = next(one for one in found.site.beds if one.name == bed.bed.name)
    plants = tuple(_read("--plant", name, lambda text: plant_done(text, written, names, found.site.wanted))
                   for name in args.plant)
    if not plants and (same := _noted(found.site.diary, Doing(on, bed.bed.name, word, plants, note, place))):
        return same
    if not plants and word not in ("ordered", "mulched"):
        tasks = [timed for timed in bed.tasks if timed.kind in TASKS_OF[word] and timed.done == (word == "failed")]
        if not tasks:
            open_now = dict.fromkeys(done_of[timed.kind] for timed in bed.tasks if not timed.done)
            planned = ", ".join(open_now) or "nothing"
            what = f"{word} is not planned here; planned: {planned}; or name the plant with --plant"
            raise InputError([Problem(place, f'bed "{bed.bed.name}"', what)])
        plants = min(tasks, key=lambda timed: abs((timed.best - on).days)).plants
    return Doing(on, bed.bed.name, word, plants, note, place)


def _read(flag: str, text: str, convert: Callable[[str], str]) -> str:
    from calgen.problems import InputError, Place, Problem

    try:
        return convert(text)
    except ValueError as error:
        raise InputError([Problem(Place(flag, 0), "", f'"{text}" {error}')]) from None


def _noted(diary: Iterable[Doing], doing: Doing) -> Doing | None:
    """The entry that says this already, as when the command is given again after it was cut off; any plants will do
    where none are named.
    """
    return next((entry for entry in diary if (entry.on, entry.bed, entry.done, entry.note) ==
                 (doing.on, doing.bed, doing.done, doing.note) and doing.plants in ((), entry.plants)), None)


def _append(path: Path, doing: Doing, found: Desk) -> bool:
    """Two writers take turns; a crash in the middle leaves the diary as it was. False when the entry is there."""
    from calgen.command.load import file_bytes
    from calgen.command.rewrite import replace_file, turn
    from calgen.knowledge.names import plant_names
    from calgen.site.diary import diary_line, read_diary

    with turn(path):
        before = file_bytes(path, "move it away") if path.exists() else HEADER.encode()
        names = plant_names(found.knowledge)
        if path.exists() and _noted(read_diary(before, str(path), found.site, names), doing):
            return False
        gap = b"" if before.endswith(b"\n") else b"\n"
        data = before + gap + diary_line(doing).encode("utf-8")
        read_diary(data, str(path), found.site, names)
        replace_file(path, data)
    return True

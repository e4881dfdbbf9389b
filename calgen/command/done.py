"""``calgen done``: write into the diary what was really done; the bed is planned again from it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    from calgen.command.load import Desk
    from calgen.site.model import Doing

HELP = "note in the diary what was done in a bed, and on which day"
EXAMPLE = "calgen done sites/my-plot.yaml 'Long bed' sown --on 2026-09-12 --note 'dry seedbed'"
SOWN = ("sow", "undersow", "drill")
KIND_OF = {"sown": SOWN, "planted": ("plant",), "topped-up": ("top-up",), "failed": SOWN,
           "cut": ("cut-down",), "cleared": ("clear",), "mulched": ("mulch",), "looked": ("look",),
           "gathered": ("gather-seed",), "ordered": ("order-seed",), "sown-indoors": ("sow-indoors",),
           "hardened-off": ("harden-off",)}
DONE_OF = {kind: done for done, kinds in KIND_OF.items() if done != "failed" for kind in kinds}
HEADER = "# What was really done. calgen adds lines at the end; you may edit them.\ndiary:\n"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    from calgen.command.option import day

    parser.add_argument("site", type=Path, metavar="SITE.yaml")
    parser.add_argument("bed", metavar="BED", help="a bed's name or its number")
    parser.add_argument("job", metavar="JOB", help=f"what was done: {', '.join(KIND_OF)}")
    parser.add_argument("--plant", action="append", default=[], metavar="NAME",
                        help="crop or cover (default: the one planned; give it twice for a mixture)")
    parser.add_argument("--on", type=day, metavar="DATE", help="the day (default: today)")
    parser.add_argument("--note", default="", metavar="TEXT")


def run(args: argparse.Namespace) -> int:
    """Add a line to the diary, whole or not at all."""
    import sys

    from calgen.command.load import desk, diary_path, show_problems
    from calgen.output import OutputError
    from calgen.problems import InputError

    try:
        found = desk(args.site)
        doing = _doing(args, found)
        path = diary_path(args.site)
        _append(path, doing, found)
        after = desk(args.site)
    except InputError as error:
        return show_problems(error)
    except OutputError as error:
        print(f"{args.site}: {error}", file=sys.stderr)
        return 1
    print(f"{path}: {doing.bed}: {doing.done} {', '.join(doing.plants)} on {after.speaker.full_day(doing.on)}")
    for note in after.plan.notes:
        if note.bed == doing.bed:
            print(f"note: {after.speaker.reason(note.reason)}")
    print(f"calgen build {args.site} carries it to chart and phone")
    return 0


def _doing(args: argparse.Namespace, found: Desk) -> Doing:
    from calgen.command.why import planned_bed
    from calgen.knowledge.names import plant_names
    from calgen.problems import InputError, Place, Problem
    from calgen.site.convert import name_text
    from calgen.site.model import Doing
    from calgen.yamlfile import nearest

    place = Place(str(found.path))
    word = DONE_OF.get(args.job.casefold(), args.job.casefold().replace(" ", "-"))
    if word not in KIND_OF:
        near = nearest(word, (*KIND_OF, *DONE_OF))
        known = f'did you mean "{near}"?' if near else f"known: {', '.join(KIND_OF)}"
        raise InputError([Problem(place, "", f'"{args.job}" is no job here; {known}')])
    bed = planned_bed(args.bed, found)
    on: date = args.on or datetime.now(UTC).astimezone().date()
    try:
        plants = tuple(plant_names(found.knowledge).grown(name) for name in args.plant)
        note = name_text(args.note) if args.note else ""
    except ValueError as error:
        raise InputError([Problem(place, "", f'"{args.plant or args.note}" {error}')]) from None
    if not plants:
        tasks = [timed for timed in bed.tasks if timed.kind in KIND_OF[word] and "fallback" not in timed.facts]
        if not tasks:
            planned = ", ".join(dict.fromkeys(DONE_OF[timed.kind] for timed in bed.tasks)) or "nothing"
            what = f"{word} is not planned here; planned: {planned}; or name the plant with --plant"
            raise InputError([Problem(place, f'bed "{bed.bed.name}"', what)])
        plants = min(tasks, key=lambda timed: abs((timed.best - on).days)).plants
    return Doing(on, bed.bed.name, word, plants, note, place)


def _append(path: Path, doing: Doing, found: Desk) -> None:
    """Two writers take turns; a crash in the middle leaves the diary as it was."""
    from calgen.command.rewrite import replace_file, turn
    from calgen.knowledge.names import plant_names
    from calgen.site.diary import diary_line, read_diary

    with turn(path):
        before = path.read_bytes() if path.is_file() else HEADER.encode()
        gap = b"" if before.endswith(b"\n") else b"\n"
        data = before + gap + diary_line(doing).encode("utf-8")
        read_diary(data, str(path), found.site, plant_names(found.knowledge))
        replace_file(path, data)

"""``calgen frost``: what another frost date would move; with ``--write`` it is put into the site file and built."""

from __future__ import annotations

from contextlib import nullcontext
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    from calgen.command.load import Desk

HELP = "show what a new average frost date would move; --write changes it and builds"
EXAMPLE = 'calgen frost sites/my-plot.yaml --last "9 May"'


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    from calgen.command.option import day

    parser.add_argument("site", type=Path, metavar="SITE.yaml")
    parser.add_argument("--last", metavar="DATE", help="average last frost of spring, such as '9 May'")
    parser.add_argument("--first", metavar="DATE", help="average first frost of autumn")
    parser.add_argument("--write", action="store_true", help="write the date into the site file and build")
    parser.add_argument("--out", type=Path, default=Path("output"), metavar="DIR", help="where to build (output)")
    parser.add_argument("--today", type=day, metavar="DATE", help="the day of making (default: today)")
    parser.add_argument("--templates", type=Path, metavar="DIR", help="folder with your own wording or chart style")
    parser.add_argument("--style", default="chart-a3", metavar="NAME", help="chart style (chart-a3)")


def run(args: argparse.Namespace) -> int:
    """Show the moves; write and build when asked."""
    import sys

    from calgen.command.build import build, not_overtaken
    from calgen.command.load import desk, desk_of, file_bytes, show_problems
    from calgen.command.rewrite import replace_file, turn
    from calgen.output import OutputError
    from calgen.problems import Faults, InputError
    from calgen.site.edit import with_value

    if not (args.last or args.first):
        print("calgen frost: give --last, --first or both", file=sys.stderr)
        return 2
    made = args.today or datetime.now(UTC).astimezone().date()
    site = ""
    try:
        with turn(args.site) if args.write else nullcontext():
            before = desk(args.site, args.templates)
            data = file_bytes(args.site)
            for key, value in (("last", args.last), ("first", args.first)):
                if value:
                    data = with_value(data, str(args.site), ("frost", key), _checked(key, value), Faults())
            after = desk_of(data, args.site, args.templates)
            lines = _lines(before, after)
            if args.write:
                replace_file(args.site, data)
                site = "the site file has the new date"
        for line in lines:
            print(line)
        if args.write:
            not_overtaken(lambda: build(desk(args.site, args.templates), args.out, made, args.style))
        else:
            print("nothing was written; --write puts the date into the site file and builds")
    except InputError as error:
        return show_problems(error, f"{site}; the output is as it was" if site else "nothing was written")
    except OutputError as error:
        print(f"{args.site}: {f'{site}; ' if site else ''}{error}", file=sys.stderr)
        return 1
    return 0


def _checked(key: str, text: str) -> str:
    from calgen.problems import InputError, Place, Problem
    from calgen.site.convert import day_month

    try:
        day_month(text)
    except ValueError as error:
        raise InputError([Problem(Place(f"--{key}", 0), "", f'"{text}" {error}')]) from None
    return " ".join(text.split())


def _lines(before: Desk, after: Desk) -> list[str]:
    from calgen.command.moves import moves

    return [*moves(before, after), *_windows(before, after)] or ["nothing moves"]


def _windows(before: Desk, after: Desk) -> list[str]:
    speaker = after.speaker
    rows = [{(row.plant, row.season, row.method): row for row in found.schedule(found.site.chart_starts).windows}
            for found in (before, after)]
    lines = []
    for key in sorted({*rows[0], *rows[1]}):
        old, new = rows[0].get(key), rows[1].get(key)
        row = new or old
        assert row
        what = f"{row.label.name}, {speaker.wording.word(f'method-{row.method}')}, " \
               f"{speaker.wording.word(f'season-{row.season}')}"
        if old is None and new:
            lines.append(f"window opens: {what}: {speaker.day(new.first)} – {speaker.day(new.last)}")
        elif new is None and old:
            lines.append(f"window closes: {what}")
        elif old and new and (old.first, old.last) != (new.first, new.last):
            lines.append(f"window: {what}: {speaker.day(old.first)} – {speaker.day(old.last)} -> "
                         f"{speaker.day(new.first)} – {speaker.day(new.last)}")
    return lines

"""``calgen check``: read a site file and plan it, write nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

HELP = "read a site file and say what is wrong or worth knowing"
EXAMPLE = "calgen check sites/my-plot.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("sites", nargs="+", type=Path, metavar="SITE.yaml")
    parser.add_argument("--templates", type=Path, metavar="DIR", help="folder with your own wording or chart style")


def run(args: argparse.Namespace) -> int:
    """Check each file; exit status 1 when one has problems."""
    from calgen.command.load import desk, show_problems
    from calgen.problems import InputError

    status = 0
    for path in args.sites:
        try:
            found = desk(path, args.templates)
            words, notes = found.speaker, found.plan.notes
        except InputError as error:
            status = show_problems(error)
            continue
        for note in notes:
            print(f'{note.place}: note: bed "{note.bed}": {words.reason(note.reason)}')
        beds = len(found.site.beds)
        print(f"{path}: {beds} bed{'s' if beds != 1 else ''}, nothing wrong"
              + (f", {len(notes)} note{'s' if len(notes) != 1 else ''}" if notes else ""))
    return status

"""``calgen check``: read a site file with all it names, with ``--plan`` plan it too, write nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import argparse

    from calgen.command.load import Desk
    from calgen.problems import Problem

HELP = "read a site file and say what is wrong; with --plan also what is worth knowing"
EXAMPLE = "calgen check sites/my-plot.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("sites", nargs="+", type=Path, metavar="SITE.yaml")
    parser.add_argument("--plan", action="store_true", help="plan the beds too, and tell what the plan has to say")
    parser.add_argument("--templates", type=Path, metavar="DIR", help="folder with your own wording or chart style")
    parser.add_argument("--json", action="store_true", help="print JSON only")


def run(args: argparse.Namespace) -> int:
    """Check each file; exit status 1 when one has problems."""
    from calgen.command.load import desk, show_problems
    from calgen.problems import InputError

    status = 0
    told: list[dict[str, Any]] = []
    for path in args.sites:
        try:
            found = desk(path, args.templates)
            if args.templates:
                assert found.wording
            if found.site.climate.record:
                assert found.climate
            notes = _notes(found) if args.plan else []
        except InputError as error:
            told.append(_data(path, error.problems))
            status = 1 if args.json else show_problems(error)
            continue
        told.append(_data(path, notes))
        if not args.json:
            for note in notes:
                print(note)
            beds = len(found.site.beds)
            print(f"{path}: {beds} bed{'s' if beds != 1 else ''}, nothing wrong"
                  + (f", {len(notes)} note{'s' if len(notes) != 1 else ''}" if notes else ""))
    if args.json:
        import json

        print(json.dumps({"format": 1, "sites": told}, ensure_ascii=False, indent=1))
    return status


def _notes(found: Desk) -> list[Problem]:
    from calgen.problems import Problem

    return [Problem(note.place, f'bed "{note.bed}"' if note.bed else "wanted", found.speaker.reason(note.reason),
                    "note") for note in found.plan.notes]


def _data(path: Path, problems: list[Problem] | tuple[Problem, ...]) -> dict[str, Any]:
    from calgen.problems import printable

    return {"file": str(path), "problems": [
        {"level": problem.level, "file": printable(problem.place.file), "line": problem.place.line,
         "column": problem.place.column, "where": printable(problem.where),
         "what": printable(problem.what)} for problem in problems]}

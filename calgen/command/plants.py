"""``calgen plants``: what is known about a crop or cover, with sources."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

HELP = "list all crops and covers, or show what is known about one, with sources"
EXAMPLE = "calgen plants 'winter rye'"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("name", nargs="?", metavar="NAME")
    parser.add_argument("--site", type=Path, metavar="SITE.yaml", help="with the own plants of this site")
    parser.add_argument("--sources", action="store_true", help="how many values are published, from memory, our own")
    parser.add_argument("--json", action="store_true", help="print JSON only")


def run(args: argparse.Namespace) -> int:
    """Print what is known."""
    import json
    import sys

    from calgen.command.load import file_bytes, knowledge_of, show_problems
    from calgen.knowledge.read import read_knowledge
    from calgen.knowledge.report import plant_data, plant_text, value_counts_text
    from calgen.problems import InputError

    try:
        knowledge = knowledge_of(file_bytes(args.site), args.site) if args.site else read_knowledge()
    except InputError as error:
        return show_problems(error)
    if args.sources:
        print(value_counts_text(knowledge))
        return 0
    try:
        if args.json:
            print(json.dumps(plant_data(knowledge, args.name), ensure_ascii=False, indent=1))
        else:
            print(plant_text(knowledge, args.name))
    except LookupError as error:
        print(error.args[0], file=sys.stderr)
        return 1
    return 0

"""``calgen new``: a commented site file, from flags or by asking."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable

    from calgen.problems import Problem

HELP = "start a site file by answering a few questions, or from flags"
EXAMPLE = "calgen new sites/my-plot.yaml --name 'My plot' --latitude 52.4 --last '28 April' --first '19 October'"
BED: Final = """  {name}:
    size: {size}
    # soil: [compacted]      # compacted, wet, dry, acid, shaded
    # needs: [nitrogen]      # nitrogen, hold-nutrients, biomass, structure, weeds, soil-pests, phosphorus,
    #                        # pollinators, cover; in order of weight
    # grew: {{{year}: [carrot]}}
    order:
      - crop: {crop}         # what stands there; then what follows
      - cover: choose
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("site", type=Path, metavar="SITE.yaml", nargs="?",
                        help="the file to write; it must not exist yet")
    parser.add_argument("--next-year", type=Path, metavar="OLD.yaml",
                        help="carry this site over into its next year: what grew, what stands, what was to follow")
    parser.add_argument("--to", type=Path, metavar="NEW.yaml", help="where the next year goes (OLD-YEAR.yaml)")
    parser.add_argument("--name", metavar="TEXT", help="what the plot is called")
    parser.add_argument("--latitude", metavar="N", help="degrees, south negative")
    parser.add_argument("--last", metavar="DATE", help="average last frost of spring, such as '28 April'")
    parser.add_argument("--first", metavar="DATE", help="average first frost of autumn")
    parser.add_argument("--winter-low", metavar="N", help="coldest night of an ordinary winter, °C")
    parser.add_argument("--warmest-month", metavar="N", help="mean temperature of the warmest month, °C")
    parser.add_argument("--soil", default="loam", help="sand, loam, clay, chalk or peat (loam)")
    parser.add_argument("--units", default="metric", help="metric or us (metric)")
    parser.add_argument("--starts", metavar="MONTH", help="first month of the chart, such as 'September 2026'")
    parser.add_argument("--bed", action="append", default=[], metavar="'NAME = SIZE = CROP'",
                        help="a bed, its size and what stands there, such as 'Long bed = 1.2 x 6 m = leek'")


def run(args: argparse.Namespace) -> int:
    """Write the file, if it is right and none is there yet."""
    from calgen.command.load import show_problems
    from calgen.problems import InputError

    if (args.site is None) == (args.next_year is None):
        print("calgen new: name the file to write, or an old one with --next-year", file=sys.stderr)
        return 2
    try:
        path = _carried_over(args) if args.next_year else _started(args)
    except InputError as error:
        return show_problems(error)
    except OSError as error:
        print(f"{args.site or args.to or args.next_year}: cannot be written ({error.strerror}); nothing was changed",
              file=sys.stderr)
        return 1
    print(f"{path} is written; open it, put in what follows in each bed, then: calgen build {path}")
    return 0


def _started(args: argparse.Namespace) -> Path:
    from calgen.command.load import template_bytes

    path: Path = args.site
    _refuse_existing(path)
    answers = _answers(args)
    data, _ = template_bytes("starter-site.yaml", None)
    _write(path, data.decode("utf-8").format_map(answers).encode("utf-8"))
    return path


def _carried_over(args: argparse.Namespace) -> Path:
    from calgen.command.load import desk, file_bytes
    from calgen.command.next_year import next_year

    found = desk(args.next_year)
    year = f"-{found.plan.end.year}"
    stem = found.path.stem.removesuffix(f"-{found.plan.start.year}").removesuffix(year)
    path: Path = args.to or found.path.with_name(f"{stem}{year}.yaml")
    _refuse_existing(path)
    _write(path, next_year(found, file_bytes(args.next_year)))
    return path


def _refuse_existing(path: Path) -> None:
    from calgen.problems import InputError, Place, Problem

    if path.exists() or path.is_symlink():
        raise InputError([Problem(Place(str(path), 0), "", "is there already; choose another name")])


def _write(path: Path, data: bytes) -> None:
    """Put the file there if it is right."""
    from calgen.command.load import desk_of
    from calgen.command.rewrite import replace_file

    desk_of(data, path)
    path.parent.mkdir(parents=True, exist_ok=True)
    replace_file(path, data)


def _answers(args: argparse.Namespace) -> dict[str, str]:
    """The facts of the starter file: from flags, else asked for on a terminal."""
    from calgen.command.plain import plain
    from calgen.problems import InputError, Place, Problem
    from calgen.site import convert

    today = datetime.now(UTC).astimezone().date()
    questions: tuple[tuple[str, str, Callable[[str], object]], ...] = (
        ("name", "What is the plot called?", convert.name_text),
        ("latitude", "Latitude in degrees (south negative)?", convert.number(-70, 70, "degrees")),
        ("last", "Average date of the last frost of spring (28 April)?", convert.day_month),
        ("first", "Average date of the first frost of autumn (19 October)?", convert.day_month),
    )
    answers: dict[str, str] = {}
    problems: list[Problem] = []
    for key, question, convert_text in questions:
        given = getattr(args, key)
        if given is None and sys.stdin.isatty():
            given = _ask(question, convert_text)
        if given is None:
            problems.append(Problem(Place(str(args.site), 0), "", f"--{key} is missing; add it"))
            continue
        try:
            convert_text(given)
        except ValueError as error:
            problems.append(Problem(Place(f"--{key}", 0), "", f'"{given}" {error}'))
        answers[key] = plain(given)
    given_beds = args.bed or (_ask_beds(today.year) if sys.stdin.isatty() and not problems else [])
    beds = [_bed(text, today.year, problems) for text in given_beds] or \
        [BED.format(name="First bed", size="1.2 x 6 m", crop="leek", year=today.year - 1)]
    if problems:
        raise InputError(problems)
    starts = args.starts or f"{today:%B %Y}"
    return {**answers, "soil": args.soil, "units": args.units, "starts": starts, "beds": "".join(beds).rstrip("\n"),
            "winter_low": f"winter-low: {args.winter_low}" if args.winter_low else
            "# winter-low: -8           # °C, coldest night of an ordinary winter; tells what winter kills",
            "warmest_month": f"warmest-month: {args.warmest_month}" if args.warmest_month else
            "# warmest-month: 16.8      # °C, mean of the warmest month; makes all about warmth surer"}


def _bed(text: str, year: int, problems: list[Problem]) -> str:
    from calgen.command.plain import plain
    from calgen.problems import Place, Problem

    parts = [part.strip() for part in text.split("=")]
    if len(parts) != 3 or not all(parts):
        problems.append(Problem(Place("--bed", 0), "", f'"{text}" is no bed; write \'Long bed = 1.2 x 6 m = leek\''))
        return ""
    return BED.format(name=plain(parts[0]), size=plain(parts[1]), crop=plain(parts[2]), year=year - 1)


def _ask_beds(year: int) -> list[str]:
    found: list[str] = []
    while text := _input("Bed = size = what stands there (Long bed = 1.2 x 6 m = leek; Enter ends)?").strip():
        problems: list[Problem] = []
        _bed(text, year, problems)
        for problem in problems:
            print(problem.what)
        if not problems:
            found.append(text)
    return found


def _input(question: str) -> str:
    from calgen.problems import InputError, Place, Problem

    try:
        return input(f"{question} ")
    except EOFError:
        raise InputError([Problem(Place("calgen new", 0), "", "the questions were not answered")]) from None


def _ask(question: str, convert_text: Callable[[str], object]) -> str:
    while True:
        text = _input(question)
        try:
            convert_text(text)
        except ValueError as error:
            print(f'"{text}" {error}')
        else:
            return text

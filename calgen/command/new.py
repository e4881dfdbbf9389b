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
    parser.add_argument("site", type=Path, metavar="SITE.yaml", help="the file to write; it must not exist yet")
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
    from calgen.command.load import desk_of, show_problems, template_bytes
    from calgen.command.rewrite import replace_file
    from calgen.problems import InputError, Place, Problem

    try:
        if args.site.exists():
            raise InputError([Problem(Place(str(args.site)), "", "is there already; choose another name")])
        answers = _answers(args)
        data, _ = template_bytes("starter-site.yaml", None)
        text = data.decode("utf-8").format_map(answers)
        desk_of(text.encode("utf-8"), args.site)
        args.site.parent.mkdir(parents=True, exist_ok=True)
        replace_file(args.site, text.encode("utf-8"))
    except InputError as error:
        return show_problems(error)
    except OSError as error:
        print(f"{args.site}: cannot be written ({error})", file=sys.stderr)
        return 1
    print(f"{args.site} is written; open it, put in what follows in each bed, then: calgen build {args.site}")
    return 0


def _answers(args: argparse.Namespace) -> dict[str, str]:
    """The facts of the starter file: from flags, else asked for on a terminal."""
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
            problems.append(Problem(Place(str(args.site)), "", f"--{key} is missing; add it"))
            continue
        try:
            convert_text(given)
        except ValueError as error:
            problems.append(Problem(Place(f"--{key}"), "", f'"{given}" {error}'))
        answers[key] = _plain(given)
    beds = [_bed(text, today.year, problems) for text in args.bed] or \
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
    from calgen.problems import Place, Problem

    parts = [part.strip() for part in text.split("=")]
    if len(parts) != 3 or not all(parts):
        problems.append(Problem(Place("--bed"), "", f'"{text}" is no bed; write \'Long bed = 1.2 x 6 m = leek\''))
        return ""
    return BED.format(name=_plain(parts[0]), size=parts[1], crop=parts[2], year=year - 1)


def _ask(question: str, convert_text: Callable[[str], object]) -> str:
    while True:
        text = input(f"{question} ")
        try:
            convert_text(text)
        except ValueError as error:
            print(f'"{text}" {error}')
        else:
            return text


def _plain(text: str) -> str:
    """The text as YAML takes it: quoted where a sign in it means something there."""
    tidy = " ".join(text.split())
    number = tidy.lstrip("-").replace(".", "", 1).isdigit()
    if number or (all(sign.isalnum() or sign in " -.'" for sign in tidy) and tidy[:1] not in "-'."):
        return tidy
    return "'" + tidy.replace("'", "''") + "'"

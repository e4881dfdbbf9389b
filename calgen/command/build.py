"""``calgen build``: wall chart, sheets, feeds, page and plan.json; everything is made before anything is written."""

from __future__ import annotations

import sys
from contextlib import suppress
from datetime import UTC, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable
    from datetime import date

    from calgen.command.load import Desk
    from calgen.schedule.memory import Previous
    from calgen.schedule.model import Schedule

HELP = "make the wall chart, sheets, calendar feeds and page of a site"
EXAMPLE = "calgen build sites/my-plot.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    from calgen.command.option import count, day

    parser.add_argument("sites", nargs="+", type=Path, metavar="SITE.yaml")
    parser.add_argument("--out", type=Path, default=Path("output"), metavar="DIR", help="where to write (output)")
    parser.add_argument("--today", type=day, metavar="DATE", help="the day of making (default: today)")
    parser.add_argument("--templates", type=Path, metavar="DIR", help="folder with your own wording or chart style")
    parser.add_argument("--style", default="chart-a3", metavar="NAME",
                        help="chart style: NAME.yaml among the templates (chart-a3)")
    parser.add_argument("--tile", choices=("A4", "Letter"), metavar="A4|Letter",
                        help="also make the chart in pieces for this paper, to glue together: wall-chart-tiles.pdf")
    parser.add_argument("--workers", type=count, default=1, metavar="N",
                        help="build up to so many sites at a time, each in a process of its own (1)")
    parser.add_argument("--cluster", metavar="ADDRESS",
                        help="build on the workers of a Dask scheduler that share your folders, such as tcp://host:8786")
    parser.add_argument("--all", action="store_true", help="with several sites: build unchanged ones too")
    parser.add_argument("--json", action="store_true", help="print JSON only")


def run(args: argparse.Namespace) -> int:
    """Build one site, or many; exit status 1 when one has problems."""
    made = args.today or datetime.now(UTC).astimezone().date()
    if len(args.sites) > 1 or args.cluster or args.workers > 1:
        from calgen.command.many_told import build_many

        return build_many(args, made)
    return _one(args, args.sites[0], made)


def _one(args: argparse.Namespace, path: Path, made: date) -> int:
    from calgen.command.load import desk, show_problems
    from calgen.output import OutputError
    from calgen.problems import InputError, printable

    lines: list[str] = []
    written: tuple[str, ...] = ()
    status = 0
    try:
        tell = lines.append if args.json else print
        written = not_overtaken(
            lambda: build(desk(path, args.templates), args.out, made, args.style, args.tile, tell)).written
    except InputError as error:
        lines = [str(problem) for problem in error.problems]
        status = show_problems(error)
    except OutputError as error:
        lines = [str(error)]
        print(printable(f"{path}: {error}"), file=sys.stderr)
        status = 1
    if args.json:
        show_json([{"file": str(path), "written": written, "told": lines, "done": not status}])
    return status


def not_overtaken(make: Callable[[], Made]) -> Made:
    """What ``make`` makes; when another build comes between, from the files as they are then, up to three times.

    Raises:
        OutputError: as ``make`` does.
    """
    from calgen.output import OvertakenError

    for _ in range(2):
        with suppress(OvertakenError):
            return make()
    return make()


def show_json(sites: list[dict[str, object]]) -> None:
    """Print what came of the sites."""
    import json

    print(json.dumps({"format": 1, "sites": sites}, ensure_ascii=False, indent=1))


class Made(Struct, frozen=True):
    """Names of a site's files: all of them, and those whose bytes were different."""

    files: tuple[str, ...]
    written: tuple[str, ...]


def build(found: Desk, out: Path, made: date, style: str, tile: str | None = None,
          tell: Callable[[str], object] = print) -> Made:
    """Make everything for a site, then write it, then tell what changed.

    Args:
        style: name of a chart style among the templates.
        tile: paper of the chart's pieces, when it is wanted in pieces as well.
        tell: takes each line that tells the grower something.

    Raises:
        InputError: the site, a template or the last plan.json has problems.
        OutputError: the folder cannot be written; what was there is whole.
    """
    from calgen.command.changes import LOG, TOLD, change_lines, with_entry
    from calgen.output import held, settle, write_all
    from calgen.problems import printable
    from calgen.render.feed_words import fingerprint
    from calgen.render.plan_json import read_plan_json
    from calgen.schedule.change import Changes
    from calgen.schedule.memory import remembered

    folder = out / found.path.stem
    before = folder / "plan.json"
    settle(folder)
    memory = held(before)
    previous = read_plan_json(memory, str(before)) if memory is not None else _from_feeds(folder, found, made)
    schedule, changes = remembered(found.schedule(made), previous, datetime.combine(made, time(), UTC),
                                   fingerprint(found.wording.fixed["feed"]))
    if memory is None:
        changes = Changes(first_build=True)
    files = rendered(schedule, found, style, tile)
    log = held(folder / LOG)
    if told := with_entry(log or b"", made, change_lines(changes, found)):
        files[LOG] = told
    written = write_all(folder, files, {"plan.json": memory, LOG: log})
    for note in found.plan.notes:
        where = f'bed "{note.bed}"' if note.bed else "wanted"
        tell(printable(f"{note.place}: note: {where}: {found.speaker.reason(note.reason)}"))
    for crowded in schedule.notes[len(found.plan.notes):]:
        tell(printable(f"{crowded.where}: note: {crowded.text}"))
    if memory is None and previous:
        tell(printable(f"{before}: note: is not there; {_left_by(previous)}"))
    for line in change_lines(changes, found, TOLD):
        tell(printable(line))
    came = f"{len(written)} of {len(files)} files written" if written else "nothing has changed"
    tell(f"{printable(str(folder))}: {came}")
    return Made(tuple(files), tuple(written))


def _from_feeds(folder: Path, found: Desk, made: date) -> Previous | None:
    """What the feeds remember where plan.json is gone, so that no revision goes backwards; None on a first build."""
    from calgen.output import FEED_NAMES, held
    from calgen.schedule.memory import Previous

    feeds = [data for name in FEED_NAMES if (data := held(folder / name)) is not None]
    if not feeds:
        return None
    from calgen.render.feed_memory import feed_memory

    return Previous(found.site.name, made, {}, (), feed_memory(feeds))


def _left_by(previous: Previous) -> str:
    if previous.memory.stamps:
        return "reminders go on from those in feeds/, what has changed since the last build is not known"
    return "nor can a reminder in feeds/ be read: they begin anew, and phones may keep old ones beside the new"


def rendered(schedule: Schedule, found: Desk, style: str, tile: str | None = None) -> dict[str, bytes]:
    """Every file of a site's output folder by its name; with ``tile`` the chart is there whole and in pieces."""
    from msgspec.structs import replace

    from calgen.command.load import template_bytes
    from calgen.output import TILES
    from calgen.render.chart import chart_pdf
    from calgen.render.chart.style import read_style
    from calgen.render.feed import feeds
    from calgen.render.page import page_html
    from calgen.render.plan_json import plan_json
    from calgen.render.sheets import sheets_pdf

    chart_style = read_style(*template_bytes(f"{style}.yaml", found.templates))
    words = found.wording.fixed
    calendars = feeds(schedule, words["feed"])
    whole = replace(chart_style, tile=None) if tile else chart_style
    pieces = {TILES: chart_pdf(schedule, replace(chart_style, tile=tile), words["chart"])} if tile else {}
    return {
        "wall-chart.pdf": chart_pdf(schedule, whole, words["chart"]),
        **pieces,
        "sheets.pdf": sheets_pdf(schedule, chart_style, words["sheets"]),
        **{f"feeds/{name}": data for name, data in calendars.items()},
        "index.html": page_html(schedule, tuple(calendars), words["page"]),
        "plan.json": plan_json(schedule),
    }

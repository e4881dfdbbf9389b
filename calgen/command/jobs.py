"""``calgen jobs``: what is to be done, week by week, as text."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

HELP = "list the jobs of the coming weeks"
EXAMPLE = "calgen jobs sites/my-plot.yaml --from 2026-09-01 --to 2026-09-30"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    from calgen.command.option import day

    parser.add_argument("site", type=Path, metavar="SITE.yaml")
    parser.add_argument("--from", dest="first", type=day, metavar="DATE", help="first day (default: today)")
    parser.add_argument("--to", dest="last", type=day, metavar="DATE", help="last day (default: four weeks on)")
    parser.add_argument("--week", type=day, metavar="DATE", help="the week that holds this day")
    parser.add_argument("--json", action="store_true", help="print JSON only")
    parser.add_argument("--templates", type=Path, metavar="DIR", help="folder with your own wording")


def run(args: argparse.Namespace) -> int:
    """Print the jobs."""
    import json
    from shutil import get_terminal_size

    from calgen.command.load import desk, show_problems
    from calgen.problems import InputError
    from calgen.render.job_list import job_data, job_list

    first, last = _range(args)
    try:
        found = desk(args.site, args.templates)
        schedule = found.schedule(first)
    except InputError as error:
        return show_problems(error)
    if args.json:
        print(json.dumps(job_data(schedule, first, last), ensure_ascii=False, indent=1))
    else:
        print(job_list(schedule, first, last, width=min(get_terminal_size((88, 24)).columns, 100),
                       words=found.wording.fixed["job-list"]))
    return 0


def _range(args: argparse.Namespace) -> tuple[date, date]:
    if args.week:
        monday = args.week - timedelta(args.week.weekday())
        return monday, monday + timedelta(6)
    first = args.first or datetime.now(UTC).astimezone().date()
    return first, args.last or first + timedelta(27)

"""``calgen climate``: frost dates, warmth and winter low from a daily record, ready to paste into a site file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

HELP = "read frost dates and warmth from a record of daily temperatures"
EXAMPLE = "calgen climate nights.csv --latitude 52.4"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("record", type=Path, metavar="RECORD.csv",
                        help="columns date,tmin,tmax in °C, or NOAA GHCN-Daily by-station CSV")
    parser.add_argument("--latitude", type=float, metavar="N", help="degrees, south negative (default: from the file, "
                        "else north)")
    parser.add_argument("--json", action="store_true", help="print JSON only")


def run(args: argparse.Namespace) -> int:
    """Print the table."""
    import json

    from calgen.climate.read import read_record
    from calgen.climate.report import report_data, report_text
    from calgen.command.load import show_problems
    from calgen.problems import InputError

    try:
        record = read_record(args.record)
        print(json.dumps(report_data(record, args.latitude), ensure_ascii=False, indent=1) if args.json
              else report_text(record, args.latitude))
    except InputError as error:
        return show_problems(error)
    return 0

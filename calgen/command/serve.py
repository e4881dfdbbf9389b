"""``calgen serve``: hands out what was built, for phones and programs in the grower's own network."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

HELP = "hand out the page and feeds to devices in your own network"
EXAMPLE = "calgen serve withy-row --lan"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("sites", nargs="*", metavar="SITE", help="names of site files or built sites (default: all)")
    parser.add_argument("--out", type=Path, default=Path("output"), metavar="DIR", help="what to hand out (output)")
    parser.add_argument("--port", type=int, default=None, metavar="N")
    parser.add_argument("--lan", action="store_true", help="let other devices of your network in, not only this one")
    parser.add_argument("--renew", action="store_true", help="make new secret addresses; the old ones end")


def run(args: argparse.Namespace) -> int:
    """Serve until stopped with Ctrl+C."""
    import sys

    try:
        from calgen.serve.secret import ServeError
        from calgen.serve.server import PORT, serve
        serve(args.out, [Path(name).name.removesuffix(".yaml") for name in args.sites],
              port=PORT if args.port is None else args.port, lan=args.lan, renew=args.renew, tell=print)
    except ModuleNotFoundError as error:
        if error.name not in ("waitress", "werkzeug"):
            raise
        print("calgen serve needs two more packages: pip install 'calgen[serve]'", file=sys.stderr)
        return 2
    except ServeError as error:
        print(error, file=sys.stderr)
        return 1
    return 0

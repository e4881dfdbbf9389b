"""The command line: finds the command, runs it, and never shows a traceback for what a user can mend.

Exit status: 0 done (notes allowed), 1 the input has problems, 2 wrong use.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from codecs import register_error
from contextlib import suppress
from importlib import import_module
from io import TextIOWrapper

from calgen import __version__

COMMANDS = ("new", "check", "build", "when", "why", "climate", "frost", "done", "jobs", "plants", "serve")


NEAREST = {"−": "-", "–": "-", "—": "-", "·": "-", "×": "x", "°": "", "’": "'", "“": '"', "”": '"', "≤": "<=",
           "≥": ">=", "→": "->"}


def nearest_sign(error: UnicodeError) -> tuple[str, int]:
    """For a terminal that lacks a sign: another that says the same, or the letter without its marks, or ?."""
    assert isinstance(error, UnicodeEncodeError)
    from unicodedata import normalize  # noqa: PLC0415  seldom needed

    sign = error.object[error.start]
    apart = normalize("NFKD", sign).replace("\N{FRACTION SLASH}", "/")
    return NEAREST.get(sign, apart.encode("ascii", "ignore").decode() or "?"), error.start + 1


register_error("nearest-sign", nearest_sign)


def main(arguments: list[str] | None = None) -> int:
    """Run calgen.

    Args:
        arguments: the words of the command line, without the program's name; those of the process when None.

    Returns:
        The exit status.
    """
    words = sys.argv[1:] if arguments is None else arguments
    gc.set_threshold(1_000_000)  # plans hold no cycles: the collector would look often and find nothing
    parser = argparse.ArgumentParser(
        prog="calgen", description="Sowing calendars for growers who keep every bed covered.",
        epilog="calgen COMMAND --help tells more, with an example.")
    parser.add_argument("--version", action="version", version=f"calgen {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    first = words[0] if words else None
    wanted = next((word for word in words if not word.startswith("-")), None)
    for name in () if first == "--version" else (first,) if first in COMMANDS else COMMANDS:
        module = import_module(f"calgen.command.{name}")
        added = commands.add_parser(name, help=module.HELP, description=f"{module.HELP[0].upper()}{module.HELP[1:]}.",
                                    epilog=f"Example: {module.EXAMPLE}")
        if name == wanted:
            module.arguments(added)
            added.set_defaults(run=module.run)
    args = parser.parse_args(words)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="nearest-sign")
    try:
        status: int = args.run(args)
        sys.stdout.flush()
    except BrokenPipeError:
        _give_up_output()
        status = 1
    except OSError as error:
        print(f"calgen: {error.filename or 'the output'}: {error.strerror or error}; nothing half-written is left",
              file=sys.stderr)
        _give_up_output()
        status = 1
    except KeyboardInterrupt:
        print("stopped; nothing half-written is left", file=sys.stderr)
        status = 130
    if arguments is None:
        gc.freeze()  # the process ends: what is left need not be looked through once more
    return status


def _give_up_output() -> None:
    """What is still to be printed goes nowhere, or Python would complain of it at the end."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)

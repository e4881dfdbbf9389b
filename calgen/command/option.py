"""Converters of command-line options."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from calgen.site import convert

if TYPE_CHECKING:
    from datetime import date


def day(text: str) -> date:
    """A date with its year, as in a site file."""
    try:
        return convert.full_date(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f'"{text}" {error}') from None


def count(text: str) -> int:
    """A whole number from 1 on."""
    if not (text.isascii() and text.isdigit() and 0 < len(text) < 5 and int(text)):
        raise argparse.ArgumentTypeError(f'"{text}" is no number from 1 to 9999')
    return int(text)

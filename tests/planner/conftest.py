"""Plans of invented gardens, written as a grower would write them."""

from __future__ import annotations

from pathlib import Path
from textwrap import dedent, indent
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.command.load import Desk

PLACES = {
    "mild": "latitude: 52.4\nfrost: {last: 28 April, first: 19 October}\nwinter-low: -8\nwarmest-month: 16.8\n"
            "chart-starts: September 2026\n",
    "cold": "latitude: 44.1\nfrost: {last: 12 May, first: 28 September}\nwinter-low: -27\nwarmest-month: 21.4\n"
            "chart-starts: August 2026\n",
    "south": "latitude: -41.4\nfrost: {last: 8 October, first: 6 May}\nwinter-low: -4\nwarmest-month: 17.6\n"
             "chart-starts: March 2027\n",
    "south from January": "latitude: -36.8\nfrost: {last: 1 August, first: 15 June}\nwinter-low: 0\n"
                          "warmest-month: 20\nchart-starts: January 2027\n",
    "frost-free": "latitude: -33.9\nfrost: none\nwinter-low: 3\nwarmest-month: 23\nchart-starts: April 2027\n",
    "short summer": "latitude: 64\nfrost: {last: 20 May, first: 3 September}\nwinter-low: -30\nwarmest-month: 16\n"
                    "chart-starts: June 2026\n",
}


def laid_out(order: str, place: str = "mild", beds: str = "", more: str = "") -> Desk:
    """A garden of one bed with an order, at a place; ``beds`` in its stead, ``more`` keys of the site."""
    orders = beds or "  Long bed:\n    size: 1.2 x 6 m\n    order:\n" + indent(dedent(order).strip("\n"), "      ")
    return desk_of(f"site: Test\n{PLACES[place]}{more}beds:\n{orders}\n".encode(), Path("plot.yaml"))


@pytest.fixture(scope="session")
def garden() -> Callable[..., Desk]:
    return laid_out


@pytest.fixture(scope="session")
def places() -> tuple[str, ...]:
    return tuple(PLACES)

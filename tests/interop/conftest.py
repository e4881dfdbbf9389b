"""Programs from outside that read the feeds, and what each of them must find there.

A program that is not installed skips its test with the reason; where ``CI`` is set that is a failure, because there all
of ``.ci/interop-packages`` is installed.
"""

from __future__ import annotations

import importlib.util
import os
import shutil
import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import pytest
from calgen.render.feed import feeds

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.schedule.model import Schedule

HERE = Path(__file__).parent
LAST_CALL = "Last call: Sow rye and vetch – Long bed, by 17 October"

# Counted by hand from the jobs in tests/conftest.py: first and last day (inclusive) on which each entry stands.
DAYS = {
    "Order seed – all beds": (date(2026, 9, 5), date(2026, 9, 5)),
    "Undersow white clover – Under the apple; north, wet": (date(2026, 9, 5), date(2026, 9, 5)),
    "Drill field beans between leek rows – Bed 3": (date(2026, 9, 19), date(2026, 9, 19)),
    "Sow rye and vetch – Long bed": (date(2026, 9, 26), date(2026, 9, 26)),
    "Look over rye and vetch – Long bed": (date(2026, 10, 10), date(2026, 10, 16)),
    "Top up bare patches – Long bed": (date(2026, 10, 10), date(2026, 10, 10)),
    LAST_CALL: (date(2026, 10, 17), date(2026, 10, 17)),
    "Mulch – Long bed": (date(2026, 10, 18), date(2026, 10, 18)),
    "Sow tomato indoors – Long bed": (date(2027, 3, 20), date(2027, 3, 20)),
    "Cut down rye and vetch – Long bed": (date(2027, 4, 17), date(2027, 4, 17)),
    "Harden off tomato – Long bed": (date(2027, 5, 8), date(2027, 5, 14)),
    "Plant tomato – Long bed": (date(2027, 5, 15), date(2027, 5, 15)),
    "Gather phacelia seed – Long bed": (date(2027, 7, 24), date(2027, 7, 24)),
    "Clear tomato – Long bed": (date(2027, 8, 28), date(2027, 8, 28)),
}


def absent(what: str) -> NoReturn:
    """Skip for a missing program; fail where everything should be there."""
    message = f"{what} is not installed (see .ci/interop-packages)"
    if os.environ.get("CI"):
        pytest.fail(message)
    pytest.skip(message)


@pytest.fixture
def missing() -> Callable[[str], NoReturn]:
    """What a test calls that finds something missing by itself."""
    return absent


@pytest.fixture
def days() -> dict[str, tuple[date, date]]:
    return dict(DAYS)


@pytest.fixture
def garden_feed(garden_year: Schedule) -> bytes:
    """``all.ics`` of the garden's year."""
    return feeds(garden_year)["all.ics"]


@pytest.fixture
def program() -> Callable[[str], str]:
    """Path of a program by name: beside the Python that runs the tests, or on the path."""
    def find(name: str) -> str:
        beside = Path(sys.executable).parent / name
        found = str(beside) if beside.is_file() else shutil.which(name)
        return found or absent(name)

    return find


@pytest.fixture
def python_module() -> Callable[[str], None]:
    def need(name: str) -> None:
        if importlib.util.find_spec(name) is None:
            absent(f"the Python package {name}")

    return need


@pytest.fixture
def node_modules() -> Callable[[str], Path]:
    """Folder of npm packages that holds the one asked for."""
    def find(package: str) -> Path:
        named = os.environ.get("CALGEN_NODE_MODULES")
        places = [*([Path(named)] if named else []), Path.cwd() / "node_modules", HERE / "node_modules"]
        for place in places:
            if (place / package / "package.json").is_file():
                return place.resolve()
        absent(f"the npm package {package}")

    return find

"""Sites and records for the tests of the climate."""

from __future__ import annotations

import csv
from datetime import date
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from calgen.climate.read import read_record
from calgen.problems import Place
from calgen.site.model import ClimateInput, Frost, MonthDay, Site

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.climate.model import DailyRecord

DATA = Path(__file__).parent / "data"
PUBLISHED = Path(__file__).parent.parent / "published"
HERE = Place("site.yaml")


def site(latitude: float, last: str | None = None, first: str | None = None, *, spread: float | None = None,
         warmest: float | None = None, winter_low: float | None = None,
         normals: tuple[tuple[float, float], ...] = (), longitude: float | None = None) -> Site:
    """A bare site; frost dates as MM-DD."""
    frost = None
    if last and first:
        days = (MonthDay(int(text[:2]), int(text[3:])) for text in (last, first))
        frost = Frost(*days, spread, HERE)
    return Site("Plot", "site.yaml", HERE, latitude, longitude, None, frost, winter_low, warmest,
                ClimateInput(normals, None, HERE), "loam", "hand", "metric", (5, 6), 0.2, date(2026, 9, 1), ())


@cache
def record(name: str) -> DailyRecord:
    """A daily record of the data folder."""
    return read_record(DATA / f"{name}.csv.gz", f"{name}.csv")


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a published table; lines with # tell its source."""
    with (PUBLISHED / name).open(encoding="utf-8") as stream:
        return list(csv.DictReader(line for line in stream if not line.startswith("#")))


@pytest.fixture
def new_site() -> Callable[..., Site]:
    return site


@pytest.fixture
def recorded() -> Callable[[str], DailyRecord]:
    return record


@pytest.fixture
def published() -> Callable[[str], list[dict[str, Any]]]:
    return rows

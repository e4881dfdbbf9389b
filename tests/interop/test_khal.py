"""A feed imported into a calendar program for the terminal: days, texts, and a second import that makes no doubles."""

from __future__ import annotations

import os
import subprocess
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from calgen.render.feed import feeds
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from calgen.schedule.model import Schedule

pytestmark = pytest.mark.interop
BETWEEN = "\x1f"


class Khal:
    def __init__(self, folder: Path, khal: str) -> None:
        self.folder, self.store = folder, folder / "garden"
        self.store.mkdir()
        (folder / "config").write_text(f"""
[calendars]
[[garden]]
path = {self.store}
[sqlite]
path = {folder / 'khal.db'}
[locale]
timeformat = %H:%M
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
local_timezone = Europe/London
default_timezone = Europe/London
[default]
default_calendar = garden
""")
        self.command = [khal, "-c", str(folder / "config")]

    def call(self, *words: str) -> str:
        done = subprocess.run(
            [*self.command, *words], capture_output=True, text=True, check=False, timeout=60, stdin=subprocess.DEVNULL,
            env={**os.environ, "HOME": str(self.folder), "COLUMNS": "500", "LC_ALL": "C.UTF-8"})
        assert done.returncode == 0, done.stderr
        return done.stdout

    def load(self, feed: bytes) -> None:
        (self.folder / "feed.ics").write_bytes(feed)
        self.call("import", "--batch", "-a", "garden", str(self.folder / "feed.ics"))

    def year(self) -> dict[str, tuple[date, date]]:
        lines = self.call("list", "--once", "--day-format", "", "--format",
                          BETWEEN.join(["{start-long}", "{end-long}", "{title}"]), "2026-09-01", "365d").splitlines()
        entries = [line.split(BETWEEN) for line in lines if BETWEEN in line]
        found = {title: (_day(start), _day(end)) for start, end, title in entries}
        assert len(found) == len(entries)
        return found


def _day(text: str) -> date:
    return datetime.strptime(text.strip(), "%Y-%m-%d").date()  # noqa: DTZ007


@pytest.fixture
def khal(tmp_path: Path, program: Callable[[str], str]) -> Khal:
    return Khal(tmp_path, program("khal"))


def test_every_entry_is_listed_on_its_days(khal: Khal, garden_feed: bytes, days: dict[str, tuple[date, date]]) -> None:
    khal.load(garden_feed)
    assert khal.year() == days


def test_an_entry_rings_and_has_its_place_and_category(khal: Khal, garden_feed: bytes) -> None:
    khal.load(garden_feed)
    shape = "{title}|{location}|{categories}|{alarm-symbol}|{all-day}"
    shown = khal.call("list", "--day-format", "", "--format", shape, "2026-09-05", "1d")
    place = "Under the apple; north, wet"
    assert f"Undersow white clover – {place}|{place}|Undersowing| ⏰|True" in shown.splitlines()


def test_a_second_import_updates_instead_of_doubling(
    khal: Khal, edited_year: Callable[..., Schedule], garden: Schedule, days: dict[str, tuple[date, date]],
) -> None:
    khal.load(feeds(edited_year())["import.ics"])
    moved = tuple(replace(job, on=job.on + timedelta(7)) if job.kind == "plant" else job for job in garden.jobs)
    khal.load(feeds(edited_year((date(2026, 9, 2), moved)))["import.ics"])
    assert khal.year() == {**days, "Plant tomato – Long bed": (date(2027, 5, 22), date(2027, 5, 22))}

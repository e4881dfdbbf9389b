"""What JavaScript's calendar libraries find: they carry web calendars, mail programs and wall displays."""

from __future__ import annotations

import json
import os
import subprocess
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from icalendar import Calendar

if TYPE_CHECKING:
    from collections.abc import Callable

pytestmark = pytest.mark.interop
HERE = Path(__file__).parent
ONE_DAY = timedelta(days=1)


@pytest.fixture
def read(
    tmp_path: Path, program: Callable[[str], str], node_modules: Callable[[str], Path],
) -> Callable[..., Any]:
    def run(script: str, package: str, feed: bytes, zone: str = "UTC") -> Any:
        (tmp_path / "feed.ics").write_bytes(feed)
        done = subprocess.run(
            [program("node"), str(HERE / script), str(node_modules(package)), str(tmp_path / "feed.ics")],
            capture_output=True, text=True, check=False, timeout=60, env={**os.environ, "TZ": zone}, encoding="utf-8")
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return run


def test_ical_js_reads_every_entry(
    read: Callable[..., Any], garden_feed: bytes, days: dict[str, tuple[date, date]],
) -> None:
    calendar = read("read_ical_js.mjs", "ical.js", garden_feed)
    assert calendar["name"] == "Tern Hill plots – All jobs"
    assert calendar["refresh"] == ["duration", "PT12H"]
    entries = {entry["title"]: entry for entry in calendar["entries"]}
    assert {title: (entry["start"], entry["end"], entry["days"]) for title, entry in entries.items()} == {
        title: (first.isoformat(), (last + ONE_DAY).isoformat(), (last - first).days + 1)
        for title, (first, last) in days.items()}
    assert all(entry["allDay"] and entry["alarms"] == ["-PT6H"] for entry in entries.values())


def test_ical_js_finds_no_broken_character_in_folded_text(read: Callable[..., Any], garden_feed: bytes) -> None:
    """It decodes line by line, so a fold inside a character shows as a replacement character."""
    calendar = read("read_ical_js.mjs", "ical.js", garden_feed)
    wanted = {str(event["UID"]): (str(event["SUMMARY"]), str(event["DESCRIPTION"]), str(event["LOCATION"]))
              for event in Calendar.from_ical(garden_feed).events}
    assert {entry["uid"]: (entry["title"], entry["description"], entry["location"])
            for entry in calendar["entries"]} == wanted
    assert "\ufffd" not in json.dumps(calendar, ensure_ascii=False)
    assert any("白クローバー" in entry["description"] for entry in calendar["entries"])


@pytest.mark.parametrize("zone", ["UTC", "America/Los_Angeles", "Pacific/Auckland"])
def test_node_ical_shows_the_same_days_in_every_zone(
    read: Callable[..., Any], garden_feed: bytes, days: dict[str, tuple[date, date]], zone: str,
) -> None:
    entries = read("read_node_ical.cjs", "node-ical", garden_feed, zone)
    assert len(entries) == len(days)
    found = {entry["title"]: (date(*entry["start"]), date(*entry["end"]) - ONE_DAY) for entry in entries}
    assert found == days
    assert all(entry["datetype"] == "date" and all(entry["dateOnly"]) for entry in entries)
    assert all(entry["alarms"] == 1 for entry in entries), "a UID in an alarm would lose it"

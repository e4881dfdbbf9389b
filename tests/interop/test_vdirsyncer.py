"""A year of builds through a synchroniser: what a subscriber's store sees of an edit.

vdirsyncer fetches the feed over HTTP and tells entries apart by their content without DTSTAMP, LAST-MODIFIED, CREATED
and UID, so a changed entry is one delete and one create, and an unchanged feed is nothing at all.
"""

from __future__ import annotations

import functools
import http.server
import subprocess
import threading
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from calgen.render.feed import feeds
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from calgen.schedule.model import Schedule

pytestmark = pytest.mark.interop


class Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        return


class Subscriber:
    """A store of single entries, synchronised with ``feed.ics`` of a folder on loopback."""

    def __init__(self, tmp_path: Path, vdirsyncer: str, port: int) -> None:
        self.source, self.store, self.run_in = tmp_path / "www" / "feed.ics", tmp_path / "store", tmp_path
        self.store.mkdir()
        self.command = [vdirsyncer, "-c", str(tmp_path / "config")]
        (tmp_path / "config").write_text(f"""
[general]
status_path = "{tmp_path / 'status'}"
[pair garden]
a = "feed"
b = "store"
collections = null
[storage feed]
type = "http"
url = "http://127.0.0.1:{port}/feed.ics"
[storage store]
type = "filesystem"
path = "{self.store}"
fileext = ".ics"
""")
        self.call("discover", "garden")

    def call(self, *words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run([*self.command, *words], capture_output=True, text=True, cwd=self.run_in,
                              stdin=subprocess.DEVNULL, timeout=60, check=False)

    def entries(self) -> dict[str, str]:
        return {path.name: path.read_text() for path in self.store.glob("*.ics")}

    def sync(self, feed: bytes) -> tuple[list[str], list[str]]:
        """Publish a feed and synchronise: headlines of entries that were deleted and created."""
        before = self.entries()
        self.source.write_bytes(feed)
        done = self.call("sync")
        assert done.returncode == 0, done.stderr
        after = self.entries()
        assert all(after[name] == text for name, text in before.items() if name in after)
        return (sorted(headline(text) for name, text in before.items() if name not in after),
                sorted(headline(text) for name, text in after.items() if name not in before))


def headline(entry: str) -> str:
    return next(line for line in entry.splitlines() if line.startswith("SUMMARY:")).removeprefix("SUMMARY:")


@pytest.fixture
def subscriber(tmp_path: Path, program: Callable[[str], str]) -> Iterator[Subscriber]:
    vdirsyncer = program("vdirsyncer")
    (tmp_path / "www").mkdir()
    handler = functools.partial(Quiet, directory=str(tmp_path / "www"))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield Subscriber(tmp_path, vdirsyncer, server.server_address[1])
        server.shutdown()


def test_a_year_of_builds(
    subscriber: Subscriber, garden: Schedule, edited_year: Callable[..., Schedule], days: dict[str, tuple[date, date]],
) -> None:
    day = date(2026, 9, 2)
    deleted, created = subscriber.sync(feeds(edited_year())["all.ics"])
    assert deleted == []
    assert [title.replace("\\", "") for title in created] == sorted(days)

    assert subscriber.sync(feeds(edited_year((day, garden.jobs)))["all.ics"]) == ([], [])

    moved = tuple(replace(job, on=job.on + timedelta(7)) if job.kind == "plant" else job for job in garden.jobs)
    assert subscriber.sync(feeds(edited_year((day, moved)))["all.ics"]) == (
        ["Plant tomato – Long bed"], ["Plant tomato – Long bed"])

    dropped = tuple(job for job in moved if job.kind != "mulch")
    assert subscriber.sync(feeds(edited_year((day, moved), (day, dropped)))["all.ics"]) == (["Mulch – Long bed"], [])


def test_a_new_stamp_alone_is_no_change(subscriber: Subscriber, garden_feed: bytes) -> None:
    subscriber.sync(garden_feed)
    touched = garden_feed.replace(b"DTSTAMP:20260901T000000Z", b"DTSTAMP:20260902T000000Z")
    assert touched != garden_feed
    assert subscriber.sync(touched) == ([], [])


def test_a_whole_plan_dropped_reaches_the_store(subscriber: Subscriber, edited_year: Callable[..., Schedule]) -> None:
    """A synchroniser refuses a feed with nothing in it; the entry that says so lets the old ones go."""
    subscriber.sync(feeds(edited_year())["all.ics"])
    deleted, created = subscriber.sync(feeds(edited_year((date(2026, 9, 2), ())))["all.ics"])
    assert (len(deleted), created) == (14, ["No jobs left: All jobs"])


def test_an_empty_calendar_would_be_refused(subscriber: Subscriber, garden_feed: bytes) -> None:
    """Why no empty feed is ever published: the store keeps all entries and the subscriber an error."""
    subscriber.sync(garden_feed)
    before = subscriber.entries()
    head = garden_feed[:garden_feed.index(b"BEGIN:VEVENT")]
    subscriber.source.write_bytes(head + b"END:VCALENDAR\r\n")
    done = subscriber.call("sync")
    assert done.returncode != 0
    assert "emptied" in done.stderr
    assert subscriber.entries() == before

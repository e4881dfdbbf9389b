"""A feed put whole into a calendar server, and asked for again over CalDAV (RFC 4791) by a client library."""

from __future__ import annotations

import http.client
import socket
import subprocess
import sys
import time
import warnings
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

pytestmark = pytest.mark.interop
ONE_DAY = timedelta(days=1)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@pytest.fixture
def server(tmp_path: Path, python_module: Callable[[str], None]) -> Iterator[int]:
    """Port of a calendar server of our own on loopback; it ends with the test."""
    python_module("radicale")
    port = free_port()
    log = tmp_path / "log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "radicale", "--config", "", "--server-hosts", f"127.0.0.1:{port}",
             "--auth-type", "none", "--rights-type", "authenticated",
             "--storage-filesystem-folder", str(tmp_path / "db")],
            stdin=subprocess.DEVNULL, stdout=out, stderr=out)
    try:
        until = time.monotonic() + 30
        while True:
            try:
                socket.create_connection(("127.0.0.1", port), timeout=1).close()
                break
            except OSError:
                assert process.poll() is None, log.read_text()
                assert time.monotonic() < until, log.read_text()
                time.sleep(0.1)
        yield port
    finally:
        process.terminate()
        process.wait(20)


def put(port: int, data: bytes) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    basic = {"Authorization": "Basic Z3Jvd2VyOng=", "Content-Type": "text/calendar; charset=utf-8"}
    connection.request("PUT", "/grower/garden/", body=data, headers=basic)
    status = connection.getresponse().status
    connection.close()
    return status


def test_the_server_takes_the_feed_and_finds_each_entry_on_its_days(
    server: int, garden_feed: bytes, days: dict[str, tuple[date, date]], python_module: Callable[[str], None],
) -> None:
    python_module("caldav")
    assert put(server, garden_feed) == 201
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import caldav

        with caldav.DAVClient(f"http://127.0.0.1:{server}/", username="grower", password="x") as client:
            garden = client.calendar(url=f"http://127.0.0.1:{server}/grower/garden/")
            assert len(garden.events()) == len(days)

            def on(day: date) -> set[str]:
                start = datetime.combine(day, datetime.min.time())
                found: Any = garden.search(event=True, start=start, end=start + ONE_DAY)
                return {str(entry.icalendar_component["SUMMARY"]) for entry in found}

            look = "Look over rye and vetch – Long bed"
            assert look not in on(date(2026, 10, 9))
            assert on(date(2026, 10, 10)) == {look, "Top up bare patches – Long bed"}
            assert on(date(2026, 10, 16)) == {look}
            assert look not in on(date(2026, 10, 17))
            assert on(date(2026, 10, 18)) == {"Mulch – Long bed"}


def test_the_server_keeps_alarms_stamps_and_texts(server: int, garden_feed: bytes) -> None:
    from icalendar import Calendar

    assert put(server, garden_feed) == 201
    connection = http.client.HTTPConnection("127.0.0.1", server, timeout=30)
    connection.request("GET", "/grower/garden/", headers={"Authorization": "Basic Z3Jvd2VyOng="})
    stored = connection.getresponse().read()
    connection.close()

    def told(feed: bytes) -> dict[str, bytes]:
        return {str(event["UID"]): event.to_ical(sorted=True) for event in Calendar.from_ical(feed).events}

    assert told(stored) == told(garden_feed)


def test_the_server_refuses_what_the_feed_check_refuses(server: int, garden_feed: bytes) -> None:
    """A feed with one UID twice, which some readers take without a word."""
    event = garden_feed[garden_feed.index(b"BEGIN:VEVENT"):garden_feed.index(b"END:VEVENT\r\n") + 12]
    assert put(server, garden_feed.replace(event, event + event)) == 400

"""What the C library under many desktop calendars finds, with its own table of what RFC 5545 and 5546 allow."""

from __future__ import annotations

import subprocess
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen.render.feed import feeds

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.schedule.model import Schedule

pytestmark = pytest.mark.interop
SOURCE = Path(__file__).parent / "check_feed.c"


@pytest.fixture
def read(tmp_path: Path, program: Callable[[str], str], missing: Callable[[str], None]) -> Callable[[bytes], list[str]]:
    flags = subprocess.run([program("pkg-config"), "--cflags", "--libs", "libical"], capture_output=True, text=True,
                           check=False)
    if flags.returncode:
        missing("libical-dev")
    checker = tmp_path / "check_feed"
    subprocess.run([program("gcc"), "-Wall", "-Werror", "-o", str(checker), str(SOURCE), *flags.stdout.split()],
                   check=True, timeout=120)

    def run(feed: bytes) -> list[str]:
        (tmp_path / "feed.ics").write_bytes(feed)
        done = subprocess.run([str(checker), str(tmp_path / "feed.ics")], capture_output=True, check=True, timeout=60)
        return done.stdout.decode().splitlines()

    return run


def test_libical_finds_no_error_and_every_entry(
    read: Callable[[bytes], list[str]], garden_feed: bytes, days: dict[str, tuple[date, date]],
) -> None:
    errors, *entries = read(garden_feed)
    assert errors == "errors 0"
    assert sorted(entries) == sorted(
        f"1 1 {first} {last + timedelta(1)} 1 {-6 * 3600} {title}" for title, (first, last) in days.items())


def test_libical_finds_no_error_in_any_feed(read: Callable[[bytes], list[str]], garden_year: Schedule) -> None:
    for name, feed in feeds(garden_year).items():
        errors, *entries = read(feed)
        assert errors == "errors 0", name
        assert entries


def test_libical_would_object_to_a_method(read: Callable[[bytes], list[str]], garden_feed: bytes) -> None:
    """RFC 5546 section 3.2.1 wants an organiser then; the check is known to see something."""
    errors, *_ = read(garden_feed.replace(b"CALSCALE", b"METHOD:PUBLISH\r\nCALSCALE"))
    assert errors != "errors 0"

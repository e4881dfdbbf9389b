"""Each rule of the last look refuses a feed that breaks it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from calgen.render.feed import feeds
from calgen.render.feed_check import faults

if TYPE_CHECKING:
    from calgen.schedule.model import Schedule

EVENT_UID = b"UID:13f323e1"


def test_a_good_feed_has_no_fault(garden_year: Schedule) -> None:
    assert all(faults(feed) == [] for feed in feeds(garden_year).values())


@pytest.mark.parametrize(("old", "new", "phrase"), [
    (b"CALSCALE", b"METHOD:PUBLISH\r\nCALSCALE", "has METHOD on the calendar"),
    (b"CALSCALE", b"UID:x\r\nCALSCALE", "has UID on the calendar"),
    (b"DTEND;VALUE=DATE:20261019", b"DTEND;VALUE=DATE:20261018", "has an event that ends before it starts"),
    (b"DTEND;VALUE=DATE:20261019\r\n", b"", "has an event with 0 DTEND"),
    (b"DTSTART;VALUE=DATE:20261018", b"DTSTART:20261018T070000Z", "has an event that is not all-day"),
    (b"SUMMARY:Mulch", b"SUMMARY:\x07Mulch", "has a control character"),
    (b"SUMMARY:Mulch", b"SUMMARY:\nMulch", "has a control character"),
    (b"SUMMARY:Mulch", b"SUMMARY:\xc3", "has a line that is not UTF-8 by itself"),
    (b"SUMMARY:Mulch", b"SUMMARY:" + b"x" * 70, "has a line of 91 octets"),
    (b"SUMMARY:Mulch", b"END:VEVENT\r\nSUMMARY:Mulch", "has an event that is not closed"),
    (b"TRIGGER:-PT6H\r\n", b"TRIGGER:-PT6H\r\nUID:x\r\n", "has an alarm that readers would drop"),
    (b"ACTION:DISPLAY\r\n", b"", "has an alarm that readers would drop"),
    (b"END:VCALENDAR\r\n", b"", "is not one whole calendar"),
    (b"BEGIN:VCALENDAR\r\n", b"BEGIN:VCALENDAR\n", "is not one whole calendar"),
])
def test_a_broken_rule_is_named(garden_year: Schedule, old: bytes, new: bytes, phrase: str) -> None:
    feed = feeds(garden_year)["mulch.ics"]
    assert old in feed
    assert phrase in faults(feed.replace(old, new, 1))


def test_two_events_with_one_uid_are_refused(garden_year: Schedule) -> None:
    feed = feeds(garden_year)["mulch.ics"]
    event = feed[feed.index(b"BEGIN:VEVENT"):feed.index(b"END:VCALENDAR")]
    assert faults(feed.replace(event, event + event)) == ["has two events with one UID"]
    assert faults(feed.replace(event, b"")) == ["has no event"]

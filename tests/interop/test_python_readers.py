"""What Python's calendar libraries find in a feed: they carry home automation, servers and scripts."""

from __future__ import annotations

import warnings
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from icalendar import Calendar

if TYPE_CHECKING:
    from collections.abc import Callable

pytestmark = pytest.mark.interop
ONE_DAY = timedelta(days=1)


def test_icalendar_reads_back_every_entry(garden_feed: bytes, days: dict[str, tuple[date, date]]) -> None:
    calendar = Calendar.from_ical(garden_feed)
    assert [str(name) for name in calendar if calendar.errors] == []
    found = {str(event["SUMMARY"]): (event.start, event.end - ONE_DAY) for event in calendar.events}
    assert found == days
    assert all(event.errors == [] for event in calendar.events)
    assert calendar.to_ical(sorted=False) == garden_feed


def test_icalendar_rings_at_six_the_evening_before_in_the_readers_zone(garden_feed: bytes) -> None:
    """RFC 5545 section 3.8.6.3: an alarm of an all-day entry counts from midnight where the reader is."""
    for event in Calendar.from_ical(garden_feed).events:
        alarms = event.alarms
        alarms.set_local_timezone("Europe/London")
        (alarm,) = alarms.times
        evening = datetime.combine(event.start - ONE_DAY, time(18))
        assert alarm.trigger.replace(tzinfo=None) == evening
        assert str(alarm.trigger.tzinfo) == "Europe/London"


def test_vobject_finds_the_whole_feed_valid(
    garden_feed: bytes, days: dict[str, tuple[date, date]], python_module: Callable[[str], None],
) -> None:
    python_module("vobject")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import vobject
    calendar = vobject.readOne(garden_feed.decode())
    assert calendar.validate(raiseException=True)
    found = {event.summary.value: (event.dtstart.value, event.dtend.value - ONE_DAY) for event in calendar.vevent_list}
    assert found == days
    apple = next(event for event in calendar.vevent_list if event.location.value.startswith("Under"))
    assert apple.location.value == "Under the apple; north, wet"
    assert "Es grünt so grün — «früh genug» vor dem Frost, \\n sagt Öykü 🌱" in apple.description.value
    assert all(event.valarm.trigger.value == timedelta(hours=-6) for event in calendar.vevent_list)


def test_recurring_ical_events_shows_each_entry_on_its_days_alone(
    garden_feed: bytes, days: dict[str, tuple[date, date]], python_module: Callable[[str], None],
) -> None:
    python_module("recurring_ical_events")
    import recurring_ical_events

    year = recurring_ical_events.of(Calendar.from_ical(garden_feed))

    def on(day: date) -> set[str]:
        return {str(event["SUMMARY"]) for event in year.at(day)}

    for title, (first, last) in days.items():
        assert title in on(first)
        assert title in on(last)
        assert title not in on(first - ONE_DAY)
        assert title not in on(last + ONE_DAY)
    assert len(list(year.between(date(2026, 9, 1), date(2027, 9, 1)))) == len(days)


def test_no_zone_changes_the_days(garden_feed: bytes, python_module: Callable[[str], None]) -> None:
    python_module("x_wr_timezone")
    import x_wr_timezone

    calendar: Any = Calendar.from_ical(garden_feed)
    assert x_wr_timezone.to_standard(calendar).to_ical() == calendar.to_ical()


def test_stamps_are_in_utc(garden_feed: bytes) -> None:
    """RFC 5545 sections 3.8.7.2 and 3.8.7.3."""
    events = Calendar.from_ical(garden_feed).events
    stamps = {event[name].dt for event in events for name in ("DTSTAMP", "LAST-MODIFIED")}
    assert stamps == {datetime(2026, 9, 1, tzinfo=UTC)}

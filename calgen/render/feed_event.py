"""One entry of a calendar and the VEVENT it becomes."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any, Final, Literal

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Mapping

Reminders = Literal["none", "evening-before", "morning-of", "both"]
EVENING_BEFORE: Final = timedelta(hours=-6)
MORNING_OF: Final = timedelta(hours=7)
TRIGGERS: Final[Mapping[Reminders, tuple[timedelta, ...]]] = {
    "none": (),
    "evening-before": (EVENING_BEFORE,),
    "morning-of": (MORNING_OF,),
    "both": (EVENING_BEFORE, MORNING_OF),
}
"""Alarms count from midnight at the start of the day, where the reader is (RFC 5545 section 3.8.6.3)."""
ONE_DAY: Final = timedelta(days=1)


class Entry(Struct, frozen=True):
    """An all-day entry from ``first`` to ``last`` (inclusive). Texts are free of control characters."""

    uid: str
    first: date
    last: date
    title: str
    description: str
    place: str
    category: str
    colour: str
    revision: int
    changed: datetime
    reminders: Reminders = "none"


def vevent(entry: Entry) -> bytes:
    """The lines of a VEVENT. Its end is always written, and is the day after the last (RFC 5545 section 3.6.1)."""
    from icalendar import Event  # noqa: PLC0415

    stamp = entry.changed.astimezone(UTC)
    event = Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", stamp)
    event.add("last-modified", stamp)
    event.add("sequence", entry.revision)
    event.add("dtstart", entry.first)
    event.add("dtend", entry.last + ONE_DAY)
    event.add("summary", entry.title)
    event.add("description", entry.description)
    if entry.place:
        event.add("location", entry.place)
    event.add("categories", [entry.category])
    event.add("color", entry.colour)
    event.add("transp", "TRANSPARENT")
    for trigger in TRIGGERS[entry.reminders]:
        event.add_component(_alarm(entry.title, trigger))
    lines: bytes = event.to_ical(sorted=False)
    return lines


def _alarm(title: str, trigger: timedelta) -> Any:
    from icalendar import Alarm  # noqa: PLC0415

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", title)
    alarm.add("trigger", trigger)
    return alarm

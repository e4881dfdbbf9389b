"""One entry of a calendar and the VEVENT it becomes."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
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
OWN: Final = frozenset({"uid", "summary", "description"})
"""Properties that seldom are the same in two events; the others are written once for all events alike in them."""
BEGIN_EVENT: Final = b"BEGIN:VEVENT\r\n"
END_EVENT: Final = b"END:VEVENT\r\n"
BEGIN_ALARM: Final = b"BEGIN:VALARM\r\n"
END_ALARM: Final = b"END:VALARM\r\n"


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
    own, alarms = event_properties(entry), alarm_properties(entry)
    lines = [BEGIN_EVENT, *(_line("Event", name, value) for name, value in own)]
    for alarm in alarms:
        lines += BEGIN_ALARM, *(_line("Alarm", name, value) for name, value in alarm), END_ALARM
    return b"".join((*lines, END_EVENT))


def event_properties(entry: Entry) -> tuple[tuple[str, Any], ...]:
    """Names and values of a VEVENT's own properties, in their order."""
    stamp = entry.changed.astimezone(UTC)
    place = (("location", entry.place),) if entry.place else ()
    return (
        ("uid", entry.uid),
        ("dtstamp", stamp),
        ("last-modified", stamp),
        ("sequence", entry.revision),
        ("dtstart", entry.first),
        ("dtend", entry.last + ONE_DAY),
        ("summary", entry.title),
        ("description", entry.description),
        *place,
        ("categories", (entry.category,)),
        ("color", entry.colour),
        ("transp", "TRANSPARENT"),
    )


def alarm_properties(entry: Entry) -> tuple[tuple[tuple[str, Any], ...], ...]:
    """The same for each of its alarms."""
    return tuple((("action", "DISPLAY"), ("description", entry.title), ("trigger", trigger))
                 for trigger in TRIGGERS[entry.reminders])


def _line(component: Literal["Event", "Alarm"], name: str, value: Any) -> bytes:
    """A property as icalendar writes it in a component, folded."""
    return _written(component, name, value) if name in OWN else _alike(component, name, value)


def _written(component: Literal["Event", "Alarm"], name: str, value: Any) -> bytes:
    import icalendar  # noqa: PLC0415  heavy

    holder = getattr(icalendar, component)()
    holder.add(name, value)
    lines: bytes = holder.to_ical(sorted=False)
    return lines[len(f"BEGIN:V{component}\r\n"):-len(f"END:V{component}\r\n")]


_alike = lru_cache(maxsize=4096)(_written)

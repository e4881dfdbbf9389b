"""The last look at a calendar file before it leaves: rules that no calendar library checks in full."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

MOST_OCTETS: Final = 75
END: Final = b"END:VCALENDAR\r\n"
_CONTROL: Final = re.compile(rb"[\x00-\x08\x0a-\x1f\x7f]")
_DATE: Final = re.compile(rb"(DTSTART|DTEND);VALUE=DATE:(\d{8})")
_NAME_ENDS: Final = re.compile(rb"[;:]")
_EVENT: Final = re.compile(rb"^BEGIN:VEVENT\r\n", re.MULTILINE)
_EVENT_END: Final = re.compile(rb"^END:VEVENT\r\n", re.MULTILINE)
_ALARM_BEGIN: Final = re.compile(rb"^BEGIN:VALARM\r\n", re.MULTILINE)
_ONCE: Final = (b"UID", b"DTSTAMP", b"DTSTART", b"DTEND", b"SUMMARY")
_ALARM: Final = [b"ACTION", b"DESCRIPTION", b"TRIGGER"]


def faults(feed: bytes) -> list[str]:
    """What is wrong with a feed, each as a phrase; nothing when it may be published.

    Lines: CRLF alone, at most 75 octets, whole UTF-8 characters, no control characters (RFC 5545 sections 3.1, 3.3.11).
    Calendar: no METHOD and no UID of its own, at least one event. Events: one UID each and no two alike, one stamp,
    all-day, end later than start (3.6.1), text in each alarm (3.6.6) and no UID there.
    """
    end = b"\r\n" + END
    if not (feed.startswith(b"BEGIN:VCALENDAR\r\n") and feed.endswith(end) and feed.count(end) == 1):
        return ["is not one whole calendar"]
    lines = feed.removesuffix(b"\r\n").split(b"\r\n")
    found = [] if _are_sound(lines) else [phrase for line in lines for phrase in _line_faults(line)]
    head, *events = _EVENT.split(feed.removesuffix(END).replace(b"\r\n ", b""))
    found += [f"has {name.decode()} on the calendar" for name in _names(head) if name in {b"METHOD", b"UID"}]
    found += [phrase for event in events for phrase in _event_faults(event)]
    uids = [line for event in events for line in event.split(b"\r\n") if line.startswith(b"UID:")]
    if not events:
        found.append("has no event")
    if len(set(uids)) < len(uids):
        found.append("has two events with one UID")
    return list(dict.fromkeys(found))


def _are_sound(lines: list[bytes]) -> bool:
    """Whether no line has a fault; quicker than to ask each for all of them."""
    if max(map(len, lines)) > MOST_OCTETS or _CONTROL.search(b"".join(lines)):
        return False
    try:
        for line in lines:
            line.decode()
    except UnicodeDecodeError:
        return False
    return True


def _line_faults(line: bytes) -> list[str]:
    found = []
    if len(line) > MOST_OCTETS:
        found.append(f"has a line of {len(line)} octets")
    if _CONTROL.search(line):
        found.append("has a control character")
    try:
        line.decode("utf-8")
    except UnicodeDecodeError:
        found.append("has a line that is not UTF-8 by itself")
    return found


@lru_cache(maxsize=2048)
def _event_faults(event: bytes) -> tuple[str, ...]:
    """``event`` runs from after its BEGIN to its END, unfolded."""
    if not event.endswith(b"\r\nEND:VEVENT\r\n") or len(_EVENT_END.findall(event)) > 1:
        return ("has an event that is not closed",)
    own, *alarms = _ALARM_BEGIN.split(event)
    names = _names(own)
    found = [f"has an event with {count} {name.decode()}" for name in _ONCE if (count := names.count(name)) != 1]
    days = dict(_DATE.findall(own))
    if set(days) != {b"DTSTART", b"DTEND"}:
        found.append("has an event that is not all-day")
    elif days[b"DTEND"] <= days[b"DTSTART"]:
        found.append("has an event that ends before it starts")
    if any(sorted(set(_names(alarm)) - {b"END"}) != _ALARM for alarm in alarms):
        found.append("has an alarm that readers would drop")
    return tuple(found)


def _names(lines: bytes) -> list[bytes]:
    return [_NAME_ENDS.split(line, maxsplit=1)[0] for line in lines.split(b"\r\n") if line]

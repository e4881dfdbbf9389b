"""What published feeds remember when plan.json is gone: the revision and stamp of every entry.

A reader that has seen revision 3 of an entry must not be handed revision 0 of it. Only the history is lost then: past
jobs, and what changed since the last build.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from uuid import UUID

from calgen.schedule.model import Memory, Stamp

if TYPE_CHECKING:
    from collections.abc import Iterable


def feed_memory(files: Iterable[bytes]) -> Memory:
    """The stamps of all entries in these iCalendar files, their content unknown; what cannot be read is passed over."""
    from icalendar import Calendar  # noqa: PLC0415

    stamps: dict[str, Stamp] = {}
    for data in files:
        with suppress(ValueError, IndexError, KeyError, TypeError, AttributeError):
            for event in Calendar.from_ical(data).walk("VEVENT"):
                uid, changed = str(event["uid"]), event.decoded("last-modified")
                UUID(uid)
                if isinstance(changed, datetime) and changed.tzinfo is not None:
                    stamps[uid] = Stamp("", int(event.get("sequence", 0)), changed.astimezone(UTC))
    return Memory(stamps=stamps)

"""What published feeds remember when plan.json is gone: the revision and stamp of every entry.

A reader that has seen revision 3 of an entry must not be handed revision 0 of it. Only the history is lost then: past
jobs, and what changed since the last build.
"""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Final
from uuid import UUID

from calgen.render.plan_record import MOST, YEARS
from calgen.schedule.model import Memory, Stamp

if TYPE_CHECKING:
    from collections.abc import Iterable

_FOLD: Final = re.compile(rb"\r?\n[ \t]")
_LINE: Final = re.compile(rb"^(BEGIN|END|UID|SEQUENCE|LAST-MODIFIED):([^\r\n]{1,60})\r?$", re.MULTILINE)


def feed_memory(files: Iterable[bytes]) -> Memory:
    """The stamps of all entries in iCalendar files of calgen's, their content unknown.

    Three lines of an entry are looked for, so that one that is damaged takes no other with it; what cannot be read is
    passed over. Where files differ about an entry, the higher revision counts.
    """
    stamps: dict[str, Stamp] = {}
    for data in files:
        entry: dict[bytes, str] = {}
        for name, value in _LINE.findall(_FOLD.sub(b"", data)):
            if value == b"VEVENT":
                stamp = _stamp(entry) if name == b"END" else None
                if stamp and stamp.revision >= stamps.get(entry[b"UID"], stamp).revision:
                    stamps[entry[b"UID"]] = stamp
                entry = {}
            elif name not in (b"BEGIN", b"END"):
                entry[name] = value.decode("ascii", "replace")
    return Memory(stamps=stamps)


def _stamp(entry: dict[bytes, str]) -> Stamp | None:
    """The stamp of an entry's lines; None where one is missing or not what plan.json could hold."""
    with suppress(ValueError, KeyError):
        UUID(entry[b"UID"])
        revision = int(entry.get(b"SEQUENCE", "0"))
        changed = datetime.strptime(entry[b"LAST-MODIFIED"], "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
        if 0 <= revision <= MOST and changed.year in YEARS:
            return Stamp("", revision, changed)
    return None

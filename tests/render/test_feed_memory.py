"""What published feeds still tell when plan.json is gone, and when they are damaged as well."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from calgen.render.feed_memory import feed_memory
from calgen.schedule.model import Stamp

UIDS = [f"0ae39581-76d9-5506-aa91-08dff35455f{n}" for n in range(3)]
CHANGED = datetime(2026, 9, 1, tzinfo=UTC)


def event(uid: str, sequence: object = 3, changed: str = "20260901T000000Z", text: str = "Sow") -> bytes:
    return (f"BEGIN:VEVENT\r\nUID:{uid}\r\nDTSTAMP:20260901T000000Z\r\nLAST-MODIFIED:{changed}\r\n"
            f"SEQUENCE:{sequence}\r\nSUMMARY:{text}\r\nBEGIN:VALARM\r\nTRIGGER:-PT6H\r\nEND:VALARM\r\n"
            "END:VEVENT\r\n").encode()


def feed(*events: bytes) -> bytes:
    return b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n" + b"".join(events) + b"END:VCALENDAR\r\n"


def test_every_entry_keeps_its_revision_and_stamp() -> None:
    found = feed_memory([feed(event(UIDS[0]), event(UIDS[1], 0)), feed(event(UIDS[2], 7, "20261004T121500Z"))])
    assert found.stamps == {UIDS[0]: Stamp("", 3, CHANGED), UIDS[1]: Stamp("", 0, CHANGED),
                            UIDS[2]: Stamp("", 7, datetime(2026, 10, 4, 12, 15, tzinfo=UTC))}


def test_the_higher_revision_counts() -> None:
    """A feed that was not written to the end is older than its neighbours."""
    older, newer = feed(event(UIDS[0], 4)), feed(event(UIDS[0], 5))
    for files in ([older, newer], [newer, older]):
        assert feed_memory(files).stamps == {UIDS[0]: Stamp("", 5, CHANGED)}


DAMAGED = {
    "no uid": event(UIDS[1]).replace(b"UID:", b"UXD:"),
    "no UUID": event("x"),
    "no day": event(UIDS[1], changed="20269999T000000Z"),
    "a day of no calendar": event(UIDS[1], changed="00010101T000000Z"),
    "a number beyond all": event(UIDS[1], sequence="9" * 40),
    "a number plan.json cannot hold": event(UIDS[1], sequence=2**31),
    "a number below nought": event(UIDS[1], sequence=-5),
    "no number": event(UIDS[1], sequence="x"),
    "no end": event(UIDS[1]).replace(b"END:VEVENT\r\n", b""),
    "no text": event(UIDS[1]).replace(b"SUMMARY", b"\xff\xfe\x00"),
    "words without a colon": event(UIDS[1]).replace(b":", b" "),
    "folds without end": b"\r\n " * 1_000_000,
    "beginnings without end": b"BEGIN:VEVENT\r\n" * 300_000,
}


@pytest.mark.parametrize("name", DAMAGED)
def test_a_damaged_entry_takes_no_other_with_it(name: str) -> None:
    found = feed_memory([feed(event(UIDS[0]), DAMAGED[name], event(UIDS[2]))])
    if name == "no text":
        assert found.stamps.pop(UIDS[1]) == Stamp("", 3, CHANGED)
    assert found.stamps == {UIDS[0]: Stamp("", 3, CHANGED), UIDS[2]: Stamp("", 3, CHANGED)}


def test_lines_within_a_text_are_no_lines_of_the_entry() -> None:
    """A text that is folded just before what looks like a line (RFC 5545 section 3.1) is still that text."""
    folded = event(UIDS[0], text="one\r\n UID:x\r\n SEQUENCE:99")
    assert feed_memory([feed(folded)]).stamps == {UIDS[0]: Stamp("", 3, CHANGED)}


def test_what_other_programs_save_is_read() -> None:
    """Line ends without CR, and a tab for a fold."""
    assert feed_memory([feed(event(UIDS[0])).replace(b"\r\n", b"\n").replace(b"SEQ", b"SEQ\n\t")]).stamps == {
        UIDS[0]: Stamp("", 3, CHANGED)}

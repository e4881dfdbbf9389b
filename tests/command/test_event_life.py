"""The life of an event while a grower edits site, diary and frost dates and builds day after day (RFC 5545, 3.8.7).

What a subscribed phone relies on: a uid stays with its job, sequence and stamp go up when the event's content changes,
also when an edit is undone, and never back; the same input gives the same bytes.
"""

import tempfile
from datetime import date, datetime, timedelta
from pathlib import Path

import icalendar
from calgen.cli import main
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

SITE = """site: Copper Lane
latitude: 51.9
frost: {{last: {last} April, first: {first} October}}
warmest-month: 17.2
winter-low: -7
garden-days: [{days}]
chart-starts: September 2026
beds:
  Low bed:
    size: 1.2 x 5 m
    needs: [{need}]
    order:
      - {{crop: courgette, planted: 2026-05-30, cleared: 2026-09-{cleared:02d}}}
      - {{cover: choose}}
      - {{crop: tomato}}
{more}"""
MORE = ("  Side bed:\n    size: 1 x 3 m\n"
        "    order: [{crop: bush bean, sown: 2026-06-01, cleared: 2026-09-10}, {crop: garlic}]\n")
EDITS = st.fixed_dictionaries({
    "last": st.sampled_from([18, 22, 28]), "first": st.sampled_from([14, 20, 27]),
    "days": st.sampled_from(["Sat", "Sun, Wed"]), "need": st.sampled_from(["nitrogen", "weeds", "structure"]),
    "cleared": st.sampled_from([8, 20]), "more": st.sampled_from(["", MORE]),
    "diary": st.sampled_from(["", "  - {on: 2026-09-21, bed: Low bed, done: sown, plant: phacelia}\n"])})


def events(feed: bytes) -> dict[str, icalendar.Event]:
    """Events by uid."""
    found = icalendar.Calendar.from_ical(feed).walk("VEVENT")
    by_uid = {str(event["UID"]): event for event in found}
    assert len(by_uid) == len(found)
    return by_uid


def content(event: icalendar.Event) -> bytes:
    """Everything of an event but sequence and stamps."""
    lines = event.to_ical().split(b"\r\n")
    return b"\r\n".join(line for line in lines if not line.startswith((b"SEQUENCE", b"DTSTAMP", b"LAST-MODIFIED")))


def stamp(event: icalendar.Event) -> datetime:
    """When the event last changed."""
    assert event["LAST-MODIFIED"].dt == event["DTSTAMP"].dt
    when: datetime = event["LAST-MODIFIED"].dt
    return when


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(EDITS, min_size=2, max_size=4))
def test_events_live_through_edits(edits: list[dict[str, object]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        site = Path(folder, "copper.yaml")
        known: dict[str, tuple[bytes, int, datetime]] = {}
        for number, edit in enumerate([*edits, edits[0]]):
            site.write_text(SITE.format(**edit), "utf-8")
            diary = Path(folder, "copper.diary.yaml")
            diary.unlink(missing_ok=True)
            if edit["diary"]:
                diary.write_text(f"diary:\n{edit['diary']}", "utf-8")
            arguments = ["build", str(site), "--out", folder, "--today", str(date(2026, 9, 1) + timedelta(number))]
            assert main(arguments) == 0
            feed = Path(folder, "copper", "feeds", "all.ics")
            first = feed.read_bytes()
            assert main(arguments) == 0
            assert feed.read_bytes() == first
            now = events(first)
            assert now
            for uid, event in now.items():
                if uid in known:
                    text, sequence, when = known[uid]
                    if content(event) == text:
                        assert (int(event["SEQUENCE"]), stamp(event)) >= (sequence, when)
                    else:
                        assert int(event["SEQUENCE"]) > sequence
                        assert stamp(event) > when
                known[uid] = (content(event), int(event["SEQUENCE"]), stamp(event))

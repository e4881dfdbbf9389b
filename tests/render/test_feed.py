"""Feeds against RFC 5545 and RFC 7986; each test names the section it holds the feed to."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from calgen.render.feed import feeds
from calgen.render.feed_words import COLOURS, ENGLISH, FeedWords, fingerprint
from calgen.schedule.memory import remembered
from calgen.schedule.model import KINDS
from icalendar import Calendar
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.schedule.model import Job, Schedule

FIRST = datetime(2026, 9, 1, tzinfo=UTC)


def events(feed: bytes) -> dict[str, Any]:
    """Events of a feed by headline."""
    return {str(event["SUMMARY"]): event for event in Calendar.from_ical(feed).walk("VEVENT")}


def test_all_holds_every_job_and_each_kind_its_own(garden_year: Schedule) -> None:
    made = feeds(garden_year)
    assert list(made) == ["all.ics", *(f"{kind}.ics" for kind in KINDS), "import.ics"]
    everything = {str(event["UID"]) for event in Calendar.from_ical(made["all.ics"]).walk("VEVENT")}
    assert {job.uid for job in garden_year.jobs} < everything
    of_kinds = [event for kind in KINDS for event in Calendar.from_ical(made[f"{kind}.ics"]).walk("VEVENT")]
    assert sorted(str(event["UID"]) for event in of_kinds) == sorted(everything)
    assert made["import.ics"] == made["all.ics"]


def test_a_kind_without_jobs_gets_no_feed(new_schedule: Callable[..., Schedule], new_job: Callable[..., Job]) -> None:
    year, _ = remembered(new_schedule(new_job("a", date(2026, 9, 5))), None, FIRST)
    assert list(feeds(year)) == ["all.ics", "sow.ics", "import.ics"]


def test_an_event_is_the_same_in_every_feed(garden_year: Schedule) -> None:
    made = feeds(garden_year)
    blocks = re.findall(rb"BEGIN:VEVENT.*?END:VEVENT\r\n", made["all.ics"], re.DOTALL)
    assert len(blocks) == len(garden_year.jobs) + 1
    parts = b"".join(made[f"{kind}.ics"] for kind in KINDS)
    assert all(block in parts for block in blocks)


def test_events_are_sorted_by_day_then_uid(garden_year: Schedule) -> None:
    keys = [(event["DTSTART"].dt, str(event["UID"])) for event in
            Calendar.from_ical(feeds(garden_year)["all.ics"]).walk("VEVENT")]
    assert keys == sorted(keys)


def test_lines_are_crlf_and_at_most_75_octets_of_whole_characters(garden_year: Schedule) -> None:
    """RFC 5545 section 3.1."""
    for feed in feeds(garden_year).values():
        assert b"\n" not in feed.replace(b"\r\n", b"")
        assert b"\r" not in feed.replace(b"\r\n", b"")
        for line in feed.split(b"\r\n"):
            assert len(line) <= 75
            line.decode("utf-8")


def test_calendar_properties(garden_year: Schedule) -> None:
    """RFC 5545 sections 3.6, 3.7; RFC 7986 sections 5.1, 5.7, 5.9: value types that have no default are written."""
    head = feeds(garden_year)["sow.ics"].split(b"BEGIN:VEVENT")[0].decode().replace("\r\n ", "").split("\r\n")
    assert head == [
        "BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//calgen//calgen feed//EN", "CALSCALE:GREGORIAN",
        "NAME:Tern Hill plots – Sowing", "X-WR-CALNAME:Tern Hill plots – Sowing",
        "X-WR-CALDESC:Jobs for each bed\\, with window and last safe day. "
        "A calendar program may need to be told to ring.",
        "COLOR:seagreen", "X-APPLE-CALENDAR-COLOR:#2E8B57",
        "REFRESH-INTERVAL;VALUE=DURATION:PT12H", "X-PUBLISHED-TTL:PT12H", "",
    ]


def test_no_method_no_uid_on_calendar_or_alarm(garden_year: Schedule) -> None:
    """RFC 5545 section 3.7.2; a UID on the calendar makes a synchroniser take all events for one."""
    calendar = Calendar.from_ical(feeds(garden_year)["all.ics"])
    assert "METHOD" not in calendar
    assert "UID" not in calendar
    assert all("UID" not in alarm for alarm in calendar.walk("VALARM"))


def test_days_are_dates_and_the_end_is_the_day_after(garden_year: Schedule) -> None:
    """RFC 5545 section 3.6.1: DTEND is exclusive and a DATE where DTSTART is."""
    feed = feeds(garden_year)["all.ics"]
    found = events(feed)
    one_day, week = found["Sow rye and vetch – Long bed"], found["Harden off tomato – Long bed"]
    assert (one_day["DTSTART"].dt, one_day["DTEND"].dt) == (date(2026, 9, 26), date(2026, 9, 27))
    assert (week["DTSTART"].dt, week["DTEND"].dt) == (date(2027, 5, 8), date(2027, 5, 15))
    assert feed.count(b"DTSTART;VALUE=DATE:") == feed.count(b"DTEND;VALUE=DATE:") == len(found)


@pytest.mark.parametrize(("days_left", "shown"), [(0, 1), (1, 2), (6, 7), (7, 1), (30, 1)])
def test_a_window_of_up_to_a_week_is_shown_whole_a_longer_one_by_its_day(
    new_schedule: Callable[..., Schedule], new_job: Callable[..., Job], days_left: int, shown: int,
) -> None:
    day = date(2026, 12, 28)
    year, _ = remembered(new_schedule(new_job("a", day, last=day + timedelta(days=days_left))), None, FIRST)
    (event,) = Calendar.from_ical(feeds(year)["all.ics"]).walk("VEVENT")
    assert event["DTEND"].dt - event["DTSTART"].dt == timedelta(days=shown)


def test_a_last_call_stands_on_the_last_garden_day_before_frost_closes_the_window(garden_year: Schedule) -> None:
    """The job is on Saturday 26 September and safe until Saturday 17 October 2026."""
    feed = feeds(garden_year)["sow.ics"]
    call = events(feed)["Last call: Sow rye and vetch – Long bed, by 17 October"]
    assert call["DTSTART"].dt == date(2026, 10, 17)
    assert call["UID"] != events(feed)["Sow rye and vetch – Long bed"]["UID"]


@pytest.mark.parametrize(("latest", "call"), [
    (date(2026, 10, 16), date(2026, 10, 10)),
    (date(2026, 10, 3), date(2026, 10, 3)),
    (date(2026, 10, 2), None),
    (date(2026, 9, 26), None),
])
def test_no_last_call_where_the_job_itself_is_in_the_last_week(
    new_schedule: Callable[..., Schedule], new_job: Callable[..., Job], latest: date, call: date | None,
) -> None:
    sow = new_job("a", date(2026, 9, 26), last=latest, latest=latest, last_call=True)
    year, _ = remembered(new_schedule(sow), None, FIRST)
    days = [event["DTSTART"].dt for event in Calendar.from_ical(feeds(year)["all.ics"]).walk("VEVENT")]
    assert days == [day for day in (date(2026, 9, 26), call) if day]


def test_what_an_event_says(garden_year: Schedule) -> None:
    event = events(feeds(garden_year)["all.ics"])["Sow rye and vetch – Long bed"]
    assert str(event["DESCRIPTION"]).split("\n") == [
        "Sow rye and vetch in drills 15 cm apart, 3 cm deep; firm, water.",
        "How much: 110 g rye, 36.5 g vetch",
        "How: In drills; rake level, then tread.",
        "Why then: After the sweet corn.",
        "Window: 26 September to 10 October 2026",
        "Last safe day: 17 October 2026",
        "Next: Look for bare patches from 5 October.",
        "Take care: Vetch seed is not for eating; keep it from children and animals.",
        "As planned on 1 September 2026",
    ]
    assert str(event["LOCATION"]) == "Long bed"
    assert event["CATEGORIES"].cats == ["Sowing"]
    assert str(event["COLOR"]) == "seagreen"
    assert str(event["TRANSP"]) == "TRANSPARENT"


def test_a_job_for_no_bed_has_no_empty_place(
    new_schedule: Callable[..., Schedule], new_job: Callable[..., Job],
) -> None:
    year, _ = remembered(new_schedule(new_job("a", date(2026, 9, 5), bed="")), None, FIRST)
    assert b"LOCATION" not in feeds(year)["all.ics"]


def test_a_window_across_new_year_names_both_years(
    new_schedule: Callable[..., Schedule], new_job: Callable[..., Job],
) -> None:
    over = new_job("a", date(2026, 12, 26), last_call=True, quantity="RYE 5 g", text="Rye 5 g on 1 m².")
    year, _ = remembered(new_schedule(over), None, FIRST)
    found = events(feeds(year)["all.ics"])
    assert list(found) == ["Sow rye – Long bed", "Last call: Sow rye – Long bed, by 16 January"]
    assert "\nWindow: 26 December 2026 to 9 January 2027\n" in str(found["Sow rye – Long bed"]["DESCRIPTION"])
    assert "How much" not in str(found["Sow rye – Long bed"]["DESCRIPTION"]), "the text tells it already"


def test_stamp_and_sequence_are_those_of_the_last_change(
    edited_year: Callable[..., Schedule], garden: Schedule,
) -> None:
    """RFC 5545 sections 3.8.7.2 to 3.8.7.4: without METHOD, DTSTAMP tells when the information last changed."""
    sow = next(job for job in garden.jobs if job.kind == "sow")
    others = tuple(job for job in garden.jobs if job.kind != "sow")
    edited = (*others, replace(sow, on=date(2026, 10, 3)))
    year = edited_year((date(2026, 9, 8), edited), (date(2026, 9, 15), edited))
    found = events(feeds(year)["all.ics"])
    moved, still = found["Sow rye and vetch – Long bed"], found["Mulch – Long bed"]
    assert moved["DTSTAMP"].dt == moved["LAST-MODIFIED"].dt == datetime(2026, 9, 8, tzinfo=UTC)
    assert (moved["SEQUENCE"], still["SEQUENCE"]) == (1, 0)
    assert still["DTSTAMP"].dt == FIRST
    assert "As planned on 8 September 2026" in str(moved["DESCRIPTION"])


@pytest.mark.parametrize(("setting", "triggers"), [
    ("none", []),
    ("evening-before", [timedelta(hours=-6)]),
    ("morning-of", [timedelta(hours=7)]),
    ("both", [timedelta(hours=-6), timedelta(hours=7)]),
])
def test_reminders(garden: Schedule, setting: str, triggers: list[timedelta]) -> None:
    """RFC 5545 section 3.6.6: an alarm that is shown has a text; section 3.8.6.3: it counts from midnight."""
    year, _ = remembered(replace(garden, reminders=setting), None, FIRST)  # type: ignore[arg-type]
    for event in Calendar.from_ical(feeds(year)["all.ics"]).walk("VEVENT"):
        alarms = event.walk("VALARM")
        assert [alarm["TRIGGER"].dt for alarm in alarms] == triggers
        assert all(alarm["DESCRIPTION"] == event["SUMMARY"] and alarm["ACTION"] == "DISPLAY" for alarm in alarms)


def test_a_job_that_is_done_stays_but_rings_no_more(garden: Schedule) -> None:
    year, _ = remembered(replace(garden, jobs=tuple(replace(job, done=True) for job in garden.jobs)), None, FIRST)
    found = events(feeds(year)["all.ics"])
    assert len(found) == len(garden.jobs)
    assert all(title.startswith("Done: ") for title in found)
    assert not any(event.walk("VALARM") for event in found.values())
    assert not any("Last safe day" in str(event["DESCRIPTION"]) for event in found.values())
    assert not any("\nBy: " in str(event["DESCRIPTION"]) for event in found.values())


def test_only_a_window_that_frost_closes_has_a_last_safe_day(garden_year: Schedule) -> None:
    """A look or a cutting has a day by which it is best done; nothing is unsafe about the day after."""
    told = {str(event["UID"]): str(event["DESCRIPTION"]) for event in events(feeds(garden_year)["all.ics"]).values()}
    jobs = [job for job in garden_year.jobs if job.uid in told and not job.done]
    assert {job.last_call for job in jobs} == {True, False}
    for job in jobs:
        assert ("Last safe day: " in told[job.uid]) == job.last_call
        assert ("\nBy: " in told[job.uid]) != job.last_call


def test_a_digest_is_one_event_a_week_and_the_feeds_of_kinds_stay_single(garden: Schedule) -> None:
    year, _ = remembered(replace(garden, digest=True), None, FIRST)
    made = feeds(year)
    weekly = list(Calendar.from_ical(made["all.ics"]).walk("VEVENT"))
    days = [event["DTSTART"].dt for event in weekly]
    assert all(day.weekday() == 0 for day in days)
    assert len(days) == len({job.on.isocalendar()[:2] for job in garden.jobs})
    october = next(event for event in weekly if event["DTSTART"].dt == date(2026, 10, 5))
    assert str(october["SUMMARY"]) == "Jobs of this week: 2"
    assert str(october["DESCRIPTION"]).split("\n") == [
        "10 October: Look over rye and vetch – Long bed (last safe day 17 October)",
        "10 October: Top up bare patches – Long bed (last safe day 17 October)",
        "As planned on 1 September 2026",
    ]
    assert len(events(made["import.ics"])) == len(garden.jobs) + 1
    assert len(events(made["sow.ics"])) == 2


def test_a_feed_that_lost_its_jobs_says_so_instead_of_being_empty(
    edited_year: Callable[..., Schedule], garden: Schedule,
) -> None:
    """RFC 5545 section 3.6 wants a component in each calendar, and readers take an empty file for a fault."""
    no_mulch = tuple(job for job in garden.jobs if job.kind != "mulch")
    made = feeds(edited_year((date(2026, 9, 8), no_mulch), (date(2026, 9, 9), no_mulch)))
    (event,) = Calendar.from_ical(made["mulch.ics"]).walk("VEVENT")
    assert str(event["SUMMARY"]) == "No jobs left: Mulching"
    assert (event["DTSTART"].dt, event["DTSTAMP"].dt) == (date(2026, 9, 8), datetime(2026, 9, 8, tzinfo=UTC))
    assert b"No jobs left" not in made["all.ics"]


def test_an_empty_plan_is_published_as_such(new_schedule: Callable[..., Schedule]) -> None:
    year, _ = remembered(new_schedule(), None, FIRST)
    made = feeds(year)
    assert list(made) == ["all.ics", "import.ics"]
    assert list(events(made["all.ics"])) == ["No jobs left: All jobs"]


@pytest.mark.parametrize("digest", [False, True])
def test_same_schedule_same_bytes_on_any_day(
    garden: Schedule, edited_year: Callable[..., Schedule], digest: bool,
) -> None:
    first = feeds(edited_year(digest=digest))
    assert feeds(edited_year(digest=digest)) == first
    later = [(date(2026, 9, 1), garden.jobs), (date(2027, 3, 1), garden.jobs)]
    assert feeds(edited_year(*later, digest=digest)) == first


NASTY = "Bed\r\nEND:VEVENT\r\nBEGIN:VEVENT\nATTACH:x\rMETHOD:CANCEL\u2028X:1\u0085Y:2\x00\x07;,\\n\ud800\ufeff 🌱"


def test_no_name_can_add_a_line_of_its_own(new_schedule: Callable[..., Schedule], new_job: Callable[..., Job]) -> None:
    """RFC 5545 section 3.3.11: text is escaped, and holds no control character but the line break."""
    texts = dict.fromkeys(("bed", "title", "text", "why", "next_step", "how", "caution", "quantity"), NASTY)
    plain, _ = remembered(new_schedule(new_job("a", date(2026, 9, 5))), None, FIRST)
    nasty, _ = remembered(new_schedule(new_job("a", date(2026, 9, 5), **texts), site=NASTY), None, FIRST)
    words = FeedWords(about=NASTY, kinds=dict.fromkeys(KINDS, NASTY))
    names = []
    for feed in (feeds(plain)["all.ics"], feeds(nasty, words)["all.ics"]):
        assert not re.search(rb"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f]", feed)
        unfolded = feed.decode().replace("\r\n ", "").split("\r\n")
        names.append([re.split("[:;]", line)[0] for line in unfolded])
        assert not any(line != line.splitlines()[0] for line in unfolded if line)
    assert names[0] == names[1]
    (event,) = Calendar.from_ical(feeds(nasty)["all.ics"]).walk("VEVENT")
    assert str(event["LOCATION"]) == "Bed END:VEVENT BEGIN:VEVENT ATTACH:x METHOD:CANCEL X:1 Y:2 ;,\\n\ufffd 🌱"


def test_other_words_are_used_and_get_another_fingerprint(garden_year: Schedule) -> None:
    german = FeedWords(last_safe="Spätestens {day}", day="{day}. {month} {year}", months=tuple("JFMAMJJASOND"))
    sow = events(feeds(garden_year, german)["all.ics"])["Sow rye and vetch – Long bed"]
    assert "Spätestens 17. O 2026" in str(sow["DESCRIPTION"])
    assert fingerprint(german) != fingerprint(ENGLISH) == fingerprint(FeedWords())


def test_a_pattern_with_an_unknown_name_does_not_break_the_feed(garden_year: Schedule) -> None:
    found = events(feeds(garden_year, FeedWords(plan_of="{nobody} {0} {day!r} {"))["all.ics"])
    assert str(found["Mulch – Long bed"]["DESCRIPTION"]).endswith("{nobody} {0} {day!r} {")


def test_every_kind_has_words_and_a_colour_of_its_own() -> None:
    assert set(COLOURS) == set(ENGLISH.kinds) == set(KINDS)
    assert len(set(COLOURS.values())) == len(KINDS)


def test_a_schedule_without_memory_is_refused(garden: Schedule, new_schedule: Callable[..., Schedule]) -> None:
    with pytest.raises(ValueError, match="no uid"):
        feeds(garden)
    with pytest.raises(ValueError, match="remembered"):
        feeds(new_schedule())


def test_the_calendar_library_is_loaded_only_when_a_feed_is_made() -> None:
    code = "import sys, calgen.render.feed; print('icalendar' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "False\n"

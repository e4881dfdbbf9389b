"""The calendar feeds: Schedule -> iCalendar files (RFC 5545, 7986) for phones and calendar programs to subscribe to.

All-day events only; no METHOD, no UID on calendar or alarm; stamps are those of ``calgen.schedule.memory``, so the same
schedule gives the same bytes. An event is the same in every feed it is in.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from calgen.render.feed_check import END, faults
from calgen.render.feed_event import Entry, vevent
from calgen.render.feed_text import cleaned, description, one_line, title, week_description
from calgen.render.feed_words import ALL_COLOUR, COLOURS, ENGLISH, FeedWords, filled
from calgen.schedule.entry import calendar_days, last_call_day
from calgen.schedule.memory import ALL, last_call_uid, silence_uid
from calgen.schedule.model import KINDS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.schedule.model import Job, Schedule

IMPORT: Final = "import"
PRODUCT: Final = "-//calgen//calgen feed//EN"
REFRESH: Final = timedelta(hours=12)


def feeds(schedule: Schedule, words: FeedWords = ENGLISH) -> dict[str, bytes]:
    """Files by name: ``all.ics``, one ``<kind>.ics`` for each kind of job, and ``import.ics`` to load once.

    With a weekly digest ``all.ics`` holds one event a week. A kind that lost its last job keeps its feed for a year,
    with an event that says so: reminders of the old plan leave the phone, and no reader sees an empty file.

    Raises:
        ValueError: when the schedule has not been through ``calgen.schedule.memory.remembered``.
    """
    calendars: dict[str, list[Entry]] = {kind: [] for kind in KINDS}
    for job in schedule.jobs:
        calendars[job.kind].extend(_job_entries(job, schedule, words))
    for feed in schedule.memory.silent:
        calendars[feed] = [_silence(feed, schedule, words)]
    every = calendars.get(ALL) or [entry for kind in {job.kind for job in schedule.jobs} for entry in calendars[kind]]
    if not every:
        raise ValueError("an empty schedule has not been through remembered()")
    calendars[IMPORT] = every
    calendars[ALL] = list(_week_entries(schedule, words)) or every

    distinct = {entry.uid: entry for entries in calendars.values() for entry in entries}
    events = {uid: vevent(entry) for uid, entry in distinct.items()}
    files = {}
    for feed in (ALL, *KINDS, IMPORT):
        if entries := sorted(calendars[feed], key=lambda entry: (entry.first, entry.uid)):
            files[f"{feed}.ics"] = _head(feed, schedule, words) + b"".join(events[entry.uid] for entry in entries) + END
    for name, data in files.items():
        if found := faults(data):
            raise ValueError(f"{name} {'; '.join(found)}")
    return files


def _head(feed: str, schedule: Schedule, words: FeedWords) -> bytes:
    """Everything of a calendar before its events. It never changes by itself, or every event would look new."""
    from icalendar import Calendar, vText  # noqa: PLC0415

    colour, rgb = COLOURS.get(feed, ALL_COLOUR)
    name = one_line(filled(words.calendar, site=schedule.site, feed=_feed_name(feed, words)))
    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", PRODUCT)
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", vText(name))
    calendar.add("x-wr-calname", vText(name))
    calendar.add("x-wr-caldesc", vText(one_line(words.about)))
    calendar.add("color", colour)
    calendar.add("x-apple-calendar-color", rgb)
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", f"PT{REFRESH // timedelta(hours=1)}H")
    lines: bytes = calendar.to_ical(sorted=False)
    return lines.removesuffix(END)


def _feed_name(feed: str, words: FeedWords) -> str:
    return words.kinds.get(feed, feed) if feed in KINDS else words.all_jobs


def _job_entries(job: Job, schedule: Schedule, words: FeedWords) -> Iterator[Entry]:
    if not job.uid or job.changed is None:
        raise ValueError(f"job {job.key} has no uid and stamp yet")
    first, last = calendar_days(job)
    entry = Entry(
        uid=job.uid,
        first=first,
        last=last,
        title=title(job, words),
        description=description(job, words),
        place=one_line(job.bed),
        category=one_line(_feed_name(job.kind, words)),
        colour=COLOURS[job.kind][0],
        revision=job.revision,
        changed=job.changed,
        reminders="none" if job.done else schedule.reminders,
    )
    yield entry
    if day := last_call_day(job):
        call = one_line(filled(words.last_call, title=job.title, day=words.of_day(job.latest, day.year)))
        yield replace(entry, uid=last_call_uid(job), first=day, last=day, title=call)


def _week_entries(schedule: Schedule, words: FeedWords) -> Iterator[Entry]:
    jobs = {job.uid: job for job in schedule.jobs}
    for week in schedule.memory.weeks:
        yield Entry(
            uid=week.uid,
            first=week.start,
            last=week.start,
            title=one_line(filled(words.week, count=str(len(week.jobs)))),
            description=week_description(week, jobs, words),
            place=one_line(schedule.site),
            category=one_line(words.all_jobs),
            colour=ALL_COLOUR[0],
            revision=week.revision,
            changed=week.changed,
            reminders=schedule.reminders,
        )


def _silence(feed: str, schedule: Schedule, words: FeedWords) -> Entry:
    uid, day = silence_uid(schedule.memory.plan, feed), schedule.memory.silent[feed]
    stamp, name = schedule.memory.stamps[uid], _feed_name(feed, words)
    return Entry(
        uid=uid,
        first=day,
        last=day,
        title=one_line(filled(words.silent, feed=name)),
        description=cleaned(filled(words.silent_text, day=words.of_day(day))),
        place=one_line(schedule.site),
        category=one_line(name),
        colour=COLOURS.get(feed, ALL_COLOUR)[0],
        revision=stamp.revision,
        changed=stamp.changed,
    )

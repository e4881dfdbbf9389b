"""Jobs for a terminal: week by week as plain text, and the same as data for other programs."""

from __future__ import annotations

import re
from datetime import timedelta
from itertools import groupby
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from calgen.render.day import days_of

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from calgen.render.day import Days
    from calgen.schedule.model import Job, Schedule

FORMAT: Final = 1
LEAST_WIDTH: Final = 24
NARROW: Final = 56  # below it the facts of a job stand under its box, not under its title
_HARD_SPACE: Final = "\u00a0"
_CONTROL: Final = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_OVERRIDES: Final = re.compile("[\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]")


class JobListWords(Struct, frozen=True):
    """The fixed words of the list; English here."""

    head: str = "{site}: jobs from {first} to {last}"
    none: str = "No jobs in these days."
    still_open: str = "Still open from before"
    week: str = "Week of {day}"
    all_beds: str = "all beds"
    seed: str = "seed: {quantity}"
    amount: str = "amount: {quantity}"
    last_safe: str = "last safe day {day}"
    latest: str = "by {day}"
    frost: str = "frost ends the window"
    caution: str = "Take care: {text}"
    between: str = " · "


_ENGLISH: Final = JobListWords()
_SOWN: Final = frozenset({"order-seed", "sow", "undersow", "drill", "sow-indoors", "top-up"})


def job_list(schedule: Schedule, start: date, end: date, width: int = 80, words: JobListWords = _ENGLISH) -> str:
    """Jobs due from ``start`` to ``end`` (inclusive) under their weeks, each with a box; done ones are ticked.

    What was due earlier, is not done and still in time comes first. No line is wider than ``width`` columns, wide
    characters counting as two, unless a single character is.
    """
    days, width = days_of(schedule), max(width, LEAST_WIDTH)
    head = words.head.format(site=_tidy(schedule.site), first=days.full(start), last=days.full(end))
    parts = ["\n".join(wrapped(head, width))]
    open_jobs, due = still_open(schedule, start), due_jobs(schedule, start, end)
    day_width = max((columns(days.weekday(job.on)) for job in (*open_jobs, *due)), default=0)
    if open_jobs:
        parts.append(_section(words.still_open, open_jobs, days, day_width, width, words))
    for monday, week in groupby(due, lambda job: job.on - timedelta(job.on.weekday())):
        parts.append(_section(words.week.format(day=days.full(monday)), week, days, day_width, width, words))
    if not open_jobs and not due:
        parts.append("\n".join(wrapped(words.none, width)))
    return "\n\n".join(parts)


def job_data(schedule: Schedule, start: date, end: date) -> dict[str, Any]:
    """The same jobs as data, format 1; the keys of a job are those of plan.json. ``open`` is what comes from before."""
    return {
        "format": FORMAT, "site": schedule.site, "from": start.isoformat(), "to": end.isoformat(),
        "open": [_record(job) for job in still_open(schedule, start)],
        "jobs": [_record(job) for job in due_jobs(schedule, start, end)],
    }


def still_open(schedule: Schedule, start: date) -> tuple[Job, ...]:
    """Jobs due before a day, not done, that can still be done on it."""
    return tuple(job for job in _ordered(schedule) if job.on < start <= job.latest and not job.done)


def due_jobs(schedule: Schedule, start: date, end: date) -> tuple[Job, ...]:
    """Jobs due between two days, both inclusive, done ones too."""
    return tuple(job for job in _ordered(schedule) if start <= job.on <= end)


def _ordered(schedule: Schedule) -> list[Job]:
    return sorted((job for job in schedule.jobs if not job.kept), key=lambda job: (job.on, job.bed, job.kind, job.key))


def _section(title: str, jobs: Iterable[Job], days: Days, day_width: int, width: int, words: JobListWords) -> str:
    lines = wrapped(title, width)
    for job in jobs:
        lines += _lines(job, days, day_width, width, words)
    return "\n".join(lines)


def _lines(job: Job, days: Days, day_width: int, width: int, words: JobListWords) -> list[str]:
    day = days.weekday(job.on)
    box = f"  [{'x' if job.done else ' '}] {day}{' ' * (day_width - columns(day) + 2)}"
    hang = " " * (6 if width < NARROW else columns(box))
    facts = [_tidy(job.bed) or words.all_beds]
    if job.quantity:
        pattern = words.seed if job.kind in _SOWN else words.amount
        facts.append(pattern.format(quantity=_tidy(job.quantity)))
    if not job.done:
        latest = words.last_safe if job.last_call else words.latest
        facts.append(latest.format(day=days.weekday(job.latest).replace(" ", _HARD_SPACE)))
        if job.last_call:
            facts.append(words.frost)
    texts = [words.between.join(facts)]
    if job.caution and not job.done:
        texts.append(words.caution.format(text=_tidy(job.caution)))
    lines = wrapped(box + _tidy(job.title), width, hang)
    for text in texts:
        lines += wrapped(hang + text, width, hang)
    return [line.replace(_HARD_SPACE, " ") for line in lines]


def wrapped(text: str, width: int, hang: str = "") -> list[str]:
    """Text broken at blanks into lines of at most ``width`` columns, all but the first beginning with ``hang``.

    A word wider than a line is broken between characters, never before a combining mark.
    """
    lines: list[str] = []
    lead = len(text) - len(text.lstrip(" "))
    line = text[:lead]
    pieces = re.findall(r" *[^ ]+", text[lead:])
    for piece in pieces:
        if columns(line + piece) <= width:
            line += piece
            continue
        if line.strip(" "):
            lines.append(line.rstrip(" "))
            line = hang
        for character in piece.lstrip(" "):
            if columns(line + character) > width and line.strip(" "):
                lines.append(line)
                line = hang
            line += character
    return [*lines, line.rstrip(" ")]


def columns(text: str) -> int:
    """Width of a text in a terminal: two columns for wide characters, none for combining and invisible ones."""
    from wcwidth import wcwidth  # noqa: PLC0415  only where a list is printed

    return sum(max(wcwidth(character), 0) for character in text)


def _tidy(text: str) -> str:
    """Text on one line that cannot move the cursor, nor turn the direction of what follows it."""
    return " ".join(_OVERRIDES.sub("", _CONTROL.sub(" ", text)).split())


def _record(job: Job) -> dict[str, Any]:
    return {
        "uid": job.uid, "bed": job.bed, "kind": job.kind, "plants": list(job.plants), "on": job.on.isoformat(),
        "from": job.first.isoformat(), "to": job.last.isoformat(), "latest": job.latest.isoformat(),
        "slack_days": job.slack_days, "seed_g": dict(job.seed_g), "title": job.title, "text": job.text, "why": job.why,
        "how": job.how, "next": job.next_step, "caution": job.caution, "quantity": job.quantity,
        "last_call": job.last_call, "done": job.done,
    }

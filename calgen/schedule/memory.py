"""What the calendar remembers between builds, so that subscribed phones see an edit as an edit.

In: the new schedule and what the last build wrote. Out: the schedule with uid, revision and stamp on every entry, and
the list of what changed. An entry's stamp (RFC 5545 section 3.8.7.2: without METHOD, when its information last changed)
moves only when its content does, and only forward, also when an edit is undone: a reader that compares stamps would
miss it else.
"""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final
from uuid import UUID, uuid5

from msgspec import Struct
from msgspec.structs import replace

from calgen.schedule.change import Changes, input_changes, job_changes
from calgen.schedule.entry import calendar_days, monday
from calgen.schedule.model import KINDS, Memory, Stamp, Week

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from calgen.schedule.model import Job, Schedule

ROOT: Final = UUID("5b1f9a5e-0c0e-5a43-9a5c-1f1f1e6b2d77")
ALL: Final = "all"
STEP: Final = timedelta(seconds=1)


class Previous(Struct, frozen=True):
    """What the last build left behind in its plan.json; ``jobs`` carry their uids."""

    site: str
    made: date
    inputs: Mapping[str, object]
    jobs: tuple[Job, ...]
    memory: Memory


def plan_id(schedule: Schedule) -> str:
    """The id of a plan built for the first time; later builds keep it, so renaming the site changes no uid."""
    return str(uuid5(ROOT, ascii(f"{schedule.stem}\n{schedule.site}")))


def remembered(
    schedule: Schedule, previous: Previous | None, now: datetime, wording: str = ""
) -> tuple[Schedule, Changes]:
    """The schedule with uids, revisions and stamps, past jobs kept, and what changed since the last build.

    Args:
        schedule: the new plan's schedule; its jobs need only a ``key``.
        previous: what the last build wrote, None for the first.
        now: start of the day of making, with a time zone; two builds on one day still get rising stamps.
        wording: digest of whatever else shapes an entry (``calgen.render.feed_words.fingerprint``).

    Raises:
        ValueError: when two jobs have the same key, or ``now`` has no time zone.
    """
    if now.tzinfo is None:
        raise ValueError("now needs a time zone")
    stamp_time = now.astimezone(UTC).replace(microsecond=0)
    today = stamp_time.date()
    if previous is None:
        stamp_time, today = datetime.combine(schedule.made, time(), UTC), schedule.made
    memory = previous.memory if previous else Memory()
    plan = UUID(memory.plan or plan_id(schedule))

    jobs = [replace(job, uid=str(uuid5(plan, ascii(job.key)))) for job in schedule.jobs]
    here = {job.uid for job in jobs}
    if len(here) < len(jobs):
        keys = [job.key for job in jobs]
        raise ValueError(f"jobs share a key: {sorted({key for key in keys if keys.count(key) > 1})}")
    since = _year_before(schedule.start)
    left = [job for job in previous.jobs if job.uid not in here] if previous else []
    past = [job for job in left if calendar_days(job)[1] < today]
    kept = [replace(job, kept=True) for job in past if job.on >= since]

    book = _Book(memory.stamps, stamp_time, f"{wording}\n{schedule.reminders}\n{schedule.language}")
    stamped = tuple(_with_stamp(job, book) for job in sorted([*kept, *jobs], key=lambda job: job.on))
    weeks = tuple(_week(plan, start, stamped, book) for start in sorted({monday(job.on) for job in stamped}))
    silent = _silent(previous, stamped, today, since)
    for feed, day in silent.items():
        book.stamp(silence_uid(str(plan), feed), f"{feed} silent since {day}")

    changes = Changes(first_build=True)
    if previous:
        changes = replace(
            job_changes([job for job in previous.jobs if not job.kept], jobs, frozenset(job.uid for job in past)),
            inputs=input_changes(previous.inputs, schedule.inputs),
        )
    return replace(
        schedule,
        jobs=stamped,
        memory=Memory(str(plan), book.stamps(_year_before(since)), silent, weeks if schedule.digest else ()),
    ), changes


def silence_uid(plan: str, feed: str) -> str:
    """Uid of the entry which says that a feed has no jobs any more."""
    return str(uuid5(UUID(plan), f"silent:{feed}"))


def last_call_uid(job: Job) -> str:
    """Uid of a job's second reminder: its own, and stable as the job's is."""
    return str(uuid5(UUID(job.uid), "last-call"))


class _Book:
    """The stamps before and after; ``setting`` is what all entries share."""

    def __init__(self, before: Mapping[str, Stamp], now: datetime, setting: str) -> None:
        self.before, self.now, self.setting = before, now, setting
        self.after: dict[str, Stamp] = {}

    def stamp(self, uid: str, content: str) -> Stamp:
        digest = hashlib.sha256(f"{self.setting}\n{content}".encode("utf-8", "surrogatepass")).hexdigest()[:32]
        old = self.before.get(uid)
        if old is None:
            new = Stamp(digest, 0, self.now)
        elif old.content == digest:
            new = old
        else:
            new = Stamp(digest, old.revision + 1, max(self.now, old.changed + STEP))
        self.after[uid] = new
        return new

    def stamps(self, forget_before: date) -> dict[str, Stamp]:
        """Stamps in order of uid: of entries that are here, and of those that left, with nothing for their content."""
        gone = {
            uid: replace(stamp, content="")
            for uid, stamp in self.before.items()
            if uid not in self.after and stamp.changed.date() >= forget_before
        }
        return dict(sorted({**gone, **self.after}.items()))


def _with_stamp(job: Job, book: _Book) -> Job:
    stamp = book.stamp(job.uid, _content(job))
    return replace(job, revision=stamp.revision, changed=stamp.changed)


def _content(job: Job) -> str:
    """Whatever of a job an entry shows, as one line."""
    days = [day.isoformat() for day in (job.on, job.first, job.last, job.latest)]
    words = [job.title, job.text, job.why, job.next_step, job.how, job.caution, job.quantity]
    return json.dumps([job.bed, job.kind, days, words, job.last_call, job.done])


def _week(plan: UUID, start: date, jobs: Sequence[Job], book: _Book) -> Week:
    of_week = sorted((job for job in jobs if monday(job.on) == start), key=lambda job: (job.on, job.bed, job.key))
    lines = [[job.uid, job.title, job.on.isoformat(), job.latest.isoformat(), job.done] for job in of_week]
    uid = str(uuid5(plan, f"week:{start}"))
    stamp = book.stamp(uid, json.dumps(lines))
    return Week(uid, start, tuple(job.uid for job in of_week), stamp.revision, stamp.changed)


def _silent(previous: Previous | None, jobs: Sequence[Job], today: date, since: date) -> dict[str, date]:
    """Feeds that had jobs and have none, with the day they lost the last; ``all`` when the plan has no job at all.

    A subscribed feed that vanishes or comes back empty leaves old reminders standing, or looks like a fault; so it says
    for a year that nothing is left to do.
    """
    present = {job.kind for job in jobs}
    before = dict(previous.memory.silent) if previous else {}
    had = {job.kind for job in previous.jobs} if previous else set()
    silent: dict[str, date] = {
        kind: before.get(kind, today)
        for kind in KINDS
        if kind not in present and (kind in had or before.get(kind, date.min) >= since)
    }
    return silent if jobs else {**silent, ALL: before.get(ALL, today)}


def _year_before(day: date) -> date:
    return day.replace(year=day.year - 1) if (day.month, day.day) != (2, 29) else day.replace(year=day.year - 1, day=28)

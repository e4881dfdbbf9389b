"""What a calendar shows of a job: the days it stands on, its last call, and the week it belongs to."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from calgen.schedule.model import Job

LONGEST: Final = timedelta(days=7)


def calendar_days(job: Job) -> tuple[date, date]:
    """First and last day (both inclusive) of the job's entry.

    What is left of the window when that is a week or less; else the chosen day alone, because a bar of several weeks
    hides everything else in a month view. A job that is done stands on its day.
    """
    if job.done or not job.on < job.last < job.on + LONGEST:
        return job.on, job.on
    return job.on, job.last


def last_call_day(job: Job) -> date | None:
    """The day of a second reminder before frost closes the window; None when the first one is late enough.

    The last day no later than the last safe one that falls on the weekday of the job: a day in the garden.
    """
    if not job.last_call or job.done:
        return None
    day = job.latest - (job.latest - job.on) % LONGEST
    return day if day > calendar_days(job)[1] else None


def monday(day: date) -> date:
    """First day of the week of a day (ISO 8601)."""
    return day - timedelta(days=day.weekday())

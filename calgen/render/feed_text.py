"""Texts of calendar entries: what the grower wrote, made safe for a calendar file, and the lines of a description."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from calgen.render.feed_words import FeedWords, filled

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from calgen.schedule.model import Job, Week

_BREAKS: Final = re.compile("\r\n|[\n\r\v\f\x1c-\x1e\x85\u2028\u2029]")
_CONTROLS: Final = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\ufeff\ufffe\uffff]")
_SURROGATES: Final = re.compile("[\ud800-\udfff]")
_SPACES: Final = re.compile(r"[^\S\n]+")


def cleaned(text: str) -> str:
    """Text without control characters (RFC 5545 section 3.3.11 allows none but the line break), spaces single.

    Every kind of line break becomes a line feed, which the calendar library escapes; halves of surrogate pairs cannot
    be encoded and become the replacement character.
    """
    text = _SURROGATES.sub("\ufffd", _CONTROLS.sub(" ", _BREAKS.sub("\n", text)))
    lines = (_SPACES.sub(" ", line).strip() for line in text.split("\n"))
    return "\n".join(line for line in lines if line)


def one_line(text: str) -> str:
    """``cleaned`` text on a single line."""
    return cleaned(text).replace("\n", " ")


def title(job: Job, words: FeedWords) -> str:
    """An entry's headline: the job's title, verb first, marked when it is done."""
    return one_line(filled(words.done, title=job.title) if job.done else job.title)


def description(job: Job, words: FeedWords) -> str:
    """Plain short lines: what, how much, how, why then, until when, what next, what to take care of, the plan's date.

    That date is the one of the job's last change, not of the build: else every entry would change at every build.
    """
    assert job.changed is not None
    lines = [job.text]
    if job.quantity.casefold() not in job.text.casefold():
        lines.append(filled(words.quantity, quantity=job.quantity))
    lines += [filled(pattern, **{name: text}) for pattern, name, text in (
        (words.how, "how", job.how), (words.why, "why", job.why)) if text]
    if not job.done:
        if job.first < job.last:
            first = words.of_day(job.first, known_year=job.last.year)
            lines.append(filled(words.window, first=first, last=words.of_day(job.last)))
        lines.append(filled(words.last_safe if job.last_call else words.latest, day=words.of_day(job.latest)))
    lines += [filled(pattern, **{name: text}) for pattern, name, text in (
        (words.next_step, "next", job.next_step), (words.caution, "caution", job.caution)) if text]
    return _joined([*lines, filled(words.plan_of, day=words.of_day(job.changed.date()))])


def week_description(week: Week, jobs: Mapping[str, Job], words: FeedWords) -> str:
    """One line for each job of the week, with the last safe day where one is still to be met."""
    lines = []
    for job in (jobs[uid] for uid in week.jobs):
        pattern = words.week_line if job.done else words.week_line_until
        lines.append(one_line(filled(
            pattern, day=words.of_day(job.on, week.start.year), title=title(job, words),
            latest=words.of_day(job.latest, week.start.year))))
    return _joined([*lines, filled(words.plan_of, day=words.of_day(week.changed.date()))])


def _joined(lines: Iterable[str]) -> str:
    return "\n".join(line for line in map(cleaned, lines) if line)

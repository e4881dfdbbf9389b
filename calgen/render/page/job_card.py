"""Jobs as lists: those of the next weeks in the open, all others week by week, folded."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import groupby
from typing import TYPE_CHECKING, Final

from calgen.render.page.mark import mark
from calgen.render.page.markup import Html, capital, filled, joined, name, tag

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.render.day import Days
    from calgen.render.page.words import PageWords
    from calgen.schedule.model import Job, Schedule

SOON: Final = timedelta(days=21)


def next_jobs(schedule: Schedule, days: Days, words: PageWords) -> Html:
    """What is open on the day of making or comes up in the three weeks after it."""
    soon = [job for job in _listed(schedule) if is_next(job, schedule.made)]
    if not soon:
        later = [job for job in _listed(schedule) if job.on > schedule.made and not job.done]
        return tag("p", filled(words.nothing_soon, day=time(later[0].on, days.full(later[0].on)))
                   if later else words.nothing_left)
    overdue = [job for job in soon if job.on < schedule.made]
    parts = [tag("p", filled(words.next_about, made=time(schedule.made, days.full(schedule.made))))]
    if overdue:
        parts += [tag("h3", words.still_open), jobs(overdue, schedule, days, words)]
    for monday, week in _weeks(job for job in soon if job.on >= schedule.made):
        parts += [tag("h3", _week_words(monday, days, words)), jobs(week, schedule, days, words)]
    return joined(*parts)


def other_jobs(schedule: Schedule, days: Days, words: PageWords) -> Html:
    """All jobs that ``next_jobs`` leaves out, a fold a week; what lies behind is one fold."""
    rest = [job for job in _listed(schedule) if not is_next(job, schedule.made)]
    earlier = [job for job in rest if job.on < schedule.made]
    folds = []
    if earlier:
        folds.append(fold(joined(words.earlier, _count(earlier, words)), jobs(earlier, schedule, days, words)))
    for monday, week in _weeks(job for job in rest if job.on >= schedule.made):
        summary = joined(_week_words(monday, days, words), _count(week, words))
        folds.append(fold(summary, jobs(week, schedule, days, words)))
    return joined(*folds) if folds else tag("p", words.nothing_left)


def is_next(job: Job, made: date) -> bool:
    """Whether a job is open on the day of making and due within three weeks."""
    return not job.done and job.on < made + SOON and max(job.on, job.latest) >= made


def fold(summary: str, *inside: Html) -> Html:
    """A part that opens on demand, without a script."""
    return tag("details", tag("summary", summary), *inside)


def time(day: date, text: str) -> Html:
    """A date people read, with the same date for machines."""
    return tag("time", text, datetime=day.isoformat())


def jobs(listed: Iterable[Job], schedule: Schedule, days: Days, words: PageWords) -> Html:
    """Jobs with everything there is to say about them."""
    return tag("ol", (_job(job, schedule, days, words) for job in listed), class_="jobs")


def bed_link(bed: str, schedule: Schedule, words: PageWords) -> Html:
    """A bed's name, leading to its card."""
    number = next((number for number, there in enumerate(schedule.beds, 1) if there.name == bed), None)
    return tag("a", name(bed), href=f"#bed-{number}") if number else name(bed or words.all_beds)


def _job(job: Job, schedule: Schedule, days: Days, words: PageWords) -> Html:
    drawing = tag("svg", mark(job.kind, 8, 8), viewBox="0 0 16 16", width=16, height=16, aria_hidden="true",
                  class_="mark")
    facts = [bed_link(job.bed, schedule, words)]
    if job.quantity:
        facts.append(_fact(words.amount, tag("span", job.quantity, dir="auto")))
    if job.first < job.last:
        facts.append(_fact(words.window, filled(words.window_days, first=time(job.first, days.day(job.first)),
                                                last=time(job.last, days.day(job.last)))))
    latest = time(job.latest, days.weekday(job.latest))
    if job.last_call:
        facts.append(_fact(words.last_safe, joined(latest, f" ({words.frost_closes})")))
    else:
        facts.append(_fact(words.latest, latest))
    texts = [tag("p", text, class_=look, dir="auto") for look, text in (
        (None, job.text), ("caution", filled(words.caution, text=capital(job.caution)) if job.caution else "")) if text]
    more = [tag("p", filled(pattern, text=text), dir="auto") for pattern, text in (
        (words.how, job.how), (words.next_step, job.next_step), (words.why, job.why)) if text]
    return tag("li", tag("p", drawing, time(job.on, days.weekday(job.on)), class_="on"),
               tag("div", tag("p", tag("strong", job.title, dir="auto"),
                              tag("span", words.done, class_="badge") if job.done else None, class_="what"),
                   tag("ul", [tag("li", fact) for fact in facts], class_="facts"), texts,
                   fold(words.more, *more) if more else None),
               class_="gone" if job.done else None)


def _fact(label: str, value: Html) -> Html:
    return joined(tag("span", f"{label}: ", class_="label"), value)


def _listed(schedule: Schedule) -> list[Job]:
    return sorted((job for job in schedule.jobs if not job.kept),
                  key=lambda job: (job.on, job.bed, job.kind, job.key))


def _weeks(listed: Iterable[Job]) -> Iterable[tuple[date, list[Job]]]:
    for monday, week in groupby(listed, lambda job: job.on - timedelta(job.on.weekday())):
        yield monday, list(week)


def _week_words(monday: date, days: Days, words: PageWords) -> Html:
    return filled(words.week, day=time(monday, days.full(monday)))


def _count(listed: list[Job], words: PageWords) -> Html:
    text = words.week_count_one if len(listed) == 1 else filled(words.week_count, count=str(len(listed)))
    return tag("span", text, class_="count")

"""Jobs week by week: a box to tick, the day, the bed, what to do and how, what to bring, and how late is too late."""

from __future__ import annotations

from datetime import timedelta
from itertools import groupby
from typing import TYPE_CHECKING

from msgspec.structs import replace

from calgen.render.pdf.day import day
from calgen.render.pdf.shape import MM
from calgen.render.sheets.flow import GREY, Block, Cell, Column, Row, capital, heading, paragraph, tick_box

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date

    from calgen.render.sheets.flow import Format
    from calgen.render.sheets.words import SheetWords
    from calgen.schedule.model import Job, Schedule

BOX_PT = 10.0
DAY_SHARE = 0.2
"""Most of the measure that the days may take; longer ones are broken."""
CODE_SIDE_MM = 26.0  # of the code for the phone, beside the first heading


def week_blocks(schedule: Schedule, form: Format, words: SheetWords) -> Iterator[Block]:
    """The jobs of the year by week, weeks from Monday to Sunday so that a weekend's jobs stand together."""
    top = heading(form, words.jobs, form.title, level=0, kind="H1", rule=False)
    yield replace(top, height=max(top.height, CODE_SIDE_MM * MM)) if schedule.feed_address else top
    if not schedule.jobs:
        yield paragraph(form, words.no_jobs)
    codes = {bed.name: bed.code for bed in schedule.beds}
    jobs = sorted(schedule.jobs, key=lambda job: (job.on, job.bed, job.key))
    day_width = _day_width(jobs, schedule, form)
    for monday, found in groupby(jobs, key=lambda job: job.on - timedelta(days=job.on.weekday())):
        title = words.week.format(day=day(monday, schedule, "yMMMd"))
        yield heading(form, title, form.head, level=1, before=form.body * 0.6)
        for job in found:
            yield _job_block(job, codes.get(job.bed, ""), day_width, schedule, form, words)


def _day_width(jobs: Iterable[Job], schedule: Schedule, form: Format) -> float:
    """Room for the widest day, which differs with the language. [pt]"""
    days = {day(job.on, schedule, "MMMEd") for job in jobs}
    widest = max((form.typesetter.width(text, form.body, bold=True) for text in days), default=0.0)
    return min(widest + 6, form.measure * DAY_SHARE)


def _job_block(job: Job, code: str, day_width: float, schedule: Schedule, form: Format, words: SheetWords) -> Block:
    ink = GREY if job.done else "#000000"
    right_width = form.measure * 0.19
    day_left = BOX_PT + 8
    text_left = day_left + day_width
    date_column = Column(form, day_left, day_width - 4)
    date_column.add(day(job.on, schedule, "MMMEd"), form.body, bold=True, ink=ink)
    bed_words = (f"{code} {job.bed}" if code and code != job.bed else job.bed) or words.every_bed
    date_column.add(bed_words, form.small, ink=ink)
    text = Column(form, text_left, form.measure - text_left - right_width - 8)
    text.add(job.title, form.body, bold=True, ink=ink)
    for more in (job.text, job.how):
        if more:
            text.add(more, form.small, ink=ink)
    if job.caution:
        cells = Cell(words.caution, 0.0, 0.15, bold=True), Cell(capital(job.caution), 0.15, 0.85)
        text.add_row(Row(cells), form.small)
    right = Column(form, form.measure - right_width, right_width)
    if job.quantity:
        right.add(job.quantity, form.body, bold=True, ink=ink)
    if job.done:
        right.add(words.done, form.small, ink=ink)
    else:
        limit = _limit(job, schedule, words)
        if limit:
            right.add(limit, form.small, bold=job.last_call)
    items = (*tick_box(0.0, -0.5, BOX_PT, done=job.done), *date_column.items, *text.items, *right.items)
    return Block(items, max(-date_column.top, -text.top, -right.top, BOX_PT) + form.body * 0.55)


def _limit(job: Job, schedule: Schedule, words: SheetWords) -> str:
    """Until when the job can still be done; nothing where no later day is known and frost does not press."""
    last: date = max(job.latest, job.last, job.on)
    if last == job.on and not job.last_call:
        return ""
    form = words.last_safe if job.last_call else words.by
    return form.format(day=day(last, schedule))

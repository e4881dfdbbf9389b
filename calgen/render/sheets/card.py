"""A card for each bed: what follows what, why each cover, what to bring, cautions, and room to write.

Two columns in a frame where the card fits on a page; one below the other where it does not.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from calgen.render.pdf.day import day, interval
from calgen.render.pdf.shape import BLACK, MM, Strokes, rectangle
from calgen.render.sheets.flow import GREY, Block, Cell, Column, Row, capital, heading, row_block, ruled_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from calgen.render.sheets.flow import Format
    from calgen.render.sheets.words import SheetWords
    from calgen.schedule.model import Advice, BedSchedule, Schedule, Span

LEFT_SHARE = 0.62
PAD = 8.0
LINE_STEP = 8 * MM
LEAST_LINES = 4


def card_blocks(schedule: Schedule, form: Format, words: SheetWords) -> Iterator[Block]:
    """All cards."""
    if schedule.beds:
        yield heading(form, words.beds, form.title, level=0, kind="H1", rule=False, new_page=True)
    for bed in schedule.beds:
        left = [*_chain_rows(bed, schedule, form, words),
                *(row for advice in bed.advice for row in _reason_rows(advice, words))]
        right = [*_bring_rows(bed, schedule, words), *_caution_rows(bed, words)]
        below = [row for advice in bed.advice for row in _other_rows(advice, words, schedule.language)]
        if bed.years:
            below.append(_told(words.years, " ".join(bed.years)))
        card = _framed(bed, (left, right, below), form, words)
        if card.height <= form.room:
            yield card
        else:
            yield heading(form, _name(bed), form.head, level=1, before=form.body)
            for row in (*left, *below, *right, _title(words.notes)):
                yield row_block(form, row, size=form.small)
            yield ruled_lines(form, LEAST_LINES)


def _framed(bed: BedSchedule, rows_of: tuple[Sequence[Row], Sequence[Row], Sequence[Row]], form: Format,
            words: SheetWords) -> Block:
    """The card as one block: a frame, the name across it, two columns, and what else was weighed below them."""
    inner = form.measure - 2 * PAD
    top = Column(form, PAD, inner, -PAD)
    top.add(_name(bed), form.head, bold=True, role="heading")
    if bed.ground:
        top.add(bed.ground, form.small, ink=GREY)
    top.gap(4)
    first = Column(form, PAD, inner * LEFT_SHARE, top.top)
    second = Column(form, PAD + inner * (LEFT_SHARE + 0.04), inner * (0.96 - LEFT_SHARE), top.top)
    for column, rows in ((first, rows_of[0]), (second, rows_of[1])):
        for row in rows:
            if row.title and column.top < top.top:
                column.gap(form.small * 0.6)
            column.add_row(row, form.small)
    second.gap(form.small * 0.6)
    second.add_row(_title(words.notes), form.small)
    depth = min(first.top, second.top - LEAST_LINES * LINE_STEP)
    lines = []
    y = second.top - LINE_STEP
    while y >= depth - 0.1:
        lines.append((second.x, y, second.x + second.width, y))
        y -= LINE_STEP
    below = Column(form, PAD, inner, depth - form.small * 0.5)
    for row in rows_of[2]:
        below.add_row(row, form.small)
    height = PAD - (below.top if rows_of[2] else depth)
    frame = rectangle(0.0, -height, form.measure, 0.0, stroke=BLACK, width=0.8)
    items = (frame, *top.items, *first.items, *second.items, *below.items, Strokes(tuple(lines), GREY, 0.35))
    return Block(items, height + PAD, title=_name(bed), level=1)


def _name(bed: BedSchedule) -> str:
    return bed.name if bed.name == bed.code else f"{bed.code} · {bed.name}"


def _title(text: str) -> Row:
    return Row((Cell(text),), title=True)


def _chain_rows(bed: BedSchedule, schedule: Schedule, form: Format, words: SheetWords) -> Iterator[Row]:
    yield _title(words.chain)
    for span in sorted(bed.spans, key=lambda span: (span.start, span.lane)):
        if span.to > schedule.start and span.start < schedule.end:
            days = interval(span.start, span.to - timedelta(days=1), schedule)
            name = form.typesetter.drawable(span.label.name, " + ".join(span.plants))
            yield Row((Cell(days, 0.0, 0.32), Cell(name, 0.33, 0.36, bold=span.kind == "cover"),
                       Cell(_kind_words(span, schedule, words), 0.7, 0.3)))


def _kind_words(span: Span, schedule: Schedule, words: SheetWords) -> str:
    said = [getattr(words, span.kind)]
    if span.lane == "under" or span.companion:
        said.append(words.under)
    if span.kind == "cover" and span.killed is not None and (span.killed == "unlikely" or span.killed_from):
        killed_from = day(span.killed_from, schedule) if span.killed_from else ""
        said.append(getattr(words, f"killed_{span.killed}").format(day=killed_from))
    return ", ".join(said)


def _reason_rows(advice: Advice, words: SheetWords) -> Iterator[Row]:
    yield _title(words.why)
    yield Row((Cell(advice.headline, bold=True),))
    for reason in advice.reasons:
        yield Row((Cell("–", 0.0, 0.03), Cell(reason, 0.035, 0.965)))


def _other_rows(advice: Advice, words: SheetWords, language: str) -> Iterator[Row]:
    rejected = together(advice.rejected, nouns_are_capital=language.startswith("de"))
    for title, text in ((words.second, advice.runner_up), (words.rejected, " ".join(rejected)),
                        (words.years, " ".join(advice.years)), (words.uncertain, " ".join(advice.uncertain))):
        if text:
            yield _told(title, text)


def _told(title: str, text: str) -> Row:
    return Row((Cell(title, 0.0, 0.13, bold=True), Cell(text, 0.13, 0.87)))


def together(rejected: Sequence[str], *, nouns_are_capital: bool = False) -> tuple[str, ...]:
    """``Name: reason`` texts with the same reason as one: ``Name, name: reason``; in German ``Name, Name: reason``."""
    by_reason: dict[str, list[str]] = {}
    for text in rejected:
        name, colon, reason = text.partition(": ")
        by_reason.setdefault(reason if colon else "", []).append(name if colon else text)
    found = []
    for reason, names in by_reason.items():
        others = names[1:] if nouns_are_capital else map(_lower, names[1:])
        found.extend(names if not reason else [f"{', '.join([names[0], *others])}: {reason}"])
    return tuple(found)


def _lower(name: str) -> str:
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _bring_rows(bed: BedSchedule, schedule: Schedule, words: SheetWords) -> Iterator[Row]:
    jobs = [job for job in schedule.jobs_of(bed) if job.quantity]
    if jobs:
        yield _title(words.bed_seed)
    for job in jobs:
        what = f"{words.mulch}: {job.quantity}" if job.kind == "mulch" else job.quantity
        yield Row((Cell(day(job.on, schedule), 0.0, 0.26), Cell(what, 0.27, 0.73, bold=True)))


def _caution_rows(bed: BedSchedule, words: SheetWords) -> Iterator[Row]:
    if bed.cautions:
        yield _title(words.cautions)
    for caution in bed.cautions:
        yield Row((Cell(capital(caution), bold=True),))

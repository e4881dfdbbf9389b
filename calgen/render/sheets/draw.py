"""The sheets in order, and their bytes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import astuple, replace

from calgen.render.chart.style import PAPERS_MM
from calgen.render.fonts.found import typesetter
from calgen.render.pdf.day import long_day, with_drawable_dates
from calgen.render.pdf.paint import About, document
from calgen.render.pdf.qr import qr_boxes
from calgen.render.pdf.shape import MM, Link, Squares
from calgen.render.sheets.card import card_blocks
from calgen.render.sheets.flow import Format, heading, pages, paragraph
from calgen.render.sheets.table import seed_blocks, window_blocks
from calgen.render.sheets.week import CODE_SIDE_MM, week_blocks
from calgen.render.sheets.words import drawable_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.render.chart.style import ChartStyle
    from calgen.render.fonts.face import Typesetter
    from calgen.render.pdf.shape import Page
    from calgen.render.sheets.flow import Block
    from calgen.render.sheets.words import SheetWords
    from calgen.schedule.model import Schedule


def drawn_sheets(schedule: Schedule, style: ChartStyle, words: SheetWords) -> bytes:
    """The sheets as a PDF file. See ``calgen.render.sheets.sheets_pdf``."""
    setter = typesetter(style.fonts, system_fonts=style.system_fonts)
    setter.prepare(_texts(schedule))
    about = About(words.title.format(site=schedule.site), words.subject, schedule.language, schedule.made)
    return document(sheet_pages(schedule, style, words, setter), about)


def sheet_pages(schedule: Schedule, style: ChartStyle, words: SheetWords, setter: Typesetter) -> tuple[Page, ...]:
    """The pages of the sheets: jobs by week, findings, bed cards, seed, windows."""
    short, long = PAPERS_MM[style.sheets]
    form = Format(short * MM, long * MM, style.margin_mm * MM, setter)
    schedule = with_drawable_dates(schedule, setter)
    words = drawable_words(words, setter)
    made = words.made.format(day=long_day(schedule.made, schedule))
    blocks = list(_blocks(schedule, form, words))
    if setter.uncovered:
        shown = " ".join(f"U+{ord(character):04X}" for character in sorted(setter.uncovered)[:8])
        blocks.append(paragraph(form, words.font_missing.format(characters=shown), size=form.small))
    found = pages(form, blocks, schedule.site, words.page, made)
    return (_with_code(found[0], schedule.feed_address, form), *found[1:]) if schedule.feed_address else found


def _blocks(schedule: Schedule, form: Format, words: SheetWords) -> Iterator[Block]:
    yield from week_blocks(schedule, form, words)
    if schedule.notes:
        yield heading(form, words.findings, form.title, level=0, kind="H1", rule=False, before=form.body)
        for note in schedule.notes:
            yield paragraph(form, note.text, after=4.0)
    yield from card_blocks(schedule, form, words)
    yield from seed_blocks(schedule, form, words)
    yield from window_blocks(schedule, form, words)


def _with_code(page: Page, address: str, form: Format) -> Page:
    """The code for the phone in the upper right corner, in the room beside the first heading."""
    side = CODE_SIDE_MM * MM
    left, bottom = form.width - form.margin - side, form.height - form.margin - side
    return replace(page, items=(*page.items, Squares(qr_boxes(address, left, bottom, side))),
                   links=(*page.links, Link((left, bottom, left + side, bottom + side), address)))


def _texts(schedule: Schedule) -> list[str]:
    """Every text of the schedule, so that fonts for its scripts are looked for once."""
    found: list[str] = []

    def gather(thing: object) -> None:
        if isinstance(thing, str):
            found.append(thing)
        elif isinstance(thing, tuple):
            for part in thing:
                gather(part)
        elif isinstance(thing, Struct):
            for part in astuple(thing):
                gather(part)

    gather(schedule)
    return found

"""Schedule and style to pages of shapes: pure, nothing read, nothing painted.

Beds go onto as many sheets as keep every text at its size; rows share a sheet's height in proportion to their need.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from calgen.render.chart.axis import Axis
from calgen.render.chart.foot import drawn_foot, key_entries, laid_out, note_texts
from calgen.render.chart.head import backdrop, day_texts, daylight, frost_words, grid, heading, levels, month_texts
from calgen.render.chart.row import (
    Numbers,
    Slot,
    code_size,
    drawn_row,
    least_height,
    mark_radius,
    row_in_words,
    strip_height,
)
from calgen.render.chart.sheet import Paper, Sheet, size_points
from calgen.render.chart.strip import Strip, day_groups, drawn_strip
from calgen.render.chart.words import drawable_words
from calgen.render.fonts.face import ASCENT_EM, CAP_EM
from calgen.render.pdf.day import with_drawable_dates
from calgen.render.pdf.shape import BLACK, MM, Bookmark, Drawing, Part, Strokes, Text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.render.chart.head import Levels
    from calgen.render.chart.style import ChartStyle
    from calgen.render.chart.words import ChartWords
    from calgen.render.fonts.face import Typesetter
    from calgen.render.pdf.shape import Item, Page
    from calgen.schedule.model import BedSchedule, Job, Schedule

MOST_FOOT = 0.26      # share of the sheet's height; what does not fit goes to a page of its own
MOST_ROW_PT = 80.0    # on A3: a taller row reads no better
LABEL_COLUMN_MM = 46.0


class _Room(Struct, frozen=True):
    """Heights of a sheet that are settled before its rows. [points]"""

    at: Levels
    general: float
    below: float  # months and days once more under the rows
    foot: float

    def rows(self, sheet: Sheet) -> float:
        return self.at.rows - self.general - self.below - self.foot - sheet.bottom


def chart_pages(schedule: Schedule, style: ChartStyle, words: ChartWords, typesetter: Typesetter,
                paper: Paper | None = None) -> tuple[Page, ...]:
    """The sheets of a chart, in the order in which they are read; on the style's own paper when none is given."""
    schedule = with_drawable_dates(schedule, typesetter)
    words = drawable_words(words, typesetter)
    sheet = _frame(schedule, style, words, typesetter, paper or Paper(*size_points(style), style.margin_mm * MM))
    room = _room(sheet, schedule.beds, Numbers())
    groups = _groups(sheet, schedule.beds, room)
    pages: list[Page] = []
    rest: list[str] = []
    for number, beds in enumerate(groups, 1):
        page, left_over = _sheet_page(sheet, beds, number, len(groups))
        pages.append(page)
        rest.extend(line for line in left_over if line not in rest)
    while rest:
        page, rest = _notes_page(sheet, rest)
        pages.append(page)
    return tuple(pages)


def _frame(schedule: Schedule, style: ChartStyle, words: ChartWords, typesetter: Typesetter, paper: Paper) -> Sheet:
    width, height, margin = paper.width, paper.height, paper.margin
    column = max(27.0, LABEL_COLUMN_MM * style.scale) * MM
    code = style.sizes.bed_code
    em = max((typesetter.width(typesetter.drawable(bed.code, str(index)), 1, bold=True)
              for index, bed in enumerate(schedule.beds, 1)), default=1.0)
    code_width = max(em * code.least, min(em * code.most, column * 0.42))
    column = max(column, code_width + 5 + 8 * style.sizes.bed_name.least)
    axis = Axis(schedule.start, schedule.end, margin + column, width - margin)
    return Sheet(schedule, style, words, typesetter, width, height, margin, axis, code_width)


def _room(sheet: Sheet, beds: Sequence[BedSchedule], numbers: Numbers) -> _Room:
    at = levels(sheet)
    sizes = sheet.style.sizes
    general = strip_height(sheet) + 2 if _general_jobs(sheet) else 0.0
    below = sizes.day * 1.35 + _foot_month_size(sheet) * 1.3
    if not numbers.kinds:
        for bed in beds:
            for span in bed.spans:
                numbers.kinds[span.does or "other" if span.kind == "cover" else span.kind] = None
    jobs = [*_general_jobs(sheet), *(job for bed in beds for job in sheet.schedule.jobs_of(bed))]
    _, homeless = frost_words(sheet, at)
    foot = laid_out(sheet, key_entries(sheet, beds, jobs, numbers), note_texts(sheet, numbers, homeless),
                    sheet.height * MOST_FOOT)
    return _Room(at, general, below, foot.height)


def _foot_month_size(sheet: Sheet) -> float:
    return max(sheet.style.sizes.day * 1.15, 7.0)


def _general_jobs(sheet: Sheet) -> tuple[Job, ...]:
    """Jobs on the chart that belong to no bed."""
    return tuple(job for job in sheet.schedule.general_jobs if sheet.axis.shows(job.on))


def _groups(sheet: Sheet, beds: Sequence[BedSchedule], room: _Room) -> tuple[tuple[BedSchedule, ...], ...]:
    """Beds by sheet: as few sheets as hold them, filled evenly, in the grower's order."""
    needs = [least_height(sheet, bed, sheet.axis) for bed in beds]
    space = room.rows(sheet)
    count = len(_split(needs, space))
    low, high = sum(needs) / max(count, 1), space
    for _ in range(20):  # the least filling that still needs no more sheets
        middle = (low + high) / 2
        if len(_split(needs, middle)) <= count:
            high = middle
        else:
            low = middle
    groups, start = [], 0
    for length in _split(needs, high):
        groups.append(tuple(beds[start:start + length]))
        start += length
    return tuple(groups) or ((),)


def _split(needs: Sequence[float], space: float) -> list[int]:
    lengths: list[int] = []
    filled = 0.0
    for need in needs:
        if lengths and filled + need <= space:
            lengths[-1] += 1
            filled += need
        else:
            lengths.append(1)
            filled = need
    return lengths


def _sheet_page(sheet: Sheet, beds: Sequence[BedSchedule], number: int, count: int) -> tuple[Page, tuple[str, ...]]:
    """One sheet; laid out twice when labels that found no room make its notes longer."""
    numbers = Numbers()
    room = _room(sheet, beds, numbers)
    _rows(sheet, beds, room, numbers := Numbers())
    again = _room(sheet, beds, numbers)
    needs = sum(least_height(sheet, bed, sheet.axis) for bed in beds)
    spare = max(0.0, room.rows(sheet) - needs)
    room = replace(room, foot=min(again.foot, room.foot + spare))
    rows, parts, bookmarks, end = _rows(sheet, beds, room, numbers := Numbers())
    drawing = Drawing()
    at = room.at
    drawing.parts.append(Part("title", "H1"))
    grid_bottom = end - room.below
    drawing.add(*backdrop(sheet, at, grid_bottom))
    drawing.add(*heading(sheet, at, number, count))
    name = sheet.words.sheet.format(number=number, count=count) if count > 1 else \
        sheet.typesetter.drawable(sheet.schedule.site, sheet.schedule.stem)
    drawing.bookmarks.append(Bookmark(name, 0, sheet.height))
    drawing.bookmarks.extend(bookmarks)
    sizes = sheet.style.sizes
    drawing.add(*month_texts(sheet, at.months - ASCENT_EM * sizes.month * 1.1, sizes.month))
    drawing.add(*day_texts(sheet, at.days - ASCENT_EM * sizes.day * 1.15))
    drawing.add(*daylight(sheet, at))
    frost, homeless = frost_words(sheet, at)
    drawing.add(*frost)
    drawing.add(*_general_strip(sheet, room), *rows)
    drawing.add(*_rules(sheet, room, end))
    drawing.add(*day_texts(sheet, end - ASCENT_EM * sizes.day * 1.15))
    small = _foot_month_size(sheet)
    drawing.add(*month_texts(sheet, end - sizes.day * 1.35 - ASCENT_EM * small * 1.1, small))
    jobs = [*_general_jobs(sheet), *(job for bed in beds for job in sheet.schedule.jobs_of(bed))]
    foot = laid_out(sheet, key_entries(sheet, beds, jobs, numbers), note_texts(sheet, numbers, homeless), room.foot)
    items, links = drawn_foot(sheet, foot, sheet.bottom + foot.height)
    drawing.add(*items)
    drawing.links.extend(links)
    months = tuple(sheet.axis.x(month.start) for month in sheet.axis.months()[1:])
    drawing.edges = months, tuple(bookmark.y for bookmark in bookmarks)
    drawing.add(*_writing_room(sheet, grid_bottom, sheet.bottom + foot.height))
    drawing.parts.extend((Part("axis", "P"), Part("daylight", "P"), Part("frost", "P"), *parts, Part("key", "P"),
                          Part("notes", "P"), Part("qr", "Figure", sheet.words.feed)))
    return drawing.page(sheet.width, sheet.height), foot.rest


def _rows(sheet: Sheet, beds: Sequence[BedSchedule], room: _Room, numbers: Numbers) \
        -> tuple[list[Item], list[Part], list[Bookmark], float]:
    needs = [least_height(sheet, bed, sheet.axis) for bed in beds]
    most = max(MOST_ROW_PT * sheet.style.scale, max(needs, default=0.0))
    factor = room.rows(sheet) / sum(needs) if needs else 1.0
    codes = [sheet.typesetter.width(bed.code, code_size(sheet, min(need * factor, most)), bold=True)
             for bed, need in zip(beds, needs, strict=True)]
    sheet = replace(sheet, code_width=min(sheet.code_width, max(codes, default=0.0)))
    items: list[Item] = []
    parts, bookmarks = [], []
    y = room.at.rows - room.general
    for index, (bed, need) in enumerate(zip(beds, needs, strict=True), 1):
        height = min(need * factor, most)
        jobs = sheet.schedule.jobs_of(bed)
        part = Part(f"bed:{index}", "Figure", row_in_words(bed, jobs, sheet))
        slot = Slot(y - height, y, strip_height(sheet))
        items.extend(drawn_row(bed, jobs, slot, sheet, numbers, part))
        bookmarks.append(Bookmark(bed.name if bed.name == bed.code else f"{bed.code} {bed.name}", 1, y))
        parts.append(part)
        y -= height
        items.append(Strokes(((sheet.left, y, sheet.right, y),), BLACK, sheet.style.widths.row))
    return items, parts, bookmarks, y


def _general_strip(sheet: Sheet, room: _Room) -> tuple[Item, ...]:
    jobs = _general_jobs(sheet)
    if not jobs:
        return ()
    radius = mark_radius(sheet)
    middle = room.at.rows - room.general / 2
    strip = Strip(middle, radius, sheet.axis.left, sheet.axis.right)
    size = sheet.style.sizes.note
    words = sheet.typesetter.line(sheet.words.all_beds)
    label = Text(sheet.left, middle - CAP_EM * size / 2, words, size, "note", part="axis")
    marks, taken = drawn_strip(day_groups(jobs, sheet.axis), strip, sheet.style, sheet.typesetter, "axis")
    return (*grid(sheet, room.at.rows - room.general, room.at.rows, taken), label, *marks)


def _rules(sheet: Sheet, room: _Room, end: float) -> tuple[Strokes, ...]:
    """The frame's rules over the whole width: under the head, under the strip for every bed, and the axis' ends."""
    at, width = room.at, sheet.style.widths
    lines = [(sheet.left, at.rows, sheet.right, at.rows)]
    if room.general:
        lines.append((sheet.left, at.rows - room.general, sheet.right, at.rows - room.general))
    sides = tuple((x, end, x, at.rows) for x in (sheet.axis.left, sheet.axis.right))
    return Strokes(tuple(lines), BLACK, width.row), Strokes(sides, BLACK, width.month)


def _writing_room(sheet: Sheet, top: float, bottom: float) -> tuple[Item, ...]:
    """Ruled lines for the pen where the beds leave room."""
    step = 8 * MM
    size = sheet.style.sizes.note
    if top - bottom < 2.5 * step:
        return ()
    lines = []
    y = top - step
    while y > bottom + step * 0.5:
        lines.append((sheet.left, y, sheet.right, y))
        y -= step
    label = Text(sheet.left, top - step * 0.75, sheet.typesetter.line(sheet.words.notes), size, "note", part="notes")
    return label, Strokes(tuple(lines), "#8C8C8C", sheet.style.widths.week)


def _notes_page(sheet: Sheet, lines: Sequence[str]) -> tuple[Page, list[str]]:
    """A page for notes that found no room on the sheets; their lines are already broken to the column's width."""
    size, setter = sheet.style.sizes.note, sheet.typesetter
    drawing = Drawing()
    drawing.parts.extend((Part("title", "H1"), Part("notes", "P")))
    title = sheet.style.sizes.month
    y = sheet.top - ASCENT_EM * title
    drawing.add(Text(sheet.left, y, setter.line(sheet.words.more_notes, bold=True), title, "note", part="title"))
    drawing.bookmarks.append(Bookmark(sheet.words.more_notes, 0, sheet.height))
    y -= title
    column = laid_out(sheet, (), lines, 0).column_width
    deep = int((y - sheet.bottom) / (size * 1.22))
    count = max(1, int((sheet.right - sheet.left + size * 2) / (column + size * 2)))
    for index, line in enumerate(lines[:deep * count]):
        x = sheet.left + index // deep * (column + size * 2)
        drawing.add(Text(x, y - (index % deep + 1) * size * 1.22, setter.line(line), size, "note", part="notes"))
    return drawing.page(sheet.width, sheet.height), list(lines[deep * count:])

"""The lower part of a sheet: the key in the order met, then notes in columns, and the code for the phone.

    quantity    unit
    heights     points
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from msgspec import Struct

from calgen.render.chart.bar import arrow_width, hatch_strokes
from calgen.render.chart.hatch import hatch
from calgen.render.chart.mark import mark
from calgen.render.chart.row import mark_radius
from calgen.render.chart.strip import DONE_INK, stop_height
from calgen.render.fonts.face import CAP_EM
from calgen.render.fonts.wrap import wrapped
from calgen.render.pdf.day import number
from calgen.render.pdf.qr import qr_boxes
from calgen.render.pdf.shape import BLACK, MM, Area, Link, Squares, Strokes, Text, rectangle
from calgen.schedule.model import KINDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.render.chart.row import Numbers
    from calgen.render.chart.sheet import Sheet
    from calgen.render.pdf.shape import Item
    from calgen.schedule.model import BedSchedule, Job, Span

PT_PER_M = 1000 * MM
LEGIBLE_RAD = 0.003   # character height over distance at which more than 90 % of readers read it (Smith 1979)
ROOM_M = 2.0


class Entry(Struct, frozen=True):
    """One sample of the key and its words. ``what`` is ``fill`` with a kind of bar, a job kind, or a sign."""

    what: str
    words: str


class Foot(Struct, frozen=True):
    """A laid-out foot: entries by line, note lines by column, its height, and note lines that found no room."""

    rows: tuple[tuple[tuple[float, Entry], ...], ...]
    columns: tuple[tuple[str, ...], ...]
    column_width: float
    height: float
    rest: tuple[str, ...]


def key_entries(sheet: Sheet, beds: Sequence[BedSchedule], jobs: Sequence[Job], numbers: Numbers) -> tuple[Entry, ...]:
    """What on this sheet needs explaining, in the order met."""
    words, axis = sheet.words, sheet.axis
    entries = [Entry(f"fill {kind}", getattr(words, kind)) for kind in numbers.kinds]
    spans = [span for bed in beds for span in bed.spans if span.to > axis.start and span.start < axis.end]
    if any(span.lane == "under" for span in spans):
        entries.append(Entry("under", words.under))
    for killed, name in (("likely", words.killed_likely), ("unsure", words.killed_unsure)):
        if any(span.kind == "cover" and span.killed == killed and span.killed_from and axis.shows(span.killed_from)
               and span.killed_from < span.to for span in spans):
            entries.append(Entry(f"killed-{killed}", name))
    if any(span.start < axis.start or span.to > axis.end for span in spans):
        entries.append(Entry("goes-on", words.goes_on))
    shown = [job for job in jobs if axis.shows(job.on)]
    used = {job.kind for job in shown}
    entries.extend(Entry(kind, words.jobs[kind]) for kind in KINDS if kind in used)
    if any(job.last_call and job.latest > job.on and not job.done for job in shown):
        entries.append(Entry("last-call", words.last_call))
    if shown:
        entries.append(Entry("day", words.day_number))
    if any(job.done for job in shown):
        entries.append(Entry("done", words.done))
    if sheet.schedule.last_frosts or sheet.schedule.first_frosts:
        entries.append(Entry("band", words.band_key))
    return tuple(entries)


def note_texts(sheet: Sheet, numbers: Numbers, homeless: Sequence[str]) -> tuple[str, ...]:
    """The notes of a sheet, each a paragraph."""
    words, schedule = sheet.words, sheet.schedule
    found = [*homeless]
    if numbers.labels:
        found.append(words.numbered + ": " + " · ".join(
            f"({number}) {_span_words(sheet, bed, span)}" for number, bed, span in numbers.labels))
    for title, spans in ((words.beyond_start, numbers.before), (words.beyond_end, numbers.after)):
        if spans:
            found.append(f"{title}: " + " · ".join(_span_words(sheet, bed, span) for bed, span in spans))
    if numbers.names:
        found.append(f"{words.full_names}: " + " · ".join(f"{code} {name}" for code, name in numbers.names))
    found.append(distance_words(sheet, numbers))
    found.extend(schedule.climate_words)
    if sheet.typesetter.uncovered:
        found.append(words.font_missing.format(characters=_characters(sheet.typesetter.uncovered)))
    if schedule.feed_address:
        found.append(f"{words.feed}: {schedule.feed_address}")
    return tuple(sheet.typesetter.drawable(text) for text in found)


def _span_words(sheet: Sheet, bed: str, span: Span) -> str:
    name = sheet.typesetter.drawable(span.label.name, " + ".join(span.plants))
    return f"{bed} {name} {sheet.days(span.start, span.to - timedelta(days=1))}"


def _characters(missing: set[str]) -> str:
    shown = " ".join(f"U+{ord(character):04X}" for character in sorted(missing)[:6])
    return f"{shown} …" if len(missing) > 6 else shown


def reading_distance_m(size: float) -> float:
    """How far away text of a size is read by more than 90 % of people. Source: Smith 1979, Human Factors 21(6).

    Args:
        size: font size; its capitals are ``CAP_EM`` of it. [points]
    """
    return size * CAP_EM / PT_PER_M / LEGIBLE_RAD


def distance_words(sheet: Sheet, numbers: Numbers) -> str:
    """From how far the sheet can be read, by its smallest bed code and its smallest name in a bar."""
    code = reading_distance_m(min(numbers.code_sizes, default=sheet.style.sizes.bed_code.least))
    name = reading_distance_m(min(numbers.name_sizes, default=sheet.style.sizes.bar_name.least))
    words = sheet.words.read_from.format(code_distance=_distance(sheet, code), name_distance=_distance(sheet, name))
    return f"{words} {sheet.words.read_larger}" if code < ROOM_M * 0.95 else words


def _distance(sheet: Sheet, metres: float) -> str:
    if sheet.schedule.units == "us":
        return f"{number(int(metres / 0.3048 * 2) / 2, sheet.schedule)} ft"
    return f"{number(int(metres * 10) / 10, sheet.schedule)} m"


def laid_out(sheet: Sheet, entries: Sequence[Entry], notes: Sequence[str], room: float) -> Foot:
    """The foot within a height; note lines beyond it come back as ``rest``."""
    size, setter = sheet.style.sizes.note, sheet.typesetter
    width = sheet.right - sheet.left - (qr_side(sheet) + 8 if sheet.schedule.feed_address else 0)
    rows: list[list[tuple[float, Entry]]] = [[]]
    x = 0.0
    for entry in entries:
        needed = _sample_width(sheet, entry) + 4 + setter.width(entry.words, size)
        if x and x + needed > width:
            rows.append([])
            x = 0.0
        rows[-1].append((x, entry))
        x += needed + size * 1.4
    count = max(1, round(width / (size * 44)))
    gap = size * 2
    column = (width - gap * (count - 1)) / count
    key_height = len(rows) * _row_height(sheet) + size * 0.5
    fitting = max(0, int((room - key_height) / _leading(sheet)))
    columns, rest = _columns([wrapped(text, column, size, setter) for text in notes], count, fitting)
    height = key_height + max(map(len, columns), default=0) * _leading(sheet) + 2
    if sheet.schedule.feed_address:
        height = max(height, qr_side(sheet) + 2)
    return Foot(tuple(tuple(row) for row in rows), columns, column, height, rest)


def _columns(paragraphs: Sequence[tuple[str, ...]], count: int, most: int) \
        -> tuple[tuple[tuple[str, ...], ...], tuple[str, ...]]:
    """Paragraphs in columns as shallow as keeps each in one piece; line by line when that is deeper than ``most``."""
    lines = [line for paragraph in paragraphs for line in paragraph]
    for depth in range(-(-len(lines) // count), most + 1):
        columns: list[list[str]] = [[]]
        for paragraph in paragraphs:
            if columns[-1] and len(columns[-1]) + len(paragraph) > depth:
                columns.append([])
            columns[-1].extend(paragraph)
        if len(columns) <= count and all(len(column) <= depth for column in columns):
            return tuple(tuple(column) for column in columns), ()
    pieces = [tuple(lines[index * most:(index + 1) * most]) for index in range(count)] if most else []
    return tuple(piece for piece in pieces if piece), tuple(lines[most * count:])


def _row_height(sheet: Sheet) -> float:
    return max(sheet.style.sizes.note * 1.55, 2 * mark_radius(sheet) + 2)


def _leading(sheet: Sheet) -> float:
    return sheet.style.sizes.note * 1.22


def qr_side(sheet: Sheet) -> float:
    """Side of the code for the phone, quiet zone included: its squares stay above 0.4 mm. [points]"""
    return 25 * MM * max(0.85, min(1.3, sheet.style.scale))


def _sample_width(sheet: Sheet, entry: Entry) -> float:
    k = max(0.75, sheet.style.scale)
    if entry.what == "day":
        return 2 * mark_radius(sheet) + sheet.typesetter.width("12", sheet.style.sizes.day) + 1
    return 2 * mark_radius(sheet) if entry.what in KINDS or entry.what == "done" else 26 * k


def drawn_foot(sheet: Sheet, foot: Foot, top: float) -> tuple[tuple[Item, ...], tuple[Link, ...]]:
    """The foot's shapes below a height, and the link on the code."""
    size, setter = sheet.style.sizes.note, sheet.typesetter
    items: list[Item] = []
    links: list[Link] = []
    y = top - size * 0.25
    for row in foot.rows:
        middle = y - _row_height(sheet) / 2
        for x, entry in row:
            left = sheet.left + x
            items.extend(_sample(sheet, entry, left, middle))
            text_x = left + _sample_width(sheet, entry) + 4
            items.append(Text(text_x, middle - CAP_EM * size / 2, setter.line(entry.words), size, "key", part="key"))
        y -= _row_height(sheet)
    y -= size * 0.25
    for index, column in enumerate(foot.columns):
        left = sheet.left + index * (foot.column_width + size * 2)
        for deep, line in enumerate(column, 1):
            baseline = y - (deep - 0.15) * _leading(sheet)
            items.append(Text(left, baseline, setter.line(line), size, "note", part="notes"))
    if sheet.schedule.feed_address:
        side = qr_side(sheet)
        left, bottom = sheet.right - side, top - side
        items.append(Squares(qr_boxes(sheet.schedule.feed_address, left, bottom, side), part="qr"))
        links.append(Link((left, bottom, left + side, top), sheet.schedule.feed_address))
    return tuple(items), tuple(links)


def _sample(sheet: Sheet, entry: Entry, left: float, middle: float) -> tuple[Item, ...]:
    style, what = sheet.style, entry.what
    radius = mark_radius(sheet)
    if what in KINDS or what == "done":
        kind, ink = ("sow", DONE_INK) if what == "done" else (what, BLACK)
        return mark(kind, left + radius, middle, radius, ink, "key")  # type: ignore[arg-type]
    if what == "day":
        size = style.sizes.day
        line = sheet.typesetter.line("12")
        return (*mark("sow", left + radius, middle, radius, BLACK, "key"),
                Text(left + 2 * radius + 1, middle - CAP_EM * size / 2, line, size, "day", part="key"))
    right, half = left + _sample_width(sheet, entry), min(radius * 1.15, style.sizes.note * 0.62)
    low, high = middle - half, middle + half
    if what == "last-call":
        x, y = left + radius, middle - radius - style.widths.frost * 0.7
        lines = ((x, y, right, y), (right, y - style.widths.frost / 2, right, y + stop_height(style)))
        return (Strokes(lines, BLACK, style.widths.frost, part="key"), *mark("sow", x, middle, radius, BLACK, "key"))
    if what == "band":
        third = (right - left) / 4
        return (rectangle(left, low, right, high, fill=style.bands.eight_in_ten),
                rectangle(left + third, low, right - third, high, fill=style.bands.middle_half),
                Strokes((((left + right) / 2, low, (left + right) / 2, high),), BLACK, style.widths.frost, (3.0, 2.0)))
    if what == "goes-on":
        reach = arrow_width(style) - 1.2
        tip, wing = right - 0.6, reach * 0.62
        return (Strokes(((left, low, right, low), (left, high, right, high), (left, low, left, high)), BLACK,
                        style.widths.outline),
                Area(((tip, middle), (tip - reach, middle + wing), (tip - reach, middle - wing)), BLACK))
    return _swatch(sheet, what, (left, low, right, high))


def _swatch(sheet: Sheet, what: str, box: tuple[float, float, float, float]) -> tuple[Item, ...]:
    style = sheet.style
    left, low, right, high = box
    killed = what.startswith("killed")
    if what == "under":
        split, start = low + (high - low) * 0.4, left + (right - left) * 0.3
        look = style.fills.grass
        return (rectangle(left, split, right, high, fill=style.fills.crop.ink),
                rectangle(start, low, right, split, fill=look.ink),
                Strokes(hatch(look.hatch, (start, low, right, split), look.pitch), BLACK, style.widths.hatch),
                rectangle(left, split, right, high, stroke=BLACK, width=style.widths.row),
                rectangle(start, low, right, split, stroke=BLACK, width=style.widths.row))
    look = style.fills.legume if killed else getattr(style.fills, what.removeprefix("fill "))
    items: list[Item] = []
    cut = left + (right - left) * 0.4 if killed else right
    items.append(rectangle(left, low, cut, high, fill=look.ink))
    items.extend(hatch_strokes(look, hatch(look.hatch, (left, low, cut, high), look.pitch), style))
    if killed:
        items.append(rectangle(cut, low, right, high, fill=style.fills.dead.ink))
        over, sparser = (style.fills.dead, 0.6) if what == "killed-likely" else (look, 2.0)
        items.extend(hatch_strokes(over, hatch(over.hatch, (cut, low, right, high), over.pitch * sparser), style))
    dash = (3.0, 2.0)
    if killed:
        items.append(Strokes(((left, low, cut, low), (left, high, cut, high), (left, low, left, high)), BLACK,
                             style.widths.outline))
        items.append(Strokes(((cut, low, right, low), (cut, high, right, high), (right, low, right, high),
                              (cut, low, cut, high)), BLACK, style.widths.row, dash))
    else:
        bare = what == "fill bare"
        items.append(rectangle(left, low, right, high, stroke=BLACK, dash=dash if bare else (),
                               width=style.widths.row if bare else style.widths.outline))
    return tuple(items)

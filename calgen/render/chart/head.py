"""The upper part of a sheet: title, months and days, daylight, frost; and what lies under the rows (stripes, lines).

Frost is drawn as two flat steps with words, not as a gradient: half of all years, and 8 years in 10.
"""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct

from calgen.render.fonts.face import ASCENT_EM, CAP_EM
from calgen.render.fonts.wrap import shortened
from calgen.render.pdf import day as days
from calgen.render.pdf.shape import BLACK, Area, Strokes, Text, rectangle

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from calgen.render.chart.sheet import Sheet
    from calgen.render.pdf.shape import Box, Item
    from calgen.schedule.model import Band

GRID_INK = "#8C8C8C"
TEXT_GREY = "#4A4A4A"
MEDIAN_DASH = (5.0, 3.0)
LEAST_MONTH_SHARE = 0.8  # months are set so much smaller, to have their full names, before they are abbreviated
_MONTH_FORMS: Final[tuple[Literal["wide", "abbreviated", "narrow"], ...]] = ("wide", "abbreviated", "narrow")


class Levels(Struct, frozen=True):
    """Heights at which the parts of a sheet begin, from the top. [points]"""

    title: float
    months: float
    days: float
    daylight: float
    frost: float
    rows: float


def levels(sheet: Sheet) -> Levels:
    """Where the head's parts stand; the rows begin below them. [points]"""
    sizes = sheet.style.sizes
    title = sheet.top
    months = title - sizes.title * 1.3
    day_line = months - sizes.month * 1.25
    daylight = day_line - sizes.day * 1.35
    has_light = len(sheet.schedule.daylength_h) > 1
    frost = daylight - (max(24.0, 32 * sheet.style.scale) if has_light else 0)
    has_frost = bool(sheet.schedule.last_frosts or sheet.schedule.first_frosts)
    rows = frost - (sizes.note * 2.5 + 3 if has_frost else 2)
    return Levels(title, months, day_line, daylight, frost, rows)


def backdrop(sheet: Sheet, at: Levels, bottom: float) -> tuple[Item, ...]:
    """Month stripes, frost bands and the lines of the head and of the axis below the rows, under everything else."""
    axis, style = sheet.axis, sheet.style
    items: list[Item] = []
    months = axis.months()
    for index, month in enumerate(months):
        if index % 2:
            items.append(rectangle(axis.x(month.start), bottom, axis.x(month.to), at.months, fill=style.bands.month))
    frosts = (*sheet.schedule.last_frosts, *sheet.schedule.first_frosts)
    for ink, ends in ((style.bands.eight_in_ten, ("p10", "p90")), (style.bands.middle_half, ("p25", "p75"))):
        for band in frosts:
            left, right = axis.x(getattr(band, ends[0])), axis.x(getattr(band, ends[1]))
            if right > left:
                items.append(rectangle(left, bottom, right, at.frost, fill=ink))
    ticks = tuple((axis.x(day), at.daylight, axis.x(day), at.days - style.sizes.day * 1.2) for day in axis.mondays())
    items.append(Strokes(ticks, GRID_INK, style.widths.week))
    edges = [axis.x(month.start) for month in months] + [axis.right]
    items.append(Strokes(tuple((x, at.days, x, at.months) for x in edges), GRID_INK, style.widths.month))
    medians = tuple((axis.x(band.p50), at.rows, axis.x(band.p50), at.frost) for band in frosts if axis.shows(band.p50))
    if medians:
        items.append(Strokes(medians, BLACK, style.widths.frost, MEDIAN_DASH))
    return tuple(items)


def grid(sheet: Sheet, bottom: float, top: float, taken: Sequence[tuple[float, float]] = ()) -> tuple[Item, ...]:
    """Week and month lines and frost medians between two heights, left out where something is written. [points]"""
    axis, style = sheet.axis, sheet.style
    frosts = (*sheet.schedule.last_frosts, *sheet.schedule.first_frosts)
    kinds = (([axis.x(day) for day in axis.mondays()], GRID_INK, style.widths.week, (1.0, 2.0)),
             ([axis.x(month.start) for month in axis.months()], GRID_INK, style.widths.month, ()),
             ([axis.x(band.p50) for band in frosts if axis.shows(band.p50)], BLACK, style.widths.frost, MEDIAN_DASH))
    items: list[Item] = []
    for xs, ink, width, dash in kinds:
        lines = tuple((x, bottom, x, top) for x in xs if not any(low <= x <= high for low, high in taken))
        if lines:
            items.append(Strokes(lines, ink, width, dash))
    return tuple(items)


def heading(sheet: Sheet, at: Levels, number: int, count: int) -> tuple[Item, ...]:
    """The title line: site, months, sheet number, day of making."""
    schedule, words, setter, sizes = sheet.schedule, sheet.words, sheet.typesetter, sheet.style.sizes
    baseline = at.title - ASCENT_EM * sizes.title
    right_words = words.made.format(day=days.long_day(schedule.made, schedule))
    if count > 1:
        right_words = f"{words.sheet.format(number=number, count=count)} · {right_words}"
    made = setter.line(right_words)
    made_x = sheet.right - made.width_em * sizes.note
    period = setter.line(period_words(sheet))
    period_size = max(sizes.note, sizes.title * 0.58)
    room = made_x - sheet.left - period.width_em * period_size - 2.2 * sizes.title
    name = setter.drawable(schedule.site, schedule.stem)
    em = setter.width(name, 1, bold=True)
    size = max(sizes.title * 0.55, min(sizes.title, int(10 * room / em) / 10 if em else sizes.title))
    title = setter.line(shortened(name, room, size, setter, bold=True), bold=True)
    period_x = sheet.left + title.width_em * size + sizes.title * 0.8
    return (Text(sheet.left, baseline, title, size, "title", part="title"),
            Text(period_x, baseline, period, period_size, "period", part="title"),
            Text(made_x, baseline, made, sizes.note, "note", TEXT_GREY, part="title"))


def period_words(sheet: Sheet) -> str:
    """First and last month of the chart: ``September 2026 – August 2027``."""
    schedule = sheet.schedule
    first = days.day(schedule.start, schedule, "yMMMM")
    last = days.day(schedule.end - timedelta(days=1), schedule, "yMMMM")
    return f"{first} – {last}"


def month_texts(sheet: Sheet, baseline: float, size: float) -> tuple[Text, ...]:
    """Names of the months, all in one form, each centred in its column; with the year where one begins, if it fits."""
    axis, setter = sheet.axis, sheet.typesetter
    months = axis.months()
    widths = [axis.x(month.to) - axis.x(month.start) - 3 for month in months]
    for form in _MONTH_FORMS:
        names = [days.month_name(month.start, sheet.schedule, form).rstrip(".") for month in months]
        fits = [width / setter.width(name, size, bold=True) for name, width in zip(names, widths, strict=True)]
        whole = [fit for fit, month in zip(fits, months, strict=True) if month.whole] or fits
        if min(whole) >= LEAST_MONTH_SHARE:
            break
    size = int(100 * size * min(1.0, *whole)) / 100
    found = []
    for index, (month, name, width) in enumerate(zip(months, names, widths, strict=True)):
        year = month.start.year
        dated = (f"{name} {year}", f"{name} ’{year % 100:02}") if index == 0 or month.start.month == 1 else ()
        for text in (*dated, name):
            line = setter.line(text, bold=True)
            if line.width_em * size <= width:
                x = axis.x(month.start) + 1.5 + (width - line.width_em * size) / 2
                found.append(Text(x, baseline, line, size, "month", part="axis"))
                break
    return tuple(found)


def day_texts(sheet: Sheet, baseline: float) -> tuple[Text, ...]:
    """The day of each Monday (or the number of its ISO week), centred on its tick or on its week."""
    axis, setter, size = sheet.axis, sheet.typesetter, sheet.style.sizes.day
    found: list[Text] = []
    for monday in axis.mondays():
        dates = sheet.style.weeks == "dates"
        line = setter.line(str(monday.day if dates else monday.isocalendar().week))
        width = line.width_em * size
        x = axis.x(monday) + (1.2 if dates else (7 * axis.day_width - width) / 2)
        if x + width <= axis.right and (not found or x > found[-1].x + found[-1].width + 1):
            found.append(Text(x, baseline, line, size, "day", TEXT_GREY, part="axis"))
    return tuple(found)


def daylight(sheet: Sheet, at: Levels) -> tuple[Item, ...]:
    """The length of the day through the year as a curve, with the ten-hour line and the stretch below it."""
    lengths = [(day, hours) for day, hours in sheet.schedule.daylength_h if sheet.axis.start <= day <= sheet.axis.end]
    if len(lengths) < 2:
        return ()
    axis, style, setter, words = sheet.axis, sheet.style, sheet.typesetter, sheet.words
    size = style.sizes.note
    bottom, top = at.frost + 2, at.daylight - 2
    low, high = min(hours for _, hours in lengths), max(hours for _, hours in lengths)
    span = max(high - low, 1.0)

    def y(hours: float) -> float:
        return bottom + (0.12 + 0.84 * (hours - low) / span) * (top - bottom)

    curve = [(axis.x(day), y(hours)) for day, hours in lengths]
    curve[0], curve[-1] = (axis.left, curve[0][1]), (axis.right, curve[-1][1])
    items: list[Item] = [Area((*curve, (axis.right, bottom), (axis.left, bottom)), style.bands.daylight)]
    items.append(Strokes(tuple((*a, *b) for a, b in pairwise(curve)), BLACK, style.widths.outline,
                         round_ends=True))
    taken: list[Box] = []
    if low < 10 < high:
        items.append(Strokes(((axis.left, y(10), axis.right, y(10)),), GRID_INK, style.widths.row, (3.0, 2.0)))
    darkest = next(day for day, hours in lengths if hours == low)
    for start, end in _under_ten(sheet):
        said = f"{words.under_ten} {sheet.days(start, end)}"
        if start <= darkest <= end:
            said = f"{said} · {words.shortest.format(hours=_hours(low))}"
        line = setter.line(said)
        width = line.width_em * size
        if width > axis.x(end) - axis.x(start) and not start <= darkest <= end:
            continue  # a stub at the sheet's edge of a stretch that is named at the other one
        x = min(max((axis.x(start) + axis.x(end) - width) / 2, axis.left + 2), axis.right - width - 2)
        text = Text(x, top - ASCENT_EM * size, line, size, "note", part="daylight")
        items.append(text)
        taken.append(text.box)
    for wanted, form in ((high, words.longest), *(((low, words.shortest),) if not taken else ())):
        day = next(day for day, hours in lengths if hours == wanted)
        line = setter.line(form.format(hours=_hours(wanted)))
        width = line.width_em * size
        x = min(max(axis.x(day) - width / 2, axis.left + 2), axis.right - width - 2)
        under = max(bottom, y(10)) if low < 10 < high else bottom
        baseline = under + 2.5 if wanted == high else top - ASCENT_EM * size
        text = Text(x, baseline, line, size, "note", part="daylight")
        if all(text.box[2] < box[0] or text.box[0] > box[2] for box in taken):
            items.append(text)
            taken.append(text.box)
    items.append(_side_label(sheet, words.daylight, (top + bottom) / 2, "daylight"))
    return tuple(items)


def _under_ten(sheet: Sheet) -> list[tuple[date, date]]:
    """Stretches of the year with less than ten hours of daylight that the sheet shows, by the site's ten-hour dates."""
    axis = sheet.axis
    turns = sorted(day for day in sheet.schedule.ten_hour if axis.shows(day))
    if not turns:
        return []
    lengths = sheet.schedule.daylength_h

    def short_before(day: date) -> bool:
        earlier = [hours for other, hours in lengths if other < day]
        return bool(earlier) and earlier[-1] < 10

    marks = [axis.start, *turns] if short_before(turns[0]) else turns
    if len(marks) % 2:
        marks = [*marks, axis.end]
    return [(marks[index], marks[index + 1]) for index in range(0, len(marks), 2)]


def _hours(hours: float) -> str:
    minutes = round(hours * 60)
    return f"{minutes // 60} h {minutes % 60:02}"


def _side_label(sheet: Sheet, words: str, middle: float, part: str) -> Text:
    size = sheet.style.sizes.note
    text = shortened(words, sheet.axis.left - sheet.left - 4, size, sheet.typesetter)
    return Text(sheet.left, middle - CAP_EM * size / 2, sheet.typesetter.line(text), size, "note", part=part)


def frost_words(sheet: Sheet, at: Levels) -> tuple[tuple[Item, ...], tuple[str, ...]]:
    """Two lines of words beside each frost band; those that find no room come back for the notes."""
    words, axis, setter = sheet.words, sheet.axis, sheet.typesetter
    size = sheet.style.sizes.note
    top = at.frost - 2
    frosts = [(band, words.last_frost) for band in sheet.schedule.last_frosts]
    frosts += [(band, words.first_frost) for band in sheet.schedule.first_frosts]
    frosts.sort(key=lambda pair: pair[0].p50)
    frosts = [pair for pair in frosts if axis.x(pair[0].p90) > axis.x(pair[0].p10)]
    blocked = [(axis.x(band.p10), axis.x(band.p90)) for band, _ in frosts]
    items: list[Item] = []
    homeless = []
    for band, name in frosts:
        lines = _band_lines(sheet, band, name)
        width = max(setter.width(line, size, bold=index == 0) for index, line in enumerate(lines))
        gap = 4.0
        for left in (axis.x(band.p90) + gap, axis.x(band.p10) - gap - width):
            ends = left - gap / 2, left + width + gap / 2
            if ends[0] >= axis.left - gap and ends[1] <= axis.right + gap and \
                    all(ends[1] <= low or ends[0] >= high for low, high in blocked):
                blocked.append(ends)
                for index, line in enumerate(lines):
                    baseline = top - ASCENT_EM * size - index * size * 1.18
                    items.append(Text(left, baseline, setter.line(line, bold=index == 0), size, "note", part="frost"))
                break
        else:
            homeless.append(" · ".join(lines))
    if frosts:
        items.append(_side_label(sheet, words.frost, top - size * 1.2, "frost"))
    return tuple(items), tuple(homeless)


def _band_lines(sheet: Sheet, band: Band, name: str) -> tuple[str, str]:
    words = sheet.words
    half = words.middle_half.format(days=sheet.days(band.p25, band.p75))
    eight = words.eight_in_ten.format(days=sheet.days(band.p10, band.p90))
    return f"{name}: {half}", eight

"""One bed: its code and name at the left, a strip of marks, and the bars of what grows there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field

from calgen.render.chart.bar import ground, label_text, outline, placed_label
from calgen.render.chart.head import grid
from calgen.render.chart.label import Names
from calgen.render.chart.lane import joined, lanes, tracks, visible
from calgen.render.chart.strip import Group, Strip, day_groups, drawn_strip, last_calls
from calgen.render.fonts.face import CAP_EM
from calgen.render.fonts.wrap import shortened, wrapped
from calgen.render.pdf.shape import Part, Text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.render.chart.axis import Axis
    from calgen.render.chart.lane import Bar
    from calgen.render.chart.sheet import Sheet
    from calgen.render.pdf.shape import Item
    from calgen.schedule.model import BedSchedule, Job, Label, Span

GROUND_INK = "#4A4A4A"


class Numbers(Struct):
    """Labels that found no room, numbered in the order met, and names that had to be cut."""

    labels: list[tuple[int, str, Span]] = field(default_factory=list)
    names: list[tuple[str, str]] = field(default_factory=list)
    before: list[tuple[str, Span]] = field(default_factory=list)
    after: list[tuple[str, Span]] = field(default_factory=list)
    kinds: dict[str, None] = field(default_factory=dict)
    name_sizes: list[float] = field(default_factory=list)
    code_sizes: list[float] = field(default_factory=list)

    def number_of(self, bed: str, span: Span) -> int:
        """A new number for a bar's label."""
        self.labels.append((len(self.labels) + 1, bed, span))
        return len(self.labels)


class Slot(Struct, frozen=True):
    """Where a row stands. [points]"""

    bottom: float
    top: float
    strip: float  # height of the strip of marks

    @property
    def bars(self) -> tuple[float, float]:
        """Bottom and top of the bars."""
        return self.bottom + (self.top - self.bottom) * 0.05, self.top - self.strip


def strip_height(sheet: Sheet) -> float:
    """Height of the strip of marks. [points]"""
    return 2 * mark_radius(sheet) + strip_room(sheet)


def strip_room(sheet: Sheet) -> float:
    """Height of a strip beyond its marks: a little above, and below for the line to the last safe day. [points]"""
    return 0.8 + 2.6 * sheet.style.widths.frost


def mark_radius(sheet: Sheet) -> float:
    """Half the size of a mark: never so small that hollow and solid look alike. [points]"""
    return max(3.1, 0.495 * sheet.style.sizes.day)


def least_height(sheet: Sheet, bed: BedSchedule, axis: Axis) -> float:
    """The least height of a row in which the bed's code and the names in its bars keep their sizes. [points]"""
    sizes = sheet.style.sizes
    double = len(tracks(visible(joined(bed.spans), axis))) > 1
    bar = (sizes.bar_name.least + 2.4) / (0.6 if double else 1.0)
    return max(1.3 * CAP_EM * sizes.bed_code.least, (strip_height(sheet) + bar) / 0.95)


def code_size(sheet: Sheet, height: float) -> float:
    """Font size of a bed's code in a row of this height. [points]"""
    sizes = sheet.style.sizes.bed_code
    return int(10 * max(sizes.least, min(sizes.most, height * 0.62 / CAP_EM))) / 10


def names_of(label: Label, plants: Sequence[str], sheet: Sheet) -> Names:
    """A label's three names, replaced by plain ids where no font has their characters."""
    plain = " + ".join(plants) or label.code
    setter = sheet.typesetter
    return Names(setter.drawable(label.name, plain), setter.drawable(label.short, plain),
                 setter.drawable(label.code, plain[:3].upper()))


def drawn_row(bed: BedSchedule, jobs: Sequence[Job], slot: Slot, sheet: Sheet, numbers: Numbers, part: Part) \
        -> tuple[Item, ...]:
    """The row of a bed; what found no room is added to ``numbers``."""
    axis, style, setter = sheet.axis, sheet.style, sheet.typesetter
    found = lanes(bed.spans, axis, *slot.bars, strip=style.sizes.bar_code + 2)
    numbers.before.extend((bed.code, span) for span in found.before)
    numbers.after.extend((bed.code, span) for span in found.after)
    texts: list[Item] = []
    under: list[Item] = []
    edges: list[Item] = []
    pointers: list[Group] = []
    for bar in found.bars:
        names = names_of(bar.span.label, bar.span.plants, sheet)
        label = placed_label(bar, names, _quantity(bar, jobs, sheet), style, setter)
        numbers.kinds[bar.span.does or "other" if bar.span.kind == "cover" else bar.span.kind] = None
        plate = label.plate if label else None
        if label:
            texts.extend(label_text(bar, label, style, setter, part.id))
            if bar.span.kind != "bare":
                numbers.name_sizes.append(label.fit.size)
            if label.fit.rung == "code" and names.code != names.full and (names.code, names.full) not in numbers.names:
                numbers.names.append((names.code, names.full))
        elif bar.span.kind != "bare":  # bare soil shows by its dashed edge, which the key explains
            pointer = _pointer(bar, numbers.number_of(bed.code, bar.span), sheet, part)
            if isinstance(pointer, Group):
                pointers.append(pointer)
            else:
                texts.append(pointer)
                width = pointer.width / 2 + 1
                middle = (bar.left + bar.right) / 2
                plate = middle - width, bar.boxes[0][1], middle + width, bar.boxes[0][3]
        under.extend(ground(bar, plate, axis, style))
        edges.extend(outline(bar, plate, axis, style))
    strip = Strip(slot.top - 0.8 - mark_radius(sheet), mark_radius(sheet), axis.left, axis.right)
    marks, taken = drawn_strip([*day_groups(jobs, axis), *pointers], strip, style, setter, part.id)
    foot_of_strip = slot.top - strip_height(sheet)
    return (*grid(sheet, slot.bottom, foot_of_strip), *grid(sheet, foot_of_strip, slot.top, taken),
            *_heading(bed, slot, sheet, numbers, part), *under, *edges, *texts, *last_calls(jobs, axis, strip, style),
            *marks)


def _pointer(bar: Bar, number: int, sheet: Sheet, part: Part) -> Text | Group:
    """The number of a bar that holds no label: in the bar if it is wide enough, else in the strip above it."""
    size = sheet.style.sizes.day
    line = sheet.typesetter.line(f"({number})")
    box = max(bar.boxes, key=lambda box: (box[3] - box[1], box[2] - box[0]))
    middle = (bar.left + bar.right) / 2
    if line.width_em * size + 2.4 <= box[2] - box[0] and size <= box[3] - box[1] and len(bar.boxes) == 1 \
            and not (bar.from_before or bar.goes_on):
        baseline = (box[1] + box[3]) / 2 - CAP_EM * size / 2
        return Text(middle - line.width_em * size / 2, baseline, line, size, "number", part=part.id)
    return Group(middle, (), f"({number})", must=True)


def _quantity(bar: Bar, jobs: Sequence[Job], sheet: Sheet) -> str:
    """The seed quantity of the job that starts this bar."""
    for job in jobs:
        starts = job.kind in ("sow", "undersow", "drill") and abs((job.on - bar.span.start).days) <= 7
        if starts and set(job.plants) == set(bar.span.plants) and sheet.typesetter.covers(job.quantity):
            name = bar.span.label.name
            alone = job.quantity.casefold().startswith(name.casefold() + " ")
            return job.quantity[len(name) + 1:] if alone else job.quantity
    return ""


def _heading(bed: BedSchedule, slot: Slot, sheet: Sheet, numbers: Numbers, part: Part) -> tuple[Item, ...]:
    sizes, setter = sheet.style.sizes, sheet.typesetter
    room = slot.top - slot.bottom
    code = setter.drawable(bed.code, part.id.rpartition(":")[2])
    line = setter.line(code, bold=True)
    size = code_size(sheet, room)
    size = min(size, max(sizes.bed_code.least, sheet.code_width / line.width_em)) if line.width_em else size
    numbers.code_sizes.append(size)
    middle = (slot.top + slot.bottom) / 2
    items: list[Item] = [Text(sheet.left, middle - CAP_EM * size / 2, line, size, "bed-code", part=part.id)]
    left = sheet.left + max(sheet.code_width, line.width_em * size) + 5 * max(0.7, sheet.style.scale)
    width = sheet.axis.left - 4 - left
    items.extend(_name(bed, left, width, slot, sheet, numbers, part))
    return tuple(items)


def _name(bed: BedSchedule, left: float, width: float, slot: Slot, sheet: Sheet, numbers: Numbers, part: Part) \
        -> list[Text]:
    sizes, setter = sheet.style.sizes, sheet.typesetter
    name = setter.drawable(bed.name, bed.code)
    room = slot.top - slot.bottom - 2
    if name == bed.code:  # nothing to add to the code, or no font has the name's characters
        lines: tuple[str, ...] = ()
        size = sizes.bed_name.least
    else:
        lines, size = _name_lines(name, width, room, sheet)
        if lines[-1].endswith("…") and not name.endswith("…"):
            numbers.names.append((bed.code, name))
    rows = [(line, size, "bed-name", "#000000") for line in lines]
    small = max(7.0, sizes.note * 0.86)
    ground_words = setter.drawable(bed.ground) if bed.ground else ""
    count = int((room - len(lines) * size * 1.12) / (small * 1.12))
    if ground_words and count > 0:
        found = wrapped(ground_words, width, small, setter)
        if len(found) > count:
            found = (*found[:count - 1], shortened(" ".join(found[count - 1:]), width, small, setter))
        rows.extend((line, small, "ground", GROUND_INK) for line in found)
    height = sum(row[1] * 1.12 for row in rows)
    y = (slot.top + slot.bottom + height) / 2
    texts = []
    for text, row_size, role, ink in rows:
        y -= row_size * 1.12
        texts.append(Text(left, y + row_size * 0.26, setter.line(text), row_size, role, ink, part=part.id))
    return texts


def _name_lines(name: str, width: float, room: float, sheet: Sheet) -> tuple[tuple[str, ...], float]:
    """The bed's name in one or two lines as large as fits; cut at the least size when nothing else helps."""
    sizes, setter = sheet.style.sizes, sheet.typesetter
    size = sizes.bed_name.most
    while size >= sizes.bed_name.least:
        lines = wrapped(name, width, size, setter)
        whole = all(setter.width(line, size) <= width for line in lines) and " ".join(lines).split() == name.split()
        if whole and len(lines) * size * 1.12 <= room and len(lines) <= 2:
            return lines, size
        size = round(size - 0.5, 1)
    size = sizes.bed_name.least
    lines = wrapped(name, width, size, setter)
    count = max(1, min(2, int(room / (size * 1.12))))
    if len(lines) <= count:
        return lines, size
    return (*lines[:count - 1], shortened(" ".join(lines[count - 1:]), width, size, setter)), size


def row_in_words(bed: BedSchedule, jobs: Sequence[Job], sheet: Sheet) -> str:
    """The row as a sentence, for who hears the chart instead of seeing it."""
    axis = sheet.axis
    spans = "; ".join(f"{span.label.name} {sheet.day(span.start)} – {sheet.day(span.to)}"
                      for span in bed.spans if span.to > axis.start and span.start < axis.end)
    tasks = "; ".join(f"{sheet.day(job.on)} {job.title}" for job in jobs if axis.shows(job.on))
    name = bed.name if bed.name == bed.code else f"{bed.code} {bed.name}"
    return sheet.words.row_words.format(bed=name, spans=spans, jobs=tasks)

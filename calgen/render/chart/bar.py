"""A bar's shapes: fill, hatch, outline, arrowheads where it goes on beyond the sheet, and the place of its label.

Hatch is left out behind the label, over the bar's full height, so that text stands on the plain tint.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from calgen.render.chart.hatch import Segment, hatch
from calgen.render.chart.label import LEADING, Fit, Names, fit
from calgen.render.chart.style import Range
from calgen.render.fonts.face import CAP_EM
from calgen.render.pdf.shape import BLACK, Area, Strokes, Text, rectangle

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from calgen.render.chart.axis import Axis
    from calgen.render.chart.lane import Bar
    from calgen.render.chart.style import ChartStyle, Fill
    from calgen.render.fonts.face import Typesetter
    from calgen.render.pdf.shape import Box, Item

_DASH = (3.0, 2.0)


class BarLabel(Struct, frozen=True):
    """A label with the box it stands in and the box kept free of hatch. ``note`` follows the name, smaller."""

    fit: Fit
    box: Box
    plate: Box
    note: str = ""


def fill_of(bar: Bar, style: ChartStyle) -> Fill:
    """The look of a bar by what it is and, for a cover, by what it does."""
    span = bar.span
    name = (span.does or "other") if span.kind == "cover" else span.kind
    found: Fill = getattr(style.fills, name)
    return found


def is_bold(bar: Bar) -> bool:
    """Covers are written in bold: they are what the chart is for."""
    return bar.span.kind == "cover"


def placed_label(bar: Bar, names: Names, note: str, style: ChartStyle, typesetter: Typesetter) -> BarLabel | None:
    """The best place and form for a bar's label, or None when nothing fits in any of its boxes."""
    pad = _pad(style)
    sizes = style.sizes
    if bar.span.kind == "bare":  # said small, and left to its dashed edge where that does not fit
        names = Names(names.full, names.full, names.full)
        sizes = replace(sizes, bar_name=Range(sizes.bar_code, sizes.bar_name.least))
    best: tuple[tuple[tuple[int, float], float], Fit, Box] | None = None
    common = bar.common
    boxes = [*bar.boxes, *([common] if len(bar.boxes) > 1 and common[3] > common[1] else [])]
    for box in boxes:
        inner = _inner(bar, box, pad, style)
        found = fit(names, inner[2] - inner[0], inner[3] - inner[1], sizes, typesetter, bold=is_bold(bar))
        if found and (best is None or (found.order, inner[0]) < best[0]):
            best = (found.order, inner[0]), found, inner
    if best is None:
        return None
    _, found, inner = best
    width = max(typesetter.width(line, found.size, bold=is_bold(bar)) for line in found.lines)
    note_width = typesetter.width(note, style.sizes.note) + 2 * pad if note else 0.0
    if not note or len(found.lines) > 1 or inner[0] + width + note_width > inner[2]:
        note, note_width = "", 0.0
    plate = (max(bar.left, inner[0] - pad), inner[1], min(bar.right, inner[0] + width + note_width + pad), inner[3])
    return BarLabel(found, inner, plate, note)


def _pad(style: ChartStyle) -> float:
    return max(2.2, 3.4 * style.scale)


def arrow_width(style: ChartStyle) -> float:
    """Room an arrowhead takes at an end that goes on. [points]"""
    return max(4.5, 6.5 * style.scale)


def _inner(bar: Bar, box: Box, pad: float, style: ChartStyle) -> Box:
    left, bottom, right, top = box
    if bar.from_before:
        left = max(left, bar.left + arrow_width(style))
    if bar.goes_on:
        right = min(right, bar.right - arrow_width(style))
    air = max(0.8, 0.07 * (top - bottom))
    return left + pad, bottom + air, right - pad, top - air


def ground(bar: Bar, plate: Box | None, axis: Axis, style: ChartStyle) -> tuple[Item, ...]:
    """Fill and hatch of a bar, spared at the plate; as mulch where frost has killed it, sparser where it may."""
    look = fill_of(bar, style)
    items: list[Item] = []
    for box, dead in _alive_and_dead(bar, axis):
        paper = style.fills.dead.ink if dead else look.ink
        items.append(rectangle(*box, fill=paper))
        gone = dead and bar.span.killed == "likely"
        over = style.fills.dead if gone else look
        lines = _spared(over, box, plate, 2.0 if dead and not gone else 1.0)
        items.extend(hatch_strokes(over, lines, style))
    return tuple(items)


def hatch_strokes(look: Fill, lines: Sequence[Segment], style: ChartStyle) -> tuple[Item, ...]:
    """The lines of a hatch ready to paint; dots are lines of no length with round ends."""
    if not lines:
        return ()
    dots = look.hatch == "dots"
    width = style.widths.hatch * (2.6 if dots else 1.0)
    return (Strokes(tuple(lines), BLACK, round(width, 2), round_ends=dots),)


def _spared(look: Fill, box: Box, plate: Box | None, sparser: float) -> Sequence[Segment]:
    left, bottom, right, top = box
    if plate is None or plate[2] <= left or plate[0] >= right or plate[3] <= bottom or plate[1] >= top:
        return hatch(look.hatch, box, look.pitch * sparser)
    return (*hatch(look.hatch, (left, bottom, plate[0], top), look.pitch * sparser),
            *hatch(look.hatch, (plate[2], bottom, right, top), look.pitch * sparser))


def _alive_and_dead(bar: Bar, axis: Axis) -> list[tuple[Box, bool]]:
    killed_from = killed_day(bar)
    if killed_from is None:
        return [(box, False) for box in bar.boxes]
    at = axis.x(killed_from)
    found = []
    for left, bottom, right, top in bar.boxes:
        if left < at:
            found.append(((left, bottom, min(right, at), top), False))
        if right > at:
            found.append(((max(left, at), bottom, right, top), True))
    return found


def killed_day(bar: Bar) -> date | None:
    """The day from which a cover is probably dead, if frost is likely or may be able to kill it."""
    span = bar.span
    if span.kind != "cover" or span.killed not in ("likely", "unsure") or span.killed_from is None:
        return None
    return span.killed_from if span.killed_from < span.to else None


def outline(bar: Bar, plate: Box | None, axis: Axis, style: ChartStyle) -> tuple[Item, ...]:
    """The edge of a bar: open and with an arrowhead where it goes on, dashed for bare soil and dead plants.

    The line at which frost kills is left out where it would run through the label.
    """
    solid: list[tuple[float, float, float, float]] = []
    dashed: list[tuple[float, float, float, float]] = []
    pieces = _alive_and_dead(bar, axis)
    for index, ((left, bottom, right, top), dead) in enumerate(pieces):
        into = dashed if dead or bar.span.kind == "bare" else solid
        into.extend(((left, bottom, right, bottom), (left, top, right, top)))
        if index:
            (_, low, _, high), was_dead = pieces[index - 1]
            written = plate is not None and plate[0] <= left <= plate[2]
            if dead and not was_dead and not written:
                dashed.append((left, bottom, left, top))
            into.extend((left, a, left, b) for a, b in ((low, bottom), (high, top)) if abs(a - b) > 0.01)
    ends = dashed if bar.span.kind == "bare" else solid
    if not bar.from_before:
        left, bottom, _, top = bar.boxes[0]
        ends.append((left, bottom, left, top))
    if not bar.goes_on:
        _, bottom, right, top = bar.boxes[-1]
        ends.append((right, bottom, right, top))
    items: list[Item] = []
    if dashed:
        items.append(Strokes(tuple(dashed), BLACK, style.widths.row, _DASH))
    if solid:
        items.append(Strokes(tuple(solid), BLACK, style.widths.outline, round_ends=True))
    return (*items, *_arrows(bar, style))


def _arrows(bar: Bar, style: ChartStyle) -> tuple[Item, ...]:
    items: list[Item] = []
    for at_left, wanted in ((True, bar.from_before), (False, bar.goes_on)):
        if not wanted:
            continue
        left, bottom, right, top = bar.boxes[0 if at_left else -1]
        reach = min(arrow_width(style) - 1.2, (top - bottom) * 0.6)
        middle, half = (bottom + top) / 2, reach * 0.62
        tip, base = (left + 0.6, left + 0.6 + reach) if at_left else (right - 0.6, right - 0.6 - reach)
        items.append(Area(((tip, middle), (base, middle + half), (base, middle - half)), BLACK))
    return tuple(items)


def label_text(bar: Bar, label: BarLabel, style: ChartStyle, typesetter: Typesetter, part: str) -> tuple[Text, ...]:
    """The lines of a label, centred in height, beginning at the left of its box."""
    left, bottom, _, top = label.box
    size, lines = label.fit.size, label.fit.lines
    role = "bar-code" if label.fit.rung == "code" else "bar-name"
    block = CAP_EM * size + (len(lines) - 1) * LEADING * size
    baseline = (bottom + top + block) / 2 - CAP_EM * size
    set_lines = [typesetter.line(line, bold=is_bold(bar)) for line in lines]
    texts = [Text(left, baseline - index * LEADING * size, line, size, role, part=part)
             for index, line in enumerate(set_lines)]
    if label.note:
        x = left + texts[0].width + 2 * _pad(style)
        texts.append(Text(x, baseline, typesetter.line(label.note), style.sizes.note, "bar-note", part=part))
    return tuple(texts)

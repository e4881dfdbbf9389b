"""A bed's spans as boxes in its row: one bar a span, stepped where something else grows beside it.

The main track takes the row's full height while it is alone and its upper share while a second crop or a cover grows
under it; what grows under takes the rest, and the full height once the main crop is gone.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from calgen.render.chart.axis import Axis
    from calgen.render.pdf.shape import Box
    from calgen.schedule.model import Span

MAIN_SHARE = 0.64   # leaves a name its size while the strip below still shows its hatch
LEAST_DAYS = 3      # a shorter stub at the edge of the sheet would be an arrow and nothing else


class Bar(Struct, frozen=True):
    """A span's boxes from left to right, and whether it goes on beyond the sheet."""

    span: Span
    boxes: tuple[Box, ...]
    from_before: bool
    goes_on: bool

    @property
    def left(self) -> float:
        """Left end. [points]"""
        return self.boxes[0][0]

    @property
    def right(self) -> float:
        """Right end. [points]"""
        return self.boxes[-1][2]

    @property
    def common(self) -> Box:
        """The box that runs through the whole length of the bar; it may have no height."""
        return self.left, max(box[1] for box in self.boxes), self.right, min(box[3] for box in self.boxes)


class Lanes(Struct, frozen=True):
    """The bars of a bed, and the spans too short at an edge of the sheet to draw."""

    bars: tuple[Bar, ...]
    before: tuple[Span, ...]
    after: tuple[Span, ...]


def tracks(spans: Sequence[Span]) -> tuple[tuple[Span, ...], ...]:
    """Spans sorted into tracks without overlap: the main one first, then those beside and under it."""
    main: list[Span] = []
    beside: list[Span] = []
    for span in sorted(spans, key=lambda span: (span.start, span.lane != "main", span.to, span.plants)):
        if span.lane == "main" and (not main or main[-1].to <= span.start):
            main.append(span)
        else:
            beside.append(span)
    rest: list[list[Span]] = []
    for span in beside:
        track = next((track for track in rest if track[-1].to <= span.start), None)
        if track is None:
            rest.append([span])
        else:
            track.append(span)
    return tuple(tuple(track) for track in (main, *rest))


def visible(spans: Sequence[Span], axis: Axis) -> tuple[Span, ...]:
    """The spans of which enough is on the sheet to draw."""
    return tuple(span for span in spans if _is_drawn(span, axis))


def _is_drawn(span: Span, axis: Axis) -> bool:
    days = (min(span.to, axis.end) - max(span.start, axis.start)).days
    inside = axis.start <= span.start and span.to <= axis.end
    return days >= LEAST_DAYS or (inside and days > 0)


def joined(spans: Sequence[Span]) -> tuple[Span, ...]:
    """Spans in which a cover that grew under a crop and then has the bed to itself is one."""
    rest = sorted(spans, key=lambda span: (span.start, span.lane != "main"))
    for under in [span for span in rest if span.lane == "under"]:
        after = next((span for span in rest if span.lane == "main" and span.start == under.to and span.plants
                      and span.kind == under.kind and span.plants == under.plants), None)
        if after is not None:
            rest[rest.index(under)] = replace(after, start=under.start, lane="under")
            rest.remove(after)
    return tuple(rest)


def lanes(spans: Sequence[Span], axis: Axis, bottom: float, top: float, strip: float = 0.0) -> Lanes:
    """The bars of a bed between two heights.

    Args:
        spans: what is in the bed.
        axis: places of days.
        bottom, top: of the bars. [points]
        strip: height wanted for what grows under a crop, given up to half the row. [points]
    """
    spans = joined(spans)
    drawn = visible(spans, axis)
    touching = [span for span in spans if span not in drawn and span.start < axis.end and span.to > axis.start]
    found = tracks(drawn)
    count = len(found) - 1
    height = top - bottom
    split = bottom + (max(height * (1 - MAIN_SHARE), min(strip, height / 2)) if count else 0.0)
    bars = []
    for number, track in enumerate(found):
        for span in track:
            days = _changes(span, found, axis)
            steps = [(start, end, _heights(start, number, found, (bottom, split, top))) for start, end in
                     pairwise(days)]
            bars.append(Bar(span, _boxes(steps, axis), span.start < axis.start, span.to > axis.end))
    return Lanes(tuple(sorted(bars, key=lambda bar: (bar.left, -bar.common[3]))),
                 tuple(span for span in touching if span.start < axis.start),
                 tuple(span for span in touching if span.start >= axis.start))


def _changes(span: Span, found: Sequence[Sequence[Span]], axis: Axis) -> list[date]:
    """Days within the span at which any other span begins or ends, and its own two ends."""
    start, end = max(span.start, axis.start), min(span.to, axis.end)
    days = {start, end}
    for track in found:
        days.update(day for other in track for day in (other.start, other.to) if start < day < end)
    return sorted(days)


def _heights(day: date, number: int, found: Sequence[Sequence[Span]], levels: tuple[float, float, float]) \
        -> tuple[float, float]:
    bottom, split, top = levels
    there = [index for index, track in enumerate(found) if any(span.start <= day < span.to for span in track)]
    if there == [number]:
        return bottom, top
    if number == 0:
        return split, top
    if 0 not in there:
        split = top
    others = [index for index in there if index]
    share = (split - bottom) / len(others)
    position = others.index(number)
    return split - (position + 1) * share, split - position * share


def _boxes(steps: Sequence[tuple[date, date, tuple[float, float]]], axis: Axis) -> tuple[Box, ...]:
    boxes: list[Box] = []
    for start, end, (low, high) in steps:
        if boxes and boxes[-1][1] == low and boxes[-1][3] == high:
            boxes[-1] = (boxes[-1][0], low, axis.x(end), high)
        else:
            boxes.append((axis.x(start), low, axis.x(end), high))
    return tuple(boxes)

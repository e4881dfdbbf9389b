"""A bed's spans as bars: the main crop takes the bar's full height while alone, and its upper part beside others.

    quantity                           unit
    left, right, top, bottom, height   units of the drawing, y downwards
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from calgen.render.page.axis import Axis
    from calgen.schedule.model import Span

ALONE: Final = 32.0
MAIN: Final = 28.0
BESIDE: Final = 21.0
OVER_THE_EDGE: Final = 6.0  # the outline of a bar that goes on lies outside the drawing


class Box(Struct, frozen=True):
    """An upright rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top


class Bar(Struct, frozen=True):
    """A span as boxes from left to right, each touching the next."""

    span: Span
    boxes: tuple[Box, ...]
    before: bool
    beyond: bool

    def boxes_until(self, x: float) -> tuple[Box, ...]:
        """The boxes up to an x."""
        cut = (Box(box.left, box.top, min(box.right, x), box.bottom) for box in self.boxes)
        return tuple(box for box in cut if box.width > 0)

    def outline(self, start: float = 0.0, end: float = 1e6) -> str:
        """The path around the boxes between two x."""
        boxes = [Box(max(box.left, start), box.top, min(box.right, end), box.bottom) for box in self.boxes]
        boxes = [box for box in boxes if box.width > 0]
        if not boxes:
            return ""
        edges = [OVER_THE_EDGE if self.before and boxes[0] == self.boxes[0] else 0,
                 OVER_THE_EDGE if self.beyond and boxes[-1] == self.boxes[-1] else 0]
        boxes[0] = Box(boxes[0].left - edges[0], boxes[0].top, boxes[0].right, boxes[0].bottom)
        boxes[-1] = Box(boxes[-1].left, boxes[-1].top, boxes[-1].right + edges[1], boxes[-1].bottom)
        above = [point for box in boxes for point in ((box.left, box.top), (box.right, box.top))]
        below = [point for box in reversed(boxes) for point in ((box.right, box.bottom), (box.left, box.bottom))]
        return "M" + "L".join(f"{round(x, 1):g} {round(y, 1):g}" for x, y in (*above, *below)) + "Z"


def tracks(spans: Iterable[Span]) -> tuple[tuple[Span, ...], ...]:
    """Spans sorted into tracks without overlap: the main one first, then those that grow under or beside it."""
    found: list[list[Span]] = [[]]
    for span in sorted(spans, key=lambda span: (span.start, span.lane != "main", span.to, span.plants)):
        open_tracks = found if span.lane == "main" else found[1:]
        track = next((track for track in open_tracks if not track or track[-1].to <= span.start), None)
        if track is None:
            found.append([span])
        else:
            track.append(span)
    return tuple(tuple(track) for track in found)


def bars(spans: Iterable[Span], axis: Axis, top: float) -> tuple[tuple[Bar, ...], float]:
    """The bars of a bed below ``top``, in time order, and the height they take together."""
    inside = [span for span in spans if span.start < axis.end and span.to > axis.start]
    rows = [track for track in tracks(inside) if track]
    height = ALONE if len(rows) <= 1 else MAIN + BESIDE * (len(rows) - 1)
    made = [Bar(span, _boxes(number, span, rows, axis, top, height), span.start < axis.start, span.to > axis.end)
            for number, track in enumerate(rows) for span in track]
    return tuple(sorted(made, key=lambda bar: (bar.span.start, bar.boxes[0].top))), height


def _boxes(number: int, span: Span, rows: Sequence[Sequence[Span]], axis: Axis, top: float,
           height: float) -> tuple[Box, ...]:
    if len(rows) == 1:
        return (Box(axis.x(span.start), top, axis.x(span.to), top + height),)
    start, end = max(span.start, axis.start), min(span.to, axis.end)
    days = {start, end}
    for other in (other for track in rows for other in track):
        days.update(day for day in (other.start, other.to) if start < day < end)
    boxes: list[Box] = []
    ordered = sorted(days)
    for first, last in pairwise(ordered):
        upper, lower = _place(number, first, rows, height)
        box = Box(axis.x(first), top + upper, axis.x(last), top + lower)
        if boxes and (boxes[-1].top, boxes[-1].bottom) == (box.top, box.bottom):
            box = Box(boxes.pop().left, box.top, box.right, box.bottom)
        boxes.append(box)
    return tuple(boxes)


def _place(number: int, day: date, rows: Sequence[Sequence[Span]], height: float) -> tuple[float, float]:
    """Upper and lower end of what is in a track on a day, from the top of the bars."""
    there = [index for index, track in enumerate(rows) if any(span.start <= day < span.to for span in track)]
    if there == [number]:
        return 0.0, height
    main = MAIN if there[0] == 0 else 0.0
    if number == 0:
        return 0.0, main
    others = [index for index in there if index]
    share = (height - main) / len(others)
    return main + others.index(number) * share, main + (others.index(number) + 1) * share

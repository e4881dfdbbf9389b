"""Shapes on a page, in paint order: what layout computes and the painter paints.

    quantity          unit
    x, y, w, h, size  points (1/72 inch), y upwards from the lower left corner of the page
    ink               "#rrggbb"
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field
from msgspec.structs import replace

from calgen.render.fonts.face import ASCENT_EM, CAP_EM, DESCENT_EM

if TYPE_CHECKING:
    from calgen.render.fonts.face import Line

MM = 72 / 25.4
BLACK = "#000000"
Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, bottom, right, top


class Area(Struct, frozen=True):
    """A closed outline, filled or stroked or both. ``part`` names the structure element it belongs to."""

    points: tuple[Point, ...]
    fill: str | None = None
    stroke: str | None = None
    width: float = 0.0
    dash: tuple[float, ...] = ()
    part: str = ""

    @property
    def box(self) -> Box:
        """The smallest box around the outline."""
        xs = [point[0] for point in self.points]
        ys = [point[1] for point in self.points]
        return min(xs), min(ys), max(xs), max(ys)


class Circle(Struct, frozen=True):
    """A circle, filled or stroked or both."""

    x: float
    y: float
    radius: float
    fill: str | None = None
    stroke: str | None = None
    width: float = 0.0
    part: str = ""


class Strokes(Struct, frozen=True):
    """Straight lines of one kind, each (x1, y1, x2, y2). Round ends turn lines of no length into dots."""

    lines: tuple[tuple[float, float, float, float], ...]
    ink: str = BLACK
    width: float = 0.5
    dash: tuple[float, ...] = ()
    round_ends: bool = False
    part: str = ""


class Squares(Struct, frozen=True):
    """Many filled boxes of one ink painted as one path."""

    boxes: tuple[Box, ...]
    ink: str = BLACK
    part: str = ""


class Text(Struct, frozen=True):
    """A line of text with its left end and baseline. ``role`` tells what it is for, and so how small it may be."""

    x: float
    y: float
    line: Line
    size: float
    role: str
    ink: str = BLACK
    part: str = ""

    @property
    def width(self) -> float:
        """Advance width. [points]"""
        return self.line.width_em * self.size

    @property
    def box(self) -> Box:
        """From descender to ascender."""
        return (self.x, self.y - DESCENT_EM * self.size, self.x + self.width, self.y + ASCENT_EM * self.size)

    @property
    def cap_box(self) -> Box:
        """From baseline to cap height: where ink is, whatever the word."""
        return self.x, self.y, self.x + self.width, self.y + CAP_EM * self.size


Item = Area | Circle | Strokes | Squares | Text


class Part(Struct, frozen=True):
    """A structure element of the document: a heading, a paragraph, or a figure with alternative text."""

    id: str
    kind: Literal["H1", "H2", "P", "Figure"]
    alternative: str = ""


class Bookmark(Struct, frozen=True):
    """An entry of the document's outline; ``level`` counts from zero, ``y`` is where the view begins. [points]"""

    title: str
    level: int
    y: float


class Link(Struct, frozen=True):
    """A box that opens an address."""

    box: Box
    address: str


class Page(Struct, frozen=True):
    """A page ready to paint. ``window`` shows a piece of a larger page under the items.

    ``edges`` are the places, from the left and from the bottom, at which the page is best cut. [points]
    """

    width: float
    height: float
    items: tuple[Item, ...]
    parts: tuple[Part, ...] = ()
    bookmarks: tuple[Bookmark, ...] = ()
    links: tuple[Link, ...] = ()
    window: Window | None = None
    edges: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())


class Window(Struct, frozen=True):
    """A piece of a large page, moved by (dx, dy) and clipped to ``box`` on the small page it is shown on. [points]"""

    page: Page
    dx: float
    dy: float
    box: Box


class Drawing(Struct):
    """Collects the items of a page while it is laid out."""

    items: list[Item] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    bookmarks: list[Bookmark] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    edges: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())

    def add(self, *items: Item) -> None:
        """Paint these next."""
        self.items.extend(items)

    def page(self, width: float, height: float) -> Page:
        """The finished page. [points]"""
        return Page(width, height, tuple(self.items), tuple(self.parts), tuple(self.bookmarks), tuple(self.links),
                    edges=self.edges)


def rectangle(left: float, bottom: float, right: float, top: float, *, fill: str | None = None,
              stroke: str | None = None, width: float = 0.0, dash: tuple[float, ...] = (), part: str = "") -> Area:
    """A box as an area."""
    return Area(((left, bottom), (right, bottom), (right, top), (left, top)), fill, stroke, width, dash, part)


def moved(item: Item, dx: float, dy: float) -> Item:
    """The item shifted by (dx, dy). [points]"""
    if isinstance(item, Area):
        return replace(item, points=tuple((x + dx, y + dy) for x, y in item.points))
    if isinstance(item, Strokes):
        return replace(item, lines=tuple((a + dx, b + dy, c + dx, d + dy) for a, b, c, d in item.lines))
    if isinstance(item, Squares):
        return replace(item, boxes=tuple((a + dx, b + dy, c + dx, d + dy) for a, b, c, d in item.boxes))
    return replace(item, x=item.x + dx, y=item.y + dy)

"""The marks of jobs as shapes of the wall chart."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render import mark as marks
from calgen.render.pdf.shape import Area, Circle, Strokes

if TYPE_CHECKING:
    from calgen.render.pdf.shape import Item
    from calgen.schedule.model import Kind

_WHITE = "#FFFFFF"
_LINE, _BAR = 0.24, 0.42
"""Widths of outlines and of the cross, in shares of the radius."""


def mark(kind: Kind, x: float, y: float, radius: float, ink: str, part: str = "") -> tuple[Item, ...]:
    """The shapes of a job's mark around a point. [points]"""
    line = radius * _LINE
    found: list[Item] = []
    for shape in marks.mark(kind):
        if isinstance(shape, marks.Disc):
            found.append(Circle(x, y, radius * shape.radius, ink if shape.solid else _WHITE, ink, line, part))
        elif isinstance(shape, marks.Outline):
            corners = tuple((x + radius * right, y + radius * up) for right, up in shape.corners)
            found.append(Area(corners, ink if shape.solid else _WHITE, ink, line, part=part))
        else:
            ends = tuple((x + radius * a, y + radius * b, x + radius * c, y + radius * d)
                         for (a, b), (c, d) in shape.ends)
            found.append(Strokes(ends, ink, radius * _BAR, part=part))
    return tuple(found)

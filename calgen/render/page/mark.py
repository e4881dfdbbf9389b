"""The marks of jobs as shapes of the page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.render import mark as marks
from calgen.render.page.markup import Html, joined, tag

if TYPE_CHECKING:
    from calgen.schedule.model import Kind

RADIUS: Final = 5.5


def mark(kind: Kind, x: float, y: float) -> Html:
    """The shapes of a kind of job around a point."""
    return joined(*(_drawn(shape, x, y) for shape in marks.mark(kind)))


def _drawn(shape: marks.Outline | marks.Disc | marks.Bars, x: float, y: float) -> Html:
    def at(corner: tuple[float, float]) -> str:
        return f"{round(x + RADIUS * corner[0], 1):g} {round(y - RADIUS * corner[1], 1):g}"

    if isinstance(shape, marks.Disc):
        return tag("circle", cx=x, cy=y, r=RADIUS * shape.radius, class_=_class(shape.solid))
    if isinstance(shape, marks.Outline):
        first, *others = shape.corners
        path = f"M{at(first)}{''.join(f'L{at(corner)}' for corner in others)}Z"
        return tag("path", d=path, class_=_class(shape.solid))
    return tag("path", d="".join(f"M{at(start)}L{at(end)}" for start, end in shape.ends), class_="m cross")


def _class(solid: bool) -> str:
    return "m full" if solid else "m"

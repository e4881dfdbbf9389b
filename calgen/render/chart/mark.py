"""Marks for jobs. The shape tells the kind of work, the filling tells how far along:

    triangle down    sowing       solid: in the open; half: between rows; hollow: under a crop
    triangle up      planting     hollow: sown indoors; half: hardened off; solid: planted
    circle           care         hollow: look; solid: fill bare patches
    cross            cutting down
    square           ground       hollow: clear; solid: mulch
    diamond          seed         hollow: order; solid: gather
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render.pdf.shape import Area, Circle, Strokes, rectangle

if TYPE_CHECKING:
    from calgen.render.pdf.shape import Item
    from calgen.schedule.model import Kind

_WHITE = "#FFFFFF"


def mark(kind: Kind, x: float, y: float, radius: float, ink: str, part: str = "") -> tuple[Item, ...]:
    """The shapes of a job's mark around a point. [points]"""
    line = radius * 0.24
    if kind in ("sow", "undersow", "drill"):
        return _triangle(x, y, radius, -1, {"sow": 1.0, "drill": 0.5, "undersow": 0.0}[kind], ink, line, part)
    if kind in ("plant", "harden-off", "sow-indoors"):
        return _triangle(x, y, radius, 1, {"plant": 1.0, "harden-off": 0.5, "sow-indoors": 0.0}[kind], ink, line, part)
    if kind in ("look", "top-up"):
        return (Circle(x, y, radius * 0.78, ink if kind == "top-up" else _WHITE, ink, line, part),)
    if kind in ("clear", "mulch"):
        half = radius * 0.74
        return (rectangle(x - half, y - half, x + half, y + half, fill=ink if kind == "mulch" else _WHITE, stroke=ink,
                          width=line, part=part),)
    if kind in ("order-seed", "gather-seed"):
        reach = radius * 0.98
        points = ((x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y))
        return (Area(points, ink if kind == "gather-seed" else _WHITE, ink, line, part=part),)
    reach = radius * 0.8
    return (Strokes(((x - reach, y - reach, x + reach, y + reach), (x - reach, y + reach, x + reach, y - reach)),
                    ink, radius * 0.42, part=part),)


def _triangle(x: float, y: float, radius: float, up: int, filled: float, ink: str, line: float,
              part: str) -> tuple[Item, ...]:
    base, tip = y - up * radius * 0.75, y + up * radius * 0.85
    outline = ((x - radius, base), (x + radius, base), (x, tip))
    whole = Area(outline, ink if filled == 1 else _WHITE, ink, line, part=part)
    if filled != 0.5:
        return (whole,)
    return whole, Area(((x - radius, base), (x, base), (x, tip)), ink, ink, line, part=part)

"""Marks for jobs, in the shapes of the wall chart. The shape tells the kind of work, the filling how far along.

    triangle down    sowing       solid: in the open; half: between rows; hollow: under a crop
    triangle up      planting     hollow: sown indoors; half: hardened off; solid: planted
    circle           care         hollow: look; solid: fill bare patches
    cross            cutting down
    square           ground       hollow: clear; solid: mulch
    diamond          seed         hollow: order; solid: gather
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.render.page.markup import Html, joined, tag

if TYPE_CHECKING:
    from calgen.schedule.model import Kind

RADIUS: Final = 5.5
_DOWN: Final = ("sow", "drill", "undersow")
_UP: Final = ("plant", "harden-off", "sow-indoors")


def mark(kind: Kind, x: float, y: float) -> Html:
    """The shape of a kind of job around a point."""
    reach = RADIUS
    if kind in _DOWN or kind in _UP:
        up = -1 if kind in _DOWN else 1
        left, right, base, tip = x - reach, x + reach, y + up * reach * 0.75, y - up * reach * 0.85
        whole = _path(f"M{_at(left, base)}L{_at(right, base)}L{_at(x, tip)}Z", solid=kind in ("sow", "plant"))
        half = _path(f"M{_at(left, base)}L{_at(x, base)}L{_at(x, tip)}Z", solid=True)
        return joined(whole, half if kind in ("drill", "harden-off") else None)
    if kind in ("look", "top-up"):
        return tag("circle", cx=x, cy=y, r=reach * 0.8, class_=_class(kind == "top-up"))
    if kind in ("clear", "mulch"):
        side = reach * 1.5
        return tag("rect", x=x - side / 2, y=y - side / 2, width=side, height=side, class_=_class(kind == "mulch"))
    if kind in ("order-seed", "gather-seed"):
        return _path(f"M{_at(x, y - reach)}L{_at(x + reach, y)}L{_at(x, y + reach)}L{_at(x - reach, y)}Z",
                     solid=kind == "gather-seed")
    arm = reach * 0.8
    falling = f"M{_at(x - arm, y - arm)}L{_at(x + arm, y + arm)}"
    rising = f"M{_at(x - arm, y + arm)}L{_at(x + arm, y - arm)}"
    return tag("path", d=falling + rising, class_="m cross")


def _path(d: str, *, solid: bool) -> Html:
    return tag("path", d=d, class_=_class(solid))


def _class(solid: bool) -> str:
    return "m full" if solid else "m"


def _at(x: float, y: float) -> str:
    return f"{round(x, 1):g} {round(y, 1):g}"

"""Marks for jobs, on chart and page alike. The shape tells the kind of work, the filling how far along:

    triangle down    sowing       solid: in the open; half: between rows; hollow: under a crop
    triangle up      planting     hollow: sown indoors; half: hardened off; solid: planted
    circle           care         hollow: look; solid: fill bare patches
    cross            cutting down
    square           ground       hollow: clear; solid: mulch
    diamond          seed         hollow: order; solid: gather

Lengths are shares of the mark's radius, upwards and to the right of its middle.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct

if TYPE_CHECKING:
    from calgen.schedule.model import Kind

    Corner = tuple[float, float]


class Outline(Struct, frozen=True):
    """Straight edges around an area, filled with ink or left white."""

    corners: tuple[Corner, ...]
    solid: bool


class Disc(Struct, frozen=True):
    """A circle around the middle, filled with ink or left white."""

    radius: float
    solid: bool


class Bars(Struct, frozen=True):
    """Thick lines from end to end."""

    ends: tuple[tuple[Corner, Corner], ...]


_FILLED: Final = {"sow": 1.0, "drill": 0.5, "undersow": 0.0, "plant": 1.0, "harden-off": 0.5, "sow-indoors": 0.0}
_SOWING: Final = ("sow", "drill", "undersow")
_ARM: Final = 0.8


def mark(kind: Kind) -> tuple[Outline | Disc | Bars, ...]:
    """The shapes of a kind of job, in the order in which they are drawn."""
    if kind in _FILLED:
        return _triangle(-1 if kind in _SOWING else 1, _FILLED[kind])
    if kind in ("look", "top-up"):
        return (Disc(0.78, kind == "top-up"),)
    if kind in ("clear", "mulch"):
        half = 0.74
        return (Outline(((-half, -half), (half, -half), (half, half), (-half, half)), kind == "mulch"),)
    if kind in ("order-seed", "gather-seed"):
        reach = 0.98
        return (Outline(((0, -reach), (reach, 0), (0, reach), (-reach, 0)), kind == "gather-seed"),)
    return (Bars((((-_ARM, -_ARM), (_ARM, _ARM)), ((-_ARM, _ARM), (_ARM, -_ARM)))),)


def _triangle(up: int, filled: float) -> tuple[Outline, ...]:
    base, tip = -0.75 * up, 0.85 * up
    whole = Outline(((-1, base), (1, base), (0, tip)), filled == 1)
    return (whole, Outline(((-1, base), (0, base), (0, tip)), True)) if filled == 0.5 else (whole,)

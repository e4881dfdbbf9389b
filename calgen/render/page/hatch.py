"""Tints and hatches: a kind of cover is told by the direction and grain of its hatch as well as by its tint."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.render.page.markup import Html, tag

if TYPE_CHECKING:
    from calgen.render.page.markup import Part

HATCHED: Final = ("grass", "legume", "brassica", "other", "mulch")
LOOKS: Final = ("crop", *HATCHED, "bare", "dead", "doubt")
_WIDTH: Final = 28
_HEIGHT: Final = 16


def hatches() -> Html:
    """The hatches as patterns, once a page; every strip and swatch refers to them."""
    return tag("svg", tag(
        "defs",
        _pattern("grass", 7, _line(0, 3.5, 7, 3.5), turn="rotate(-45)"),
        _pattern("legume", 7, _line(0, 3.5, 7, 3.5), turn="rotate(45)"),
        _pattern("brassica", 9, _line(0, 4.5, 9, 4.5), _line(4.5, 0, 4.5, 9), turn="rotate(45)"),
        _pattern("other", 7, tag("circle", cx=3.5, cy=3.5, r=1.2, class_="dot"), turn="rotate(30)"),
        _pattern("mulch", 10, _line(0, 2.5, 6, 2.5), _line(5, 7.5, 10, 7.5)),
    ), class_="defs", width=0, height=0, aria_hidden="true")


def hatch_url(look: str) -> str:
    """The fill that draws a look's hatch."""
    return f"url(#hatch-{look})"


def swatch(look: str) -> Html:
    """A small piece of a bar."""
    def box(**attributes: str) -> Html:
        return tag("rect", x=1, y=1, width=_WIDTH - 2, height=_HEIGHT - 2, **attributes)

    return drawing(box(class_=f"b {look}"), box(fill=hatch_url(look)) if look in HATCHED else None)


def drawing(*parts: Part, width: float = _WIDTH) -> Html:
    """A small drawing beside words that say the same."""
    return tag("svg", *parts, class_="swatch", viewBox=f"0 0 {width:g} {_HEIGHT}", width=width, height=_HEIGHT,
               aria_hidden="true")


def _pattern(look: str, size: float, *parts: Html, turn: str | None = None) -> Html:
    return tag("pattern", *parts, id=f"hatch-{look}", width=size, height=size, patternUnits="userSpaceOnUse",
               patternTransform=turn)


def _line(x1: float, y1: float, x2: float, y2: float) -> Html:
    return tag("line", x1=x1, y1=y1, x2=x2, y2=y2, class_="hatch")

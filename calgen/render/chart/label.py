"""What is written in a bar: the full name if it fits, else the short one, else the code; in one line or two.

    quantity               unit
    width, height, size    points
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, cast

from msgspec import Struct

if TYPE_CHECKING:
    from calgen.render.chart.style import Range, Sizes
    from calgen.render.fonts.face import Typesetter

Rung = Literal["full", "short", "code"]
LEADING = 1.12
_ONE_LINE_IS_FINE = 0.85  # a single line of this share of the greatest size is not broken for a larger one


class Names(Struct, frozen=True):
    """The three names of a bar, already such as can be drawn."""

    full: str
    short: str
    code: str


class Fit(Struct, frozen=True):
    """Lines that fit, at a size, and the rung of the ladder they came from."""

    lines: tuple[str, ...]
    size: float
    rung: Rung

    @property
    def order(self) -> tuple[int, float]:
        """Better fits sort first."""
        return ("full", "short", "code").index(self.rung), -self.size


def fit(names: Names, width: float, height: float, sizes: Sizes, typesetter: Typesetter, *, bold: bool) -> Fit | None:
    """The best label for a box of this inner width and height, or None when not even the code fits."""
    for rung, text, least in (("full", names.full, sizes.bar_name.least), ("short", names.short, sizes.bar_name.least),
                              ("code", names.code, sizes.bar_code)):
        limits = type(sizes.bar_name)(least, sizes.bar_name.most)
        found = _fitted(text, width, height, limits, typesetter, bold=bold)
        if found:
            lines, size = found
            return Fit(lines, size, rung)  # type: ignore[arg-type]
    return None


def _fitted(text: str, width: float, height: float, limits: Range, typesetter: Typesetter, *,
            bold: bool) -> tuple[tuple[str, ...], float] | None:
    one = min(limits.most, height, _size_for(text, width, typesetter, bold=bold))
    if one >= max(limits.most * _ONE_LINE_IS_FINE, limits.least):
        return (text,), _rounded_down(one)
    best, lines = one, cast("tuple[str, ...]", (text,))
    for pair in _halves(text):
        fits = [_size_for(part, width, typesetter, bold=bold) for part in pair]
        size = min(limits.most, height / (1 + LEADING), *fits)
        if size > best * 1.1:
            best, lines = size, pair
    return (lines, _rounded_down(best)) if _rounded_down(best) >= limits.least else None


def _size_for(text: str, width: float, typesetter: Typesetter, *, bold: bool) -> float:
    em = typesetter.width(text, 1, bold=bold)
    return width / em if em else float("inf")


def _rounded_down(size: float) -> float:
    return int(size * 10) / 10


def _halves(text: str) -> tuple[tuple[str, str], ...]:
    words = text.split(" ")
    return tuple((" ".join(words[:cut]), " ".join(words[cut:])) for cut in range(1, len(words)))

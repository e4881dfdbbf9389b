"""What is written in a bar: the full name if it fits, else the short one, else the code; in one line or two.

    quantity               unit
    width, height, size    points
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, cast

if TYPE_CHECKING:
    from calgen.render.chart.style import Range, Sizes
    from calgen.render.fonts.face import Typesetter

Rung = Literal["full", "short", "code"]
LEADING = 1.12
_IDEOGRAPHS: Final = (("\u2e80", "\u9fff"), ("\uac00", "\ud7af"), ("\uf900", "\uffef"))
_ONE_LINE_IS_FINE = 0.85  # a single line of this share of the greatest size is not broken for a larger one


@dataclass(frozen=True, slots=True)
class Names:
    """The three names of a bar, already such as can be drawn."""

    full: str
    short: str
    code: str


@dataclass(frozen=True, slots=True)
class Fit:
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


def shortened(text: str, width: float, size: float, typesetter: Typesetter, *, bold: bool = False) -> str:
    """The text cut to a width with an ellipsis, never inside a letter with its marks."""
    if typesetter.width(text, size, bold=bold) <= width:
        return text
    for end in range(len(text) - 1, 0, -1):
        if unicodedata.combining(text[end]):
            continue
        cut = text[:end].rstrip() + "…"
        if typesetter.width(cut, size, bold=bold) <= width:
            return cut
    return "…"


def wrapped(text: str, width: float, size: float, typesetter: Typesetter, *, bold: bool = False) -> tuple[str, ...]:
    """The text broken into lines of a width: at blanks, between ideographs, and inside a word only when it must be."""
    lines: list[str] = []
    current = ""
    for piece in _pieces(text):
        trial = current + piece
        if typesetter.width(trial.rstrip(), size, bold=bold) <= width or not current.strip():
            current = trial
        else:
            lines.append(current.rstrip())
            current = piece.lstrip()
        while typesetter.width(current.rstrip(), size, bold=bold) > width and len(current) > 1:
            end = len(current) - 1
            while end > 1 and typesetter.width(current[:end], size, bold=bold) > width:
                end -= 1
            lines.append(current[:end])
            current = current[end:]
    if current.strip() or not lines:
        lines.append(current.rstrip())
    return tuple(lines)


def _pieces(text: str) -> list[str]:
    """Stretches after which a line may be broken."""
    pieces: list[str] = []
    current = ""
    for character in text:
        wide = any(low <= character <= high for low, high in _IDEOGRAPHS)
        current += character
        if character in " -/–" or wide:
            pieces.append(current)
            current = ""
    return [*pieces, current] if current else pieces

"""Text broken into lines, or cut, to a measured width. [points]"""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from calgen.render.fonts.face import Typesetter

_IDEOGRAPHS: Final = (("\u2e80", "\u9fff"), ("\uac00", "\ud7af"), ("\uf900", "\uffef"))


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
    for at, character in enumerate(text):
        wide = any(low <= character <= high for low, high in _IDEOGRAPHS)
        current += character
        if (character in " -/–" and not _binds(text, at)) or wide:
            pieces.append(current)
            current = ""
    return [*pieces, current] if current else pieces


def _binds(text: str, at: int) -> bool:
    """Whether what stands here holds a number and its unit, or the two ends of a range, together."""
    before, after = text[at - 1:at], text[at + 1:at + 4]
    if text[at] == " ":
        unit = re.split(r"[\s,.;:)]", after)[0]
        return before.isdigit() and 0 < len(unit) <= 2 and not unit[0].isdigit()
    return before.isdigit() and after[:1].isdigit()

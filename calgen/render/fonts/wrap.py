"""Text broken into lines, or cut, to a measured width. [points]"""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_left, bisect_right
from functools import cache
from itertools import accumulate
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.render.fonts.face import Typesetter

_IDEOGRAPHS: Final = "\u2e80-\u9fff\uac00-\ud7af\uf900-\uffef"
_ROUNDING: Final = 1e-6
_BREAKS: Final = re.compile("[-/– ]")


def shortened(text: str, width: float, size: float, typesetter: Typesetter, *, bold: bool = False) -> str:
    """The text cut to a width with an ellipsis, never inside a letter with its marks."""
    if typesetter.width(text, size, bold=bold) <= width:
        return text

    def fits(end: int) -> bool:
        return typesetter.width(text[:end].rstrip() + "…", size, bold=bold) <= width

    end = _fitting(len(text) - 1, fits)
    while end and unicodedata.combining(text[end]):
        end -= 1
    return text[:end].rstrip() + "…"


def wrapped(text: str, width: float, size: float, typesetter: Typesetter, *, bold: bool = False) -> tuple[str, ...]:
    """The text broken into lines of a width: at blanks, between ideographs, and inside a word only when it must be.

    No letter takes its shape from beyond such a place, so a line is as wide as its pieces; it is set whole only where
    rounding could decide.
    """

    def fits(line: str, advance_em: float) -> bool:
        over = advance_em * size - width
        return over < -_ROUNDING or (over < _ROUNDING and typesetter.width(line, size, bold=bold) <= width)

    def begins(end: int) -> bool:
        return typesetter.width(current[:end], size, bold=bold) <= width

    whole_text = " ".join(text.split())
    if fits(whole_text, typesetter.advance_em(whole_text, bold=bold)):
        return (whole_text,)
    pieces = _pieces(whole_text)
    if " " not in pieces and (lines := _filled(pieces, [typesetter.advance_em(piece, bold=bold) for piece in pieces],
                                               typesetter.advance_em(" ", bold=bold), width / size, fits)):
        return lines
    found: list[str] = []
    current, reached = "", 0.0
    for piece in pieces:
        word = piece.rstrip()
        word_em = typesetter.advance_em(word, bold=bold)
        whole = fits(current + word, reached + word_em)
        if not whole and current.strip():
            found.append(current.rstrip())
            current, reached = "", 0.0
            whole = fits(word, word_em)
        current += piece if current else piece.lstrip()
        reached += typesetter.advance_em(piece, bold=bold)
        if not whole:
            while len(current) > 1 and typesetter.width(current.rstrip(), size, bold=bold) > width:
                end = max(1, _fitting(len(current) - 1, begins))
                found.append(current[:end])
                current = current[end:]
            reached = typesetter.advance_em(current, bold=bold)
    if current.strip() or not found:
        found.append(current.rstrip())
    return tuple(found)


def _filled(pieces: list[str], ems: list[float], blank_em: float, room_em: float,
            fits: Callable[[str, float], bool]) -> tuple[str, ...]:
    """Lines with as many pieces as there is room for; nothing where one is wider than a line or a blank alone."""
    before = [0.0, *accumulate(ems)]
    reach = [after - blank_em if piece[-1] == " " else after for piece, after in zip(pieces, before[1:], strict=True)]
    lines: list[str] = []
    start = 0
    while start < len(pieces):
        end = bisect_right(reach, before[start] + room_em + _ROUNDING, start)
        line = "".join(pieces[start:end]).rstrip()
        while end > start and not fits(line, reach[end - 1] - before[start]):
            end -= 1
            line = "".join(pieces[start:end]).rstrip()
        if end == start or line == "":
            return ()
        lines.append(line)
        start = end
    return tuple(lines)


def _fitting(most: int, fits: Callable[[int], bool]) -> int:
    """How many letters fit, of at most so many; measured near the answer only, however long the text is."""
    beyond = 1
    while beyond < most and fits(beyond):
        beyond *= 2
    fit = beyond // 2
    return fit + bisect_left(range(fit + 1, min(beyond, most) + 1), True, key=lambda end: not fits(end))


@cache
def _breaks_of_all() -> re.Pattern[str]:
    return re.compile(f"[-/– {_IDEOGRAPHS}]")  # slow to compile, seldom needed


def _pieces(text: str) -> list[str]:
    """Stretches after which a line may be broken."""
    pieces: list[str] = []
    start = 0
    for found in (_BREAKS if max(text) < _IDEOGRAPHS[0] else _breaks_of_all()).finditer(text):
        if not text[found.start() - 1].isdigit() or found.group() not in " -/–" or not _binds(text, found.start()):
            pieces.append(text[start:found.end()])
            start = found.end()
    return [*pieces, text[start:]] if start < len(text) else pieces


def _binds(text: str, at: int) -> bool:
    """Whether what stands here holds a number and its unit, or the two ends of a range, together."""
    before, after = text[at - 1:at], text[at + 1:at + 4]
    if text[at] == " ":
        if not before.isdigit():
            return False
        unit = re.split(r"[\s,.;:)]", after)[0]
        return 0 < len(unit) <= 2 and not unit[0].isdigit()
    return before.isdigit() and after[:1].isdigit()

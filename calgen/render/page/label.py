"""The name in a bar: in full, short, as a code, as an upright code, or none where the bar is only days wide.

    quantity      unit
    width, size   units of the drawing
    ems           widths of text for a font size of 1
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, Final

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.render.page.bar import Box
    from calgen.schedule.model import Label

SIZE: Final = 13.0
SMALL: Final = 12.0
UPRIGHT: Final = 11.0
PADDING: Final = 6.0
EDGE: Final = 15.0     # room for the arrow of a bar that comes from before or goes on
REPEAT: Final = 330.0  # less than a phone's width: a long bar is named wherever the strip is scrolled to
_EMS: Final = {**dict.fromkeys(" ijlI.,:;!|'’", 0.4), **dict.fromkeys("frt()[]-", 0.5),
               **dict.fromkeys("mwMWQO@%&–—…", 1.1)}


class Lettering(Struct, frozen=True):
    """A text at a point; the baseline for level text, the centre for upright text."""

    text: str
    x: float
    y: float
    size: float
    upright: bool = False


def ems(text: str) -> float:
    """How wide a text is at most in the usual sans-serif fonts of screens, in multiples of the font size."""
    return sum(_em(character) for character in text)


def _em(character: str) -> float:
    if unicodedata.category(character) in ("Mn", "Me", "Cf"):
        return 0.0
    if unicodedata.east_asian_width(character) in ("W", "F"):
        return 1.05
    return _EMS.get(character, 0.8 if character.isupper() or not character.isascii() else 0.69)


def lettering(label: Label, boxes: Sequence[Box], *, before: bool, beyond: bool) -> tuple[Lettering, ...]:
    """What is written into a bar, in the box that shows the fullest name."""
    for text in (label.name, label.short, label.code):
        for box in sorted(boxes, key=lambda box: -box.width):
            left = box.left + (EDGE if before and box == boxes[0] else PADDING)
            right = box.right - (EDGE if beyond and box == boxes[-1] else PADDING)
            size = SIZE if box.height > 24 else SMALL
            if text and ems(text) * size <= right - left:
                return _repeated(text, left, right, (box.top + box.bottom) / 2 + size * 0.36, size)
    code = label.code or label.short
    for box in sorted(boxes, key=lambda box: -box.width):
        if code and box.width >= UPRIGHT + 2 and ems(code) * UPRIGHT <= box.height - 3:
            return (Lettering(code, (box.left + box.right) / 2, (box.top + box.bottom) / 2, UPRIGHT, upright=True),)
    return ()


def _repeated(text: str, left: float, right: float, y: float, size: float) -> tuple[Lettering, ...]:
    width = ems(text) * size
    step = max(REPEAT, width + 40)
    count = max(1, int((right - left - width) // step) + 1)
    return tuple(Lettering(text, left + index * step, y, size) for index in range(count))

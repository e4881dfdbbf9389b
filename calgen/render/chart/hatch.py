"""Hatches as lines cut to a box by arithmetic: no clip path and no pattern, so every printer draws the same.

The phase is that of the page, not of the box: hatches of neighbouring boxes meet without a step.
"""

from __future__ import annotations

from math import ceil, floor, sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calgen.render.chart.style import Hatch
    from calgen.render.pdf.shape import Box

Segment = tuple[float, float, float, float]
_DOT = 0.01
_DASH_SHARE = 0.55


def hatch(kind: Hatch, box: Box, pitch: float) -> tuple[Segment, ...]:
    """Lines of a hatch within a box.

    Args:
        kind: rising (/), falling (\\), cross, dots (lines of no length, to be drawn with round ends), dashes, none.
        box: left, bottom, right, top. [points]
        pitch: distance between neighbouring lines or rows, across the lines. [points]
    """
    left, bottom, right, top = box
    if kind == "none" or right <= left or top <= bottom:
        return ()
    if kind == "rising":
        return _diagonal(box, pitch)
    if kind == "falling":
        return _falling(box, pitch)
    if kind == "cross":
        return (*_diagonal(box, pitch), *_falling(box, pitch))
    if kind == "dots":
        return _dots(box, pitch)
    return _dashes(box, pitch)


def _diagonal(box: Box, pitch: float) -> tuple[Segment, ...]:
    left, bottom, right, top = box
    step = pitch * sqrt(2)  # along y, so that the distance across the lines is the pitch
    found = []
    for index in range(ceil((bottom - right) / step), floor((top - left) / step) + 1):
        shift = index * step
        x1, x2 = max(left, bottom - shift), min(right, top - shift)
        if x2 - x1 > 0.05:
            found.append(_rounded(x1, x1 + shift, x2, x2 + shift))
    return tuple(found)


def _falling(box: Box, pitch: float) -> tuple[Segment, ...]:
    left, bottom, right, top = box
    return tuple(_rounded(x1, -y1, x2, -y2) for x1, y1, x2, y2 in _diagonal((left, -top, right, -bottom), pitch))


def _dots(box: Box, pitch: float) -> tuple[Segment, ...]:
    left, bottom, right, top = box
    inset = pitch * 0.18
    row_step = pitch * 0.87  # rows of a triangular grid
    found = []
    for row in range(ceil((bottom + inset) / row_step), floor((top - inset) / row_step) + 1):
        shift = pitch / 2 * (row % 2)
        for column in range(ceil((left + inset - shift) / pitch), floor((right - inset - shift) / pitch) + 1):
            x = column * pitch + shift
            found.append(_rounded(x, row * row_step, x + _DOT, row * row_step))
    return tuple(found)


def _dashes(box: Box, pitch: float) -> tuple[Segment, ...]:
    left, bottom, right, top = box
    step = pitch * 2.4
    found = []
    for row in range(ceil((bottom + 0.8) / pitch), floor((top - 0.8) / pitch) + 1):
        shift = step / 2 * (row % 2)
        for column in range(floor((left - shift) / step), ceil((right - shift) / step) + 1):
            x1 = max(left + 0.8, column * step + shift)
            x2 = min(right - 0.8, column * step + shift + step * _DASH_SHARE)
            if x2 - x1 > 1:
                found.append(_rounded(x1, row * pitch, x2, row * pitch))
    return tuple(found)


def _rounded(x1: float, y1: float, x2: float, y2: float) -> Segment:
    return round(x1, 2), round(y1, 2), round(x2, 2), round(y2, 2)

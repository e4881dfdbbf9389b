"""One sheet's frame: where margins, label column, axis and rows lie, and what its parts are drawn with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from calgen.render.pdf import day as days
from calgen.render.pdf.shape import MM

if TYPE_CHECKING:
    from datetime import date

    from calgen.render.chart.axis import Axis
    from calgen.render.chart.style import ChartStyle
    from calgen.render.chart.words import ChartWords
    from calgen.render.fonts.face import Typesetter
    from calgen.schedule.model import Schedule


class Sheet(Struct, frozen=True):
    """The frame of a sheet. ``code_width`` is the room bed codes take in the label column. [points]"""

    schedule: Schedule
    style: ChartStyle
    words: ChartWords
    typesetter: Typesetter
    width: float
    height: float
    margin: float
    axis: Axis
    code_width: float

    @property
    def left(self) -> float:
        """Left end of what may be printed. [points]"""
        return self.margin

    @property
    def right(self) -> float:
        """Right end of what may be printed. [points]"""
        return self.width - self.margin

    @property
    def top(self) -> float:
        """Upper end of what may be printed. [points]"""
        return self.height - self.margin

    @property
    def bottom(self) -> float:
        """Lower end of what may be printed. [points]"""
        return self.margin

    def day(self, value: date) -> str:
        """A day and month in the grower's language."""
        return days.day(value, self.schedule)

    def days(self, first: date, last: date) -> str:
        """From one day to another, as short as the language writes it: ``12–26 Oct``."""
        return days.interval(first, last, self.schedule)


def size_points(style: ChartStyle) -> tuple[float, float]:
    """Width and height of the paper. [points]"""
    width, height = style.page_mm
    return width * MM, height * MM


class Paper(Struct, frozen=True):
    """What the chart is laid out on: width, height, and the margin kept free of ink. [points]"""

    width: float
    height: float
    margin: float

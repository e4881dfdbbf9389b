"""The wall chart: a year of every bed on one sheet, as PDF.

    style.py    chart-*.yaml          -> ChartStyle
    layout.py   Schedule + ChartStyle -> pages of shapes in points (pure)
    draw.py     pages                 -> bytes
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render.chart.words import ChartWords

if TYPE_CHECKING:
    from calgen.render.chart.style import ChartStyle
    from calgen.schedule.model import Schedule

__all__ = ["ChartWords", "chart_pdf"]


def chart_pdf(schedule: Schedule, style: ChartStyle, words: ChartWords | None = None) -> bytes:
    """The wall chart of a schedule as a PDF file.

    Args:
        schedule: what happens in the beds from ``start`` to ``end``.
        style: paper, sizes, inks and hatches, as read from a chart style file.
        words: the fixed words on the chart; English when not given.

    Raises:
        calgen.problems.InputError: a font file named in the style cannot be read.
    """
    from calgen.render.chart.draw import drawn_chart  # noqa: PLC0415

    return drawn_chart(schedule, style, words or ChartWords())

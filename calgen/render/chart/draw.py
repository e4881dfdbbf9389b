"""Laid-out sheets to the bytes of a PDF file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render.chart.layout import chart_pages
from calgen.render.fonts.face import Typesetter
from calgen.render.pdf.paint import About, document

if TYPE_CHECKING:
    from calgen.render.chart.style import ChartStyle
    from calgen.render.chart.words import ChartWords
    from calgen.schedule.model import Schedule


def drawn_chart(schedule: Schedule, style: ChartStyle, words: ChartWords) -> bytes:
    """The chart as a PDF file. See ``calgen.render.chart.chart_pdf``."""
    typesetter = Typesetter()
    pages = chart_pages(schedule, style, words, typesetter)
    return document(pages, About(schedule.site, "", schedule.language, schedule.made))

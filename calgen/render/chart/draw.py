"""Laid-out sheets to the bytes of a PDF file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render.chart.layout import chart_pages
from calgen.render.chart.tile import tile_grid, tiles
from calgen.render.fonts.found import typesetter
from calgen.render.pdf.paint import About, document

if TYPE_CHECKING:
    from calgen.render.chart.style import ChartStyle
    from calgen.render.chart.words import ChartWords
    from calgen.schedule.model import Schedule


def drawn_chart(schedule: Schedule, style: ChartStyle, words: ChartWords) -> bytes:
    """The chart as a PDF file. See ``calgen.render.chart.chart_pdf``."""
    setter = typesetter(style.fonts, system_fonts=style.system_fonts)
    labels = [span.label for bed in schedule.beds for span in bed.spans]
    setter.prepare([schedule.site, *(text for bed in schedule.beds for text in (bed.name, bed.code, bed.ground)),
                    *(text for label in labels for text in (label.name, label.short, label.code))])
    if style.tile is None:
        pages = chart_pages(schedule, style, words, setter)
    else:
        grid = tile_grid(style, style.tile)
        whole = chart_pages(schedule, style, words, setter, grid.paper)
        pages = tuple(tile for page in whole for tile in tiles(page, grid, words, setter))
    return document(pages, About(schedule.site, words.subject, schedule.language, schedule.made))

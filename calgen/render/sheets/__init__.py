"""Sheets to take along: jobs week by week, a card for each bed, seed to order, when to sow what. As PDF."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render.sheets.words import SheetWords

if TYPE_CHECKING:
    from calgen.render.chart.style import ChartStyle
    from calgen.schedule.model import Schedule

__all__ = ["SheetWords", "sheets_pdf"]


def sheets_pdf(schedule: Schedule, style: ChartStyle, words: SheetWords | None = None) -> bytes:
    """The job sheets of a schedule as a PDF file.

    Args:
        schedule: jobs, beds with their reasons, seed lines, windows and notes.
        style: the paper of the sheets, the margin, and fonts of the grower's own.
        words: the fixed words on the sheets; English when not given.

    Raises:
        calgen.problems.InputError: a font file named in the style cannot be read.
    """
    from calgen.render.sheets.draw import drawn_sheets  # noqa: PLC0415

    return drawn_sheets(schedule, style, words or SheetWords())

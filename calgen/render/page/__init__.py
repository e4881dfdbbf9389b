"""The static page: what to do, the year, a card for each bed, subscribe links, as one ``index.html``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render.page.words import PageWords

if TYPE_CHECKING:
    from calgen.schedule.model import Schedule

__all__ = ["PageWords", "page_html"]


def page_html(schedule: Schedule, feeds: tuple[str, ...], words: PageWords | None = None) -> bytes:
    """The page as UTF-8. The same schedule gives the same bytes.

    Args:
        schedule: what happens in the beds.
        feeds: names of the files in ``feeds/`` beside the page.
        words: the fixed words; those of the schedule come with it. English when not given.
    """
    from calgen.render.page.page import written_page  # noqa: PLC0415

    return written_page(schedule, feeds, words or PageWords())

"""The static page: what to do, the year, a card for each bed, subscribe links, as one ``index.html``."""

from calgen.render.page.page import page_html
from calgen.render.page.words import PageWords

__all__ = ["PageWords", "page_html"]

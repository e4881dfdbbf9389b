"""The key of the year: every tint, hatch, mark and shade that occurs in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render.page.backdrop import SHORT_DAY_H
from calgen.render.page.hatch import LOOKS, drawing, swatch
from calgen.render.page.mark import mark
from calgen.render.page.markup import Html, tag
from calgen.schedule.model import KINDS

if TYPE_CHECKING:
    from calgen.render.page.span_words import SpanWords


def key(say: SpanWords) -> Html:
    """Bars, marks, then shades, in a fixed order."""
    schedule, words = say.schedule, say.words
    spans = [span for bed in schedule.beds for span in bed.spans]
    looks = {say.look(span) for span in spans}
    looks |= {look for span in spans for killed, look in (("likely", "dead"), ("unsure", "doubt"))
              if span.killed == killed and span.killed_from}
    kinds = {job.kind for job in schedule.jobs if not job.kept and job.bed}
    entries = [(swatch(look), words.looks[look]) for look in LOOKS if look in looks]
    if any(span.start < schedule.start or span.to > schedule.end for span in spans):
        entries.append((drawing(tag("path", d="M13 2L20 8L13 14Z", class_="arrow")), words.key_edge))
    entries += [(drawing(mark(kind, 9, 8), width=18), words.kinds[kind]) for kind in KINDS if kind in kinds]
    if say.bands():
        shade = (tag("rect", x=0, y=0, width=28, height=16, class_="frost pale"),
                 tag("rect", x=7, y=0, width=14, height=16, class_="frost dark"),
                 tag("line", x1=14, y1=0, x2=14, y2=16, class_="median"))
        entries.append((drawing(*shade), words.key_frost))
    if any(hours < SHORT_DAY_H for _, hours in schedule.daylength_h):
        entries.append((drawing(tag("rect", x=0, y=0, width=28, height=16, class_="dim")), words.under_ten))
    return tag("div", tag("h3", words.key), tag("ul", (tag("li", picture, text) for picture, text in entries),
                                                class_="key"))

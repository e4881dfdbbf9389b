"""What lies behind the bars and above the strips: months, frost bands, daylight, the day of making.

    quantity                 unit
    x, y, widths, heights    units of the drawing, y downwards
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.render.page.axis import WIDTH, Axis
from calgen.render.page.label import SMALL, ems
from calgen.render.page.markup import Html, joined, plain_filled, tag

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.render.page.span_words import SpanWords

MONTHS: Final = 17.0        # height of the line of months below the bars
LINE: Final = 18.0          # height of a line of words in the head
SHORT_DAY_H: Final = 10.0   # below it most crops stand still; the wall chart draws the same line
WEEKS_APART: Final = WIDTH / 40


def ground(axis: Axis, top: float, height: float, say: SpanWords) -> Html:
    """Frost bands over the full height; lines for months, the middle frost date and the day of making down from
    ``top`` to the line of months, so that they cross no words."""
    parts: list[Html] = []
    bottom = height - MONTHS
    for _, band in say.bands():
        for look, first, last in (("pale", band.p10, band.p90), ("dark", band.p25, band.p75)):
            left, right = axis.x(first), axis.x(last)
            if right > left:
                parts.append(tag("rect", x=left, y=0, width=right - left, height=height, class_=f"frost {look}"))
        if axis.start <= band.p50 < axis.end and bottom > top:
            parts.append(_upright(axis.x(band.p50), top, bottom, "median"))
    parts += [_upright(left, top, height, "month-line") for _, left, _ in axis.months()[1:]]
    if axis.start < say.schedule.made < axis.end and bottom > top:
        parts.append(_upright(axis.x(say.schedule.made), top, bottom, "made-line"))
    return joined(*parts)


def months(axis: Axis, height: float, say: SpanWords) -> Html:
    """The names of the months along the lower edge, where they fit."""
    found = []
    for first, left, right in axis.months():
        text = say.days.month(first)
        if ems(text) * SMALL <= right - left - 4:
            found.append(tag("text", text, x=left + 4, y=height - 4, class_="month"))
    return joined(*found)


def head(axis: Axis, say: SpanWords) -> Html:
    """The strip above the beds; its text alternative gives the frost dates."""
    bands = [(what, band) for what, band in say.bands() if band.p90 > axis.start and band.p10 < axis.end]
    texts = [(plain_filled(say.words.band, what=what, first=say.days.day(band.p25), last=say.days.day(band.p75)),
              axis.x(band.p50)) for what, band in bands]
    if axis.start < say.schedule.made < axis.end:
        texts.append((say.words.made_mark, axis.x(say.schedule.made)))
    lines = _lines(texts)
    light = len(lines) * LINE
    height = light + (LINE if say.schedule.daylength_h else 0) + MONTHS
    label = plain_filled(say.words.time_line, first=say.days.full(axis.start), last=say.days.full(axis.last),
                         frosts=" ".join(say.band(what, band) for what, band in bands) or say.words.no_frost)
    return tag(
        "svg", ground(axis, height - MONTHS, height, say),
        [tag("text", text, x=left, y=LINE * number + 13, class_="head-words")
         for number, line in enumerate(lines) for text, left, _ in line],
        _daylight(axis, light, say), months(axis, height, say),
        class_="strip", viewBox=f"0 0 {WIDTH:g} {height:g}", width=WIDTH, height=height, role="img", aria_label=label)


def _upright(x: float, top: float, bottom: float, look: str) -> Html:
    return tag("line", x1=x, y1=top, x2=x, y2=bottom, class_=look)


def _lines(texts: Iterable[tuple[str, float]]) -> list[list[tuple[str, float, float]]]:
    """Texts centred on their x as far as the edges allow, on as few lines as keep them apart: text, left, right."""
    lines: list[list[tuple[str, float, float]]] = []
    for text, x in sorted(texts, key=lambda entry: entry[1]):
        width = ems(text) * SMALL
        left = max(4.0, min(x - width / 2, WIDTH - width - 4))
        line = next((line for line in lines if line[-1][2] + 12 <= left), None)
        if line is None:
            lines.append([(text, left, left + width)])
        else:
            line.append((text, left, left + width))
    return lines


def _daylight(axis: Axis, top: float, say: SpanWords) -> Html:
    """Hours of daylight in the middle of each month, on a shade for the time with less than ten."""
    hours = [(axis.x(day), value) for day, value in say.schedule.daylength_h if axis.start <= day < axis.end]
    if not hours:
        return joined()
    short: list[tuple[float, float]] = []
    for x, value in hours:
        if value < SHORT_DAY_H:
            first = short.pop()[0] if short and x - short[-1][1] < WEEKS_APART else x
            short.append((first, x))
    parts = [tag("rect", x=left, y=top + 1, width=max(right - left, 3), height=LINE - 2, class_="dim")
             for left, right in short]
    for _, left, right in axis.months():
        middle = (left + right) / 2
        _, value = min(hours, key=lambda entry: abs(entry[0] - middle))
        text = plain_filled(say.words.hours, hours=say.days.number(value))
        if ems(text) * SMALL < right - left:
            parts.append(tag("text", text, x=middle, y=top + 13, class_="hours"))
    return joined(*parts)

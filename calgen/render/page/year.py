"""The year as one inline SVG a bed, under a strip with months, frost and daylight.

    quantity                 unit
    x, y, widths, heights    units of the drawing, y downwards
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.render.page.axis import WIDTH, Axis
from calgen.render.page.backdrop import MONTHS, ground, head, months
from calgen.render.page.bar import bars
from calgen.render.page.hatch import HATCHED, hatch_url
from calgen.render.page.label import lettering
from calgen.render.page.mark import RADIUS, mark
from calgen.render.page.markup import Html, joined, name, tag

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.render.page.bar import Bar
    from calgen.render.page.span_words import SpanWords
    from calgen.schedule.model import BedSchedule, Job

MARKS: Final = 17.0  # height of the line of marks above the bars
ARROW: Final = 7.0
MARK_STEP: Final = RADIUS * 2 + 2


def year(say: SpanWords) -> Html:
    """The section's drawing: the head strip, then one strip a bed with its name before or above it."""
    axis = Axis(say.schedule.start, say.schedule.end)
    rows = [tag("li", tag("a", name(bed.name), href=f"#bed-{number}", class_="bed-name"), _strip(bed, axis, say))
            for number, bed in enumerate(say.schedule.beds, 1)]
    return tag("div", tag("div", head(axis, say), class_="head"), tag("ul", rows, class_="strips"),
               class_="year", role="region", tabindex=0, aria_label=say.words.year_scroll)


def _strip(bed: BedSchedule, axis: Axis, say: SpanWords) -> Html:
    found, bars_height = bars(bed.spans, axis, MARKS)
    height = MARKS + bars_height + MONTHS
    jobs = [job for job in say.schedule.jobs_of(bed) if not job.kept]
    return tag(
        "svg", ground(axis, 0, height, say), months(axis, height, say), [_bar(bar, axis, say) for bar in found],
        _marks(jobs, axis, say),
        class_="strip", viewBox=f"0 0 {WIDTH:g} {height:g}", width=WIDTH, height=height, role="img",
        aria_label=say.strip(bed))


def _bar(bar: Bar, axis: Axis, say: SpanWords) -> Html:
    look = say.look(bar.span)
    outline = bar.outline()
    at_risk = bar.span.killed_from is not None and bar.span.killed in ("likely", "unsure")
    dies = axis.x(bar.span.killed_from) if bar.span.killed_from and at_risk else WIDTH
    dead = bar.outline(start=dies)
    alive = bar.boxes_until(dies) if bar.span.killed == "likely" else bar.boxes
    return tag(
        "g", tag("title", say.sentence(bar.span)), tag("path", d=outline, class_=f"b {look}"),
        tag("path", d=outline, fill=hatch_url(look)) if look in HATCHED else None,
        tag("path", d=dead, class_="b dead" if bar.span.killed == "likely" else "b doubt") if dead else None,
        _arrows(bar),
        [tag("text", letters.text, x=letters.x, y=letters.y, font_size=letters.size,
             class_=f"on {look}{' up' if letters.upright else ''}",
             transform=f"rotate(-90 {letters.x:.1f} {letters.y:.1f})" if letters.upright else None)
         for letters in lettering(say.label(bar.span), alive, before=bar.before,
                                   beyond=bar.beyond and alive == bar.boxes)])


def _arrows(bar: Bar) -> Html:
    """Arrowheads inside the edges over which a bar goes on."""
    found = []
    for turn, there, box in ((1, bar.before, bar.boxes[0]), (-1, bar.beyond, bar.boxes[-1])):
        if there and box.width > ARROW * 2:
            tip, middle = (box.left if turn == 1 else box.right) + turn * 3, (box.top + box.bottom) / 2
            back = tip + turn * ARROW
            found.append(tag("path", d=f"M{back:g} {middle - 6:g}L{tip:g} {middle:g}L{back:g} {middle + 6:g}Z",
                             class_="arrow"))
    return joined(*found)


def _marks(jobs: Iterable[Job], axis: Axis, say: SpanWords) -> Html:
    """Marks above the bars; those that would touch stand side by side, in the order of their days."""
    there = sorted((job for job in jobs if axis.start <= job.on < axis.end), key=lambda job: (job.on, job.kind))
    places: list[float] = []
    for job in there:
        x = max(axis.x(job.on), RADIUS + 1)
        places.append(max(x, places[-1] + MARK_STEP) if places else x)
    limit = WIDTH - RADIUS - 1
    for index in reversed(range(len(places))):
        places[index] = min(places[index], limit)
        limit = places[index] - MARK_STEP
    return joined(*(
        tag("g", tag("title", f"{job.title}, {say.days.weekday(job.on)}"), mark(job.kind, x, MARKS / 2),
            class_="job gone" if job.done else "job")
        for job, x in zip(there, places, strict=True)))

"""The narrow strip above a bed's bars: a mark for each job on its day, day numbers where they fit, last safe days.

Marks that would touch are moved apart, each as little as possible; numbers give way before marks do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from calgen.render.chart.mark import mark
from calgen.render.fonts.face import CAP_EM
from calgen.render.pdf.shape import BLACK, Strokes, Text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.render.chart.axis import Axis
    from calgen.render.chart.style import ChartStyle
    from calgen.render.fonts.face import Typesetter
    from calgen.render.pdf.shape import Item
    from calgen.schedule.model import Job, Kind

DONE_INK = "#6E6E6E"


class Group(Struct, frozen=True):
    """What stands at one place of the strip: the marks of a day and its number, or a number that points to the key."""

    at: float
    marks: tuple[tuple[Kind, bool], ...]
    text: str
    must: bool


class Strip(Struct, frozen=True):
    """Geometry of a strip: its middle, and the radius of its marks. [points]"""

    middle: float
    radius: float
    left: float
    right: float


def day_groups(jobs: Sequence[Job], axis: Axis) -> tuple[Group, ...]:
    """The jobs of a bed by day, those on the sheet."""
    days = sorted({job.on for job in jobs if axis.shows(job.on)})
    found = []
    for day in days:
        marks = dict.fromkeys((job.kind, job.done) for job in sorted(jobs, key=lambda job: (job.first, job.key))
                              if job.on == day)
        found.append(Group(axis.middle(day), tuple(marks), str(day.day), must=False))
    return tuple(found)


def drawn_strip(groups: Sequence[Group], strip: Strip, style: ChartStyle, typesetter: Typesetter,
                part: str) -> tuple[tuple[Item, ...], tuple[tuple[float, float], ...]]:
    """The strip's marks and numbers, left to right, and the stretches they take. [points]"""
    ordered = sorted(groups, key=lambda group: group.at)
    shown = [group.text for group in ordered]
    limit = 2.2 * strip.radius
    lefts = _positions(ordered, shown, strip, style, typesetter)
    while True:
        # where a crowd pushes marks too far from their day, take away its numbers first
        far = [index for index, group in enumerate(ordered)
               if abs(lefts[index] - _wish(group, strip)) > limit and any(shown)]
        drop = next((near for index in far for near in _near(index, len(ordered))
                     if shown[near] and not ordered[near].must), None)
        if drop is None:
            break
        shown[drop] = ""
        lefts = _positions(ordered, shown, strip, style, typesetter)
    items: list[Item] = []
    taken = []
    for group, text, left in zip(ordered, shown, lefts, strict=True):
        x = left
        for kind, done in group.marks:
            items.extend(mark(kind, x + strip.radius, strip.middle, strip.radius, DONE_INK if done else BLACK, part))
            x += 2 * strip.radius + 1
        if text:
            size = style.sizes.day
            x += 0.6 if group.marks else 0
            items.append(Text(x, strip.middle - CAP_EM * size / 2, typesetter.line(text), size,
                              "number" if group.must else "day", part=part))
            x += typesetter.width(text, size)
        taken.append((left - 0.5, x + 0.5))
    return tuple(items), tuple(taken)


def last_calls(jobs: Sequence[Job], axis: Axis, strip: Strip, style: ChartStyle) -> tuple[Item, ...]:
    """For each job that frost closes, a line under its mark from its day to the last safe one, with a stop there."""
    y = strip.middle - strip.radius - style.widths.frost * 0.7
    lines = []
    for job in jobs:
        if not job.last_call or job.done or job.latest <= job.on or not axis.shows(job.on):
            continue
        start, end = axis.middle(job.on), axis.middle(job.latest)
        lines.append((start, y, end, y))
        if axis.shows(job.latest):
            lines.append((end, y - style.widths.frost / 2, end, y + stop_height(style)))
    return (Strokes(tuple(lines), BLACK, style.widths.frost),) if lines else ()


def stop_height(style: ChartStyle) -> float:
    """Height of the stop at a last safe day: below the feet of the numbers it may stand under. [points]"""
    return style.widths.frost * 1.2


def _near(index: int, count: int) -> list[int]:
    return sorted(range(count), key=lambda other: abs(other - index))


def _wish(group: Group, strip: Strip) -> float:
    return group.at - strip.radius * max(1, len(group.marks)) if group.marks else group.at - strip.radius


def _positions(groups: Sequence[Group], shown: Sequence[str], strip: Strip, style: ChartStyle,
               typesetter: Typesetter) -> list[float]:
    """Left ends that keep the groups apart with the least total displacement (pool adjacent violators)."""
    gap = max(1.0, strip.radius * 0.35)
    numbers = [typesetter.width(text, style.sizes.day) + 0.6 if text else 0.0 for text in shown]
    widths = [len(group.marks) * (2 * strip.radius + 1) + number + gap
              for group, number in zip(groups, numbers, strict=True)]
    pools: list[tuple[list[int], float]] = []  # members, left end
    for index, group in enumerate(groups):
        pools.append(([index], _wish(group, strip)))
        while len(pools) > 1 and pools[-2][1] + sum(widths[i] for i in pools[-2][0]) > pools[-1][1]:
            later, _ = pools.pop()
            earlier, _ = pools.pop()
            members = earlier + later
            offset, wishes = 0.0, []
            for member in members:
                wishes.append(_wish(groups[member], strip) - offset)
                offset += widths[member]
            pools.append((members, sum(wishes) / len(wishes)))
    lefts = [0.0] * len(groups)
    for members, start in pools:
        left = start
        for member in members:
            lefts[member] = left
            left += widths[member]
    return _held(lefts, widths, strip)


def _held(lefts: list[float], widths: list[float], strip: Strip) -> list[float]:
    end = strip.right
    for index in range(len(lefts) - 1, -1, -1):
        lefts[index] = min(lefts[index], end - widths[index])
        end = lefts[index]
    start = strip.left
    for index, left in enumerate(lefts):
        lefts[index] = max(left, start)
        start = lefts[index] + widths[index]
    return lefts

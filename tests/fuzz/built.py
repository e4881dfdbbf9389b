"""A whole build in memory, and what must be true of every build."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from calgen.command.build import rendered
from calgen.command.load import desk_of
from calgen.render.feed_words import fingerprint
from calgen.render.plan_json import read_plan_json
from calgen.schedule.memory import remembered
from icalendar import Calendar
from pypdf import PdfReader

if TYPE_CHECKING:
    from calgen.schedule.model import Schedule


def built_files(data: bytes, memory: bytes | None = None, style: str = "chart-a4") -> dict[str, bytes]:
    """Every file of the site's output, by name.

    Args:
        data: the bytes of a site file.
        memory: those of the plan.json of an earlier build.
        style: name of the chart's style.

    Raises:
        InputError: the site, or the memory, has problems.
        AssertionError: something that must be true of every build is not.
    """
    found = desk_of(data, Path("plot.yaml"))
    previous = read_plan_json(memory, "plan.json") if memory else None
    made = found.site.chart_starts
    schedule, _ = remembered(found.schedule(made), previous, datetime.combine(made, time(), UTC),
                             fingerprint(found.wording.fixed["feed"]))
    hold(schedule)
    files = rendered(schedule, found, style)
    hold_files(files)
    return files


def hold(schedule: Schedule) -> None:
    """Days in their windows, spans in order and apart, in the beds of the site."""
    for job in schedule.jobs:
        if not job.kept:
            assert job.first <= job.last <= job.latest, f"{job.key}: {job.first}, {job.last}, {job.latest}"
            assert job.first <= job.on <= job.latest, f"{job.key}: {job.on} outside {job.first} to {job.latest}"
    assert [job.on for job in schedule.jobs] == sorted(job.on for job in schedule.jobs), "jobs are not in order"
    assert len({job.uid for job in schedule.jobs}) == len(schedule.jobs), "two jobs share a uid"
    for bed in schedule.beds:
        for lane in ("main", "under"):
            end = date.min
            for span in (span for span in bed.spans if span.lane == lane and not span.companion):
                assert span.start < span.to, f"{bed.name}: {span.label.name} {span.start} to {span.to}"
                assert lane == "under" or span.start >= end, f"{bed.name}: {span.label.name} begins before {end}"
                end = max(end, span.to)


def hold_files(files: dict[str, bytes]) -> None:
    """Feeds and PDFs open, nothing is no number, and the page holds no tag that a name brought in."""
    for name, data in files.items():
        if name.endswith(".ics"):
            Calendar.from_ical(data)
            assert all(len(line) <= 75 for line in data.split(b"\r\n")), f"{name}: a line of over 75 octets"
            assert not set(data.replace(b"\r\n", b"")) & set(b"\r\n"), f"{name}: a bare CR or LF"
        elif name.endswith(".pdf"):
            assert len(PdfReader(io.BytesIO(data)).pages) >= 1
        else:
            text = data.decode()
            assert not {"NaN", "NaN,", "Infinity", "Infinity,"} & set(text.split()), f"{name}: no number"
            if name == "index.html":
                assert "<b>x</b>" not in text, "a name became markup"
                assert "<script>alert" not in text, "a name became a script"

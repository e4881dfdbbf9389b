"""What the dates rest on, the notes, and the files to download."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Final

from calgen.render.page.job_card import time
from calgen.render.page.markup import Html, filled, joined, name, plain_filled, tag

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.render.page.span_words import SpanWords
    from calgen.render.page.words import PageWords
    from calgen.schedule.model import Note, Schedule

LEAP_YEAR: Final = 2024
IN_THE_FILE: Final = frozenset({"beds", "diary", "normals", "soil", "tools", "garden-days"})
"""What the grower sees in the site file, in its own words; here it would be one long list of them."""
_FOLDERS: Final = re.compile(r"^.*[/\\](?=[^/\\]+:\d+$)")


def about_dates(say: SpanWords) -> Html:
    """The day of making, what was given, the frost dates and how good they are."""
    schedule, words = say.schedule, say.words
    frosts = [tag("li", say.band(what, band)) for what, band in say.bands()] or tag("li", words.no_frost)
    given = [joined(tag("dt", words.made_on), tag("dd", time(schedule.made, say.days.full(schedule.made))))]
    given += [joined(tag("dt", label), tag("dd", value, dir="auto")) for label, value in _given(say)]
    return joined(
        tag("h3", words.inputs_given), tag("dl", *given),
        tag("h3", words.frosts), tag("ul", frosts),
        (tag("h3", words.how_sure), tag("ul", (tag("li", name(text)) for text in schedule.climate_words)))
        if schedule.climate_words else None)


def notes(schedule: Schedule, words: PageWords) -> Html:
    """Findings to tell the grower; what has to be put right comes first. Of a file's place only its name is told."""
    if not schedule.notes:
        return tag("p", words.no_notes)
    ordered = sorted(schedule.notes, key=lambda note: note.level != "error")
    return tag("ul", (_note(note, words) for note in ordered))


def _note(note: Note, words: PageWords) -> Html:
    wrong = note.level == "error"
    text = filled(words.error if wrong else words.note, where=name(_FOLDERS.sub("", note.where)), text=name(note.text))
    return tag("li", text, class_="caution" if wrong else None)


def downloads(words: PageWords) -> Html:
    """The files beside the page."""
    files = (("wall-chart.pdf", "PDF", words.wall_chart, words.wall_chart_about),
             ("sheets.pdf", "PDF", words.sheets, words.sheets_about),
             ("plan.json", "JSON", words.plan, words.plan_about))
    return tag("ul", (tag("li", tag("a", f"{title} ({kind})", href=file, class_="button"), f" {about}")
                      for file, kind, title, about in files), class_="plain")


def _given(say: SpanWords) -> Iterator[tuple[str, str]]:
    shown = {key: value for key, value in say.schedule.inputs.items() if key not in IN_THE_FILE}
    for key, value in _flat(shown):
        yield say.words.inputs.get(key, key.replace("-", " ").capitalize()), _shown(key, value, say)


def _flat(inputs: Mapping[str, object], before: str = "") -> Iterator[tuple[str, object]]:
    for key, value in inputs.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{before}{key}-")
        else:
            yield f"{before}{key}", value


def _shown(key: str, value: object, say: SpanWords) -> str:
    if isinstance(value, str):
        return _shown_date(value, say)
    if isinstance(value, int | float) and not isinstance(value, bool):
        if key == "caution" and 0 < value < 1:
            return plain_filled(say.words.one_in, count="1", years=say.days.number(1 / value))
        return say.days.number(value, 0 if value == int(value) else 1)
    return ", ".join(str(part) for part in value) if isinstance(value, list | tuple) else str(value)


def _shown_date(text: str, say: SpanWords) -> str:
    """A text as it is, or as people write it if it is ``MM-DD`` or ``YYYY-MM-DD``."""
    month_day = re.fullmatch(r"\d\d-\d\d", text)
    try:
        day = date.fromisoformat(f"{LEAP_YEAR}-{text}" if month_day else text)
    except ValueError:
        return text
    return say.days.day(day) if month_day else say.days.full(day)

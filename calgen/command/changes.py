"""What a build changed, in words: the reason first (inputs, diary), then jobs moved, new, gone and done."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calgen.command.load import Desk
    from calgen.schedule.change import Change, Changes, InputChange
    from calgen.schedule.wording import Speaker

TOLD = 12
LOG = "changes.txt"


def change_lines(changes: Changes, found: Desk, told: int | None = None) -> list[str]:
    """The lines; none after a first build or when nothing is different.

    Args:
        told: at most so many inputs, and jobs of each sort, None for all.
    """
    if changes.first_build or not (changes or changes.inputs):
        return []
    speaker = found.speaker
    lines = [_input(change, speaker) for change in changes.inputs[:told]]
    if told is not None and len(changes.inputs) > told:
        lines.append(f"{len(changes.inputs) - told} more inputs are different; see {LOG}")
    if not lines:
        lines = ["no input of yours is different: calgen or its plant data is"]
    if not changes:
        lines.append("  no job moves")
    sorts: tuple[tuple[str, tuple[Change, ...]], ...] = (
        ("moved", changes.moved), ("new", changes.new), ("gone", changes.gone), ("done", changes.done))
    for word, entries in sorts:
        for change in entries[:told]:
            lines.append(f"  {speaker.wording.word(word)}: {change.title}: {_days(change, speaker)}")
        if told is not None and len(entries) > told:
            lines.append(f"  {speaker.wording.word(word)}: {len(entries) - told} more; see {LOG}")
    return lines


def with_entry(before: bytes, made: date, lines: list[str]) -> bytes:
    """The running list of changes (changes.txt) with this build's at its end; the same bytes when there are none."""
    if not lines:
        return before
    gap = b"\n" if before else b""
    return before + gap + "\n".join([made.isoformat(), *lines, ""]).encode("utf-8", "backslashreplace")


def _input(change: InputChange, speaker: Speaker) -> str:
    name, before, after = (change.name.replace("-", " "), _value(change.before, speaker),
                           _value(change.after, speaker))
    if change.name.startswith("diary: "):
        return f"{change.name}: {after or 'taken out'}"
    return f"{name}: {before or 'not given'} -> {after or 'not given'}"


def _value(text: str, speaker: Speaker) -> str:
    """A day of the year, such as 04-28, as words; anything else as it is."""
    month, _, day = text.partition("-")
    if len(month) == len(day) == 2 and (month + day).isdigit():
        return speaker.day(date(2000, int(month), int(day)))
    return text


def _days(change: Change, speaker: Speaker) -> str:
    days = [speaker.day(day) for day in (change.on_before, change.on_after) if day]
    words = " -> ".join(dict.fromkeys(days))
    if change.on_before == change.on_after and change.latest_before and change.latest_after:
        words += f", last safe day {speaker.day(change.latest_before)} -> {speaker.day(change.latest_after)}"
    return words

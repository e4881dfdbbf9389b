"""Covers refused for the same reason, told together: ``Too late (last safe day passed): buckwheat, chicory.``"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.planner.model import Rejected
    from calgen.schedule.wording import Speaker


def refusals(rejected: Iterable[Rejected], speaker: Speaker) -> tuple[str, ...]:
    """One line for each reason, that of most covers first. Mixtures are left out: their parts are told."""
    groups: dict[str, list[str]] = {}
    for entry in rejected:
        if len(entry.covers) == 1 and entry.reasons:
            name = speaker.wording.plant(entry.covers[0], speaker.knowledge)
            groups.setdefault(_heading(entry, speaker), []).append(name)
    between = speaker.wording.word("list-between")
    return tuple(speaker.phrase("not-these", {"reason": heading, "list": between.join(names)})
                 for heading, names in sorted(groups.items(), key=lambda group: (-len(group[1]), group[0])))


def _heading(entry: Rejected, speaker: Speaker) -> str:
    reason = entry.reasons[0]
    key = f"refused-{reason.key}"
    if key in speaker.wording.words:
        return speaker.phrase(key, reason.facts)
    return speaker.reason(reason).rstrip(".")

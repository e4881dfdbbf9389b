"""What the diary says was done, marked on the tasks of a bed: the real day takes the place of the planned one."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from calgen.planner.model import Timed
    from calgen.site.model import Doing

SOWINGS: Final = ("sow", "undersow", "drill")
TASKS_OF: Final[Mapping[str, tuple[str, ...]]] = {
    "sown": SOWINGS, "planted": ("plant",), "topped-up": ("top-up",), "failed": SOWINGS, "cut": ("cut-down",),
    "cleared": ("clear",), "mulched": ("mulch",), "looked": ("look",), "gathered": ("gather-seed",),
    "ordered": ("order-seed",), "sown-indoors": ("sow-indoors",), "hardened-off": ("harden-off",),
}
"""The tasks that each doing of the diary can fulfil."""
REACH: Final = timedelta(92)
"""A task more than a season from the day of a doing is another one. Judgement."""


def with_doings(tasks: Sequence[Timed], diary: Iterable[Doing]) -> tuple[Timed, ...]:
    """A bed's tasks, those done marked, on the day they were done.

    Each doing marks the nearest task of its kind and plants. A sowing that failed marks none: the task that stands in
    its place is still to do.
    """
    found = list(tasks)
    for doing in _standing(diary):
        fitting = [index for index, timed in enumerate(found) if not timed.done and _fits(timed, doing)]
        if fitting:
            nearest = min(fitting, key=lambda index: ("fallback" in found[index].facts,
                                                      abs(found[index].best - doing.on)))
            found[nearest] = replace(found[nearest], first=doing.on, best=doing.on, last=doing.on, done=True)
            sown = set(found[nearest].plants) if doing.done == "sown" else set()
            found = [timed for timed in found
                     if "fallback" not in timed.facts or not sown & set(_covers(timed.facts.get("covers")))]
    return tuple(found)


def _covers(fact: object) -> tuple[str, ...]:
    return fact if isinstance(fact, tuple) else ()


def _fits(timed: Timed, doing: Doing) -> bool:
    same = not doing.plants or bool(set(timed.plants) & set(doing.plants)) or doing.done == "mulched"
    return timed.kind in TASKS_OF[doing.done] and same and abs(timed.best - doing.on) <= REACH


def _standing(diary: Iterable[Doing]) -> list[Doing]:
    """The doings less the sowings that failed and the notes that they did."""
    kept: list[Doing] = []
    for doing in sorted(diary, key=lambda doing: doing.on):
        if doing.done != "failed":
            kept.append(doing)
            continue
        failed = [entry for entry in kept if entry.done == "sown"
                  and (not doing.plants or not entry.plants or set(entry.plants) & set(doing.plants))]
        if failed:
            kept.remove(failed[-1])
    return kept

"""What differs from the build before: jobs moved, new, gone, done, and the inputs that made the difference."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date

    from calgen.schedule.model import Job


class Change(Struct, frozen=True):
    """A job whose place in the plan changed: day and last safe day, before and after (None: not in that plan)."""

    uid: str
    bed: str
    kind: str
    title: str
    on_before: date | None
    on_after: date | None
    latest_before: date | None
    latest_after: date | None


class InputChange(Struct, frozen=True):
    """An input that differs, a path of keys joined by ": ", and its text before and after ("" where there was none)."""

    name: str
    before: str
    after: str


class Changes(Struct, frozen=True):
    """Everything to tell after a build; all empty after the first one. Each list is in order of date."""

    first_build: bool = False
    moved: tuple[Change, ...] = ()
    new: tuple[Change, ...] = ()
    gone: tuple[Change, ...] = ()
    done: tuple[Change, ...] = ()
    inputs: tuple[InputChange, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.moved or self.new or self.gone or self.done)


def job_changes(before: Iterable[Job], after: Iterable[Job], past: frozenset[str]) -> Changes:
    """Compares two plans by uid; jobs of ``past`` (uids) that left are no news. Kept jobs are not part of ``after``."""
    old = {job.uid: job for job in before}
    new = {job.uid: job for job in after}
    both = [(old[uid], job) for uid, job in new.items() if uid in old]
    return Changes(
        moved=_in_order(_change(a, b) for a, b in both if not b.done and (a.on, a.latest) != (b.on, b.latest)),
        new=_in_order(_change(None, job) for uid, job in new.items() if uid not in old),
        gone=_in_order(_change(job, None) for uid, job in old.items() if uid not in new and uid not in past),
        done=_in_order(_change(a, b) for a, b in both if b.done and not a.done),
    )


def input_changes(before: Mapping[str, object], after: Mapping[str, object]) -> tuple[InputChange, ...]:
    """Inputs that differ, in the order of their names."""
    old, new = dict(_leaves(before)), dict(_leaves(after))
    return tuple(
        InputChange(name, old.get(name, ""), new.get(name, ""))
        for name in sorted({*old, *new})
        if old.get(name) != new.get(name)
    )


def _change(before: Job | None, after: Job | None) -> Change:
    job = after or before
    assert job is not None
    on_before, latest_before = (before.on, before.latest) if before else (None, None)
    on_after, latest_after = (after.on, after.latest) if after else (None, None)
    return Change(job.uid, job.bed, job.kind, job.title, on_before, on_after, latest_before, latest_after)


def _in_order(changes: Iterable[Change]) -> tuple[Change, ...]:
    return tuple(sorted(changes, key=lambda change: (change.on_after or change.on_before, change.bed, change.title)))


def _leaves(value: object, path: Sequence[str] = ()) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for key, below in value.items():
            yield from _leaves(below, (*path, str(key)))
    elif isinstance(value, list | tuple) and any(isinstance(item, Mapping | list | tuple) for item in value):
        for number, item in enumerate(value, 1):
            yield from _leaves(item, (*path, str(number)))
    elif isinstance(value, list | tuple):
        yield ": ".join(path), ", ".join(str(item) for item in value)
    elif value is not None:
        yield ": ".join(path), str(value)

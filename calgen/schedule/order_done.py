"""Seed orders that the diary says were placed, marked on the day they were."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from calgen.planner.doing import REACH

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.schedule.model import Job
    from calgen.site.model import Doing


def orders_done(orders: Iterable[Job], diary: Iterable[Doing]) -> list[Job]:
    """The order jobs; each "ordered" of the diary marks the nearest that shares a plant with it."""
    found = list(orders)
    for doing in diary:
        fitting = [index for index, job in enumerate(found) if doing.done == "ordered" and not job.done
                   and (not doing.plants or set(doing.plants) & set(job.plants)) and abs(job.on - doing.on) <= REACH]
        if fitting:
            nearest = min(fitting, key=lambda index: abs(found[index].on - doing.on))
            found[nearest] = replace(found[nearest], on=doing.on, first=doing.on, last=doing.on, latest=doing.on,
                                     slack_days=0, done=True)
    return found

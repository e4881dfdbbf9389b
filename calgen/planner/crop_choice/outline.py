"""A bed's order in dates, without choosing covers: when each crop would start and leave the ground.

The chain in short: the same starts and stands, and the same remedies where the ground is free too late. Known error: a
cover that calgen chooses may put the next crop off within its window, and remedies of a gap are not tried.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from calgen.planner.stand import planned_start, stand, standing_start
from calgen.site.model import CoverStep, CropStep, MulchStep

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Crop, Knowledge
    from calgen.planner.stand import Stand, Start
    from calgen.site.model import Step

DAY = timedelta(1)
COVER_AT_LEAST = timedelta(35)
AMONG_AFTER = timedelta(14)


class Stood(Struct, frozen=True):
    """A crop of an order: when the ground is free for it, its start (None: never), and the day it leaves.

    ``filling`` is the cover or mulch before it, ``follows`` the crop before that; ``late`` tells that the deadline the
    grower gave is missed, ``squeezes`` that what stands before it is cleared before its harvest is over.
    """

    step: CropStep
    crop: Crop
    free: date
    start: Start | None
    end: date
    filling: CoverStep | MulchStep | None
    follows: Crop | None
    late: bool = False
    squeezes: bool = False


class Outlines(Struct):
    """Dates of crops at a site, kept: many beds ask for the same."""

    climate: Climate
    knowledge: Knowledge
    chart_start: date
    _starts: dict[tuple[object, ...], Start | None] = field(default_factory=dict)
    _stands: dict[tuple[object, ...], Stand] = field(default_factory=dict)

    def of(self, order: Iterable[Step]) -> tuple[Stood, ...]:
        """The crops of an order in time; places still open are passed over."""
        found: list[Stood] = []
        free: date | None = None
        standing: Stand | None = None
        filling: CoverStep | MulchStep | None = None
        for step in order:
            if not isinstance(step, CropStep):
                filling = step
                continue
            if step.is_open:
                continue
            crop = self.knowledge.crops[step.plant]
            if step.among and standing:
                start = planned_start(step, crop, self.climate,
                                      max(self.chart_start, standing.start.best + AMONG_AFTER))[0]
                if start:
                    grown = self._stand(step, crop, start)
                    found.append(Stood(step, crop, start.best, start, grown.end, None, standing.crop))
                    if grown.end > standing.end:
                        standing, free = grown, grown.end
                continue
            undated = not (step.sown or step.planted)
            ground = max(free, self.chart_start) if free and undated else free or self.chart_start
            begun = _begun(filling)
            if isinstance(filling, CoverStep) and filling.not_before:
                ground = max(ground, filling.not_before)
            first = standing_start(step, crop, self.climate, self.chart_start) \
                if free is None and filling is None and not step.choose else None
            start, late = (first, False) if first else self._start(step, crop, ground, begun, filling, standing)
            end = self._stand(step, crop, start).end if start else ground
            squeezes = bool(start and standing and start.best < ground and free)
            found.append(Stood(step, crop, ground, start, end, filling, standing.crop if standing else None, late,
                               squeezes))
            if start:
                standing, free = self._stand(step, crop, start), end
            filling = None
        return tuple(found)

    def _start(self, step: CropStep, crop: Crop, ground: date, begun: date | None,
               filling: CoverStep | MulchStep | None, standing: Stand | None) -> tuple[Start | None, bool]:
        """The start, and whether it misses the deadline; the days are tried as the chain does."""
        soonest = max(ground, begun + DAY) if begun else ground
        covered = isinstance(filling, CoverStep)
        days = [max(ground, begun + COVER_AT_LEAST) if begun else ground + COVER_AT_LEAST] if covered else []
        days.append(soonest)
        if standing and not standing.end_fixed and not begun:
            days += [day for day in (standing.end_first, standing.ready) if day < ground]
        for number, day in enumerate(days):
            if start := self._planned(step, crop, day, after_cover=covered and not number):
                return start, False
        if step.plant_by or step.sow_by:
            start, _ = self._start(replace(step, plant_by=None, sow_by=None), crop, ground, begun, filling, standing)
            return start, True
        return None, False

    def _planned(self, step: CropStep, crop: Crop, day: date, *, after_cover: bool) -> Start | None:
        key = (crop.id, day, after_cover, step.sown, step.planted, step.method, step.plant_by, step.sow_by)
        if key not in self._starts:
            self._starts[key] = planned_start(step, crop, self.climate, day, after_cover=after_cover)[0]
        return self._starts[key]

    def _stand(self, step: CropStep, crop: Crop, start: Start) -> Stand:
        key = (crop.id, start.best, start.method, step.ready, step.cleared, step.days, step.save_seed)
        if key not in self._stands:
            self._stands[key] = stand(step, crop, self.climate, start, self.chart_start)
        return self._stands[key]


def _begun(filling: CoverStep | MulchStep | None) -> date | None:
    if isinstance(filling, CoverStep):
        return filling.sown
    return filling.laid if filling else None

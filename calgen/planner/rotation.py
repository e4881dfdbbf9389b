"""Family gaps: a crop of one rotation group comes back too soon where disease may wait in the ground."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.planner.model import Finding, Reason
from calgen.site.model import CropStep

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import Fact
    from calgen.site.model import Bed


def rotation_notes(bed: Bed, history: Sequence[tuple[int, tuple[str, ...]]], knowledge: Knowledge) -> list[Finding]:
    """Notes on crops of a bed's order that follow a relative within the gap that sources ask for.

    Args:
        history: year and plants, the bed's past and its order as planned. [calendar years]
    """
    grown = sorted((year, plant) for year, plants in history for plant in plants if plant in knowledge.crops)
    places = {step.plant: step.place for step in bed.order if isinstance(step, CropStep)}
    notes: list[Finding] = []
    for index, (year, plant) in enumerate(grown):
        crop = knowledge.crops[plant]
        if plant not in places or crop.gap_years is None or crop.perennial:
            continue
        earlier = [(past, other) for past, other in grown[:index]
                   if knowledge.crops[other].rotation_group == crop.rotation_group
                   and past < year and year - past <= crop.gap_years.low]
        if earlier:
            past, other = earlier[-1]
            facts: dict[str, Fact] = {"crop": plant, "year": year, "other": other, "past": past,
                                      "low": crop.gap_years.low, "high": crop.gap_years.high}
            notes.append(Finding(places[plant], bed.name,
                                 Reason("note-rotation", facts, crop.gap_years.sources, good=False)))
    return notes

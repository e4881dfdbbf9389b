"""Family gaps: a crop of one rotation group comes back too soon where disease may wait in the ground.

Within the ordinary gap (Iowa State) a note tells of it; beyond that but within the life of a disease (University of
Connecticut, AHDB) another says that it matters only where the disease has shown.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.planner.model import Finding, Reason
from calgen.site.model import CropStep

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import Fact, Piece
    from calgen.site.model import Bed


def rotation_notes(bed: Bed, pieces: Iterable[Piece], knowledge: Knowledge) -> list[Finding]:
    """Notes on crops of a bed's order that follow a relative within the gap that sources ask for.

    A gap counts from the year in which the earlier crop left the ground to that in which the later one came into it.

    Args:
        pieces: the bed's year as planned; its past is in ``bed.grew``.
    """
    stands: dict[int, tuple[CropStep, int, int]] = {}
    for piece in pieces:
        if piece.kind == "crop" and isinstance(piece.step, CropStep):
            _, begun, left = stands.get(id(piece.step), (piece.step, piece.start.year, piece.to.year))
            stands[id(piece.step)] = (piece.step, min(begun, piece.start.year), max(left, piece.to.year))
    gone = [(year, plant) for year, plants in bed.grew for plant in plants if plant in knowledge.crops]
    gone += [(left, step.plant) for step, _, left in stands.values()]
    notes: list[Finding] = []
    for step, begun, _ in sorted(stands.values(), key=lambda stand: stand[1]):
        crop = knowledge.crops[step.plant]
        if crop.gap_years is None or crop.perennial:
            continue
        relatives = [(past, other) for past, other in gone
                     if knowledge.crops[other].rotation_group == crop.rotation_group and past < begun]
        if not relatives:
            continue
        past, other = max(relatives)
        facts: dict[str, Fact] = {"crop": step.plant, "year": begun, "other": other, "past": past}
        disease = crop.disease_gap_years
        if begun - past <= crop.gap_years.low:
            facts |= {"low": crop.gap_years.low, "high": crop.gap_years.high}
            notes.append(Finding(step.place, bed.name,
                                 Reason("note-rotation", facts, crop.gap_years.sources, good=False)))
        elif disease and begun - past <= disease.low:
            facts |= {"low": disease.low, "text": crop.gap_reason or ""}
            notes.append(Finding(step.place, bed.name, Reason("note-disease", facts, disease.sources, good=False)))
    return notes

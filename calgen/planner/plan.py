"""Site + Climate + Knowledge -> Plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dateutil.relativedelta import relativedelta
from msgspec.structs import replace

from calgen.planner.chain import planned_bed
from calgen.planner.model import Plan
from calgen.planner.rankings import Rankings
from calgen.planner.shared import shared
from calgen.planner.years import with_years

if TYPE_CHECKING:
    from datetime import date

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import BedPlan, CropChoice
    from calgen.site.model import Site


def plan(site: Site, climate: Climate, knowledge: Knowledge) -> Plan:
    """The plan of every bed for twelve months from the chart's first month, crops left to choose chosen first."""
    end = site.chart_starts + relativedelta(months=12)
    start = site.chart_starts
    if site.wanted:
        from calgen.planner.crop_choice.chosen import with_crops  # noqa: PLC0415  only where crops are left to choose

        chosen = with_crops(site, climate, knowledge, end)
        found = _plan(chosen.site, climate, knowledge, start, end)
        beds = tuple(replace(bed, crops=tuple(_dated(choice, bed) for choice in chosen.choices.get(bed.bed.name, ())),
                             notes=(*bed.notes, *chosen.notes.get(bed.bed.name, ()))) for bed in found.beds)
        return replace(found, beds=beds, left=chosen.left,
                       notes=(*(note for bed in beds for note in bed.notes), *chosen.site_notes))
    return _plan(site, climate, knowledge, start, end)


def _plan(site: Site, climate: Climate, knowledge: Knowledge, start: date, end: date) -> Plan:
    rankings = Rankings(climate, knowledge)
    alone = tuple(planned_bed(site, bed, rankings, start, end) for bed in site.beds)
    beds = tuple(with_years(bed, climate, knowledge, start) for bed in shared(
        alone, site, knowledge, rankings, lambda bed, preferring: planned_bed(site, bed, preferring, start, end)))
    return Plan(site, start, end, beds, tuple(note for bed in beds for note in bed.notes))


def _dated(choice: CropChoice, bed: BedPlan) -> CropChoice:
    """The choice with the start that the bed's plan came to: a cover may have put it off within its window."""
    starts = [piece.start for piece in bed.pieces
              if piece.kind == "crop" and piece.step and piece.step.place == choice.step.place]
    return replace(choice, start=min(starts)) if starts else choice

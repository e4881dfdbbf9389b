"""Site + Climate + Knowledge -> Plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dateutil.relativedelta import relativedelta

from calgen.planner.chain import planned_bed
from calgen.planner.model import Plan

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Knowledge
    from calgen.site.model import Site


def plan(site: Site, climate: Climate, knowledge: Knowledge) -> Plan:
    """The plan of every bed for twelve months from the chart's first month."""
    end = site.chart_starts + relativedelta(months=12)
    beds = tuple(planned_bed(site, bed, climate, knowledge, site.chart_starts, end) for bed in site.beds)
    return Plan(site, site.chart_starts, end, beds, tuple(note for bed in beds for note in bed.notes))

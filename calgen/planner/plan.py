"""Site + Climate + Knowledge -> Plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dateutil.relativedelta import relativedelta

from calgen.planner.chain import planned_bed
from calgen.planner.model import Plan
from calgen.planner.years import with_years

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Knowledge
    from calgen.site.model import Site


def plan(site: Site, climate: Climate, knowledge: Knowledge) -> Plan:
    """The plan of every bed for twelve months from the chart's first month."""
    end = site.chart_starts + relativedelta(months=12)
    start = site.chart_starts
    beds = tuple(with_years(planned_bed(site, bed, climate, knowledge, start, end), climate, knowledge, start)
                 for bed in site.beds)
    return Plan(site, start, end, beds, tuple(note for bed in beds for note in bed.notes))

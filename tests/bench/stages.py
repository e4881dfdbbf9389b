"""Processor time, or most memory taken, of each stage of a build. Prints JSON by stage. Used by ``python tests/bench``.

    python tests/bench/stages.py time|memory SITE.yaml SITE_WITH_CROPS_TO_CHOOSE.yaml
"""

from __future__ import annotations

import gc
import json
import sys
import tracemalloc
from datetime import UTC, date, datetime, time
from pathlib import Path
from time import process_time
from typing import TYPE_CHECKING, Any

from calgen.command.load import desk, template_bytes
from calgen.render.chart import chart_pdf
from calgen.render.chart.style import read_style
from calgen.render.feed import feeds
from calgen.render.feed_event import _alike
from calgen.render.feed_words import fingerprint
from calgen.render.page import page_html
from calgen.render.plan_json import plan_json
from calgen.render.sheets import sheets_pdf
from calgen.schedule.job_day import job_days
from calgen.schedule.memory import remembered
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.command.load import Desk
    from calgen.schedule.model import Schedule

BEDS_A_JOB = 8
"""So many beds to each job a garden day: four in a hundred jobs then find no day, and a quarter are moved."""
MADE = date(2026, 11, 28)
SMALL = Path(__file__).parents[2] / "sites" / "withy-row.yaml"


def scheduled(found: Desk) -> Schedule:
    """The schedule with identities, as on a first build."""
    plain = found.schedule(MADE)
    return remembered(plain, None, datetime.combine(MADE, time(), UTC), fingerprint(found.wording.fixed["feed"]))[0]


def main(what: str, site: str, choosing: str) -> None:
    """Run the stages one after the other; modules and fonts are loaded before, by the first demo site's chart."""
    style = read_style(*template_bytes("chart-a3.yaml", None))
    small = desk(SMALL)
    for draw in (chart_pdf, feeds):
        draw(*((scheduled(small), style) if draw is chart_pdf else (scheduled(small),)))
    gc.set_threshold(1_000_000)  # as the command line does
    _alike.cache_clear()  # the small site's events are among those of the large one
    spent: dict[str, float] = {}

    def stage(name: str, make: Callable[[], Any]) -> Any:
        gc.collect()
        if what == "memory":
            tracemalloc.start()
        start = process_time()
        made = make()
        spent[name] = tracemalloc.get_traced_memory()[1] / 1e6 if what == "memory" else process_time() - start
        tracemalloc.stop()
        return made

    found = stage("read", lambda: desk(Path(site)))
    assert found.climate
    assert found.speaker
    stage("plan", lambda: found.plan)
    whole = stage("schedule", lambda: scheduled(found))
    beds = len(found.site.beds)
    crowded = replace(found.plan, site=replace(found.site, jobs_per_day=max(1, beds // BEDS_A_JOB)))
    stage("jobs on full days", lambda: job_days(crowded))
    open_ = desk(Path(choosing))
    assert open_.climate
    stage("plan, crops to choose", lambda: open_.plan)
    words = found.wording.fixed
    stage("chart", lambda: chart_pdf(whole, style, words["chart"]))
    stage("sheets", lambda: sheets_pdf(whole, style, words["sheets"]))
    calendars = stage("feed", lambda: feeds(whole, words["feed"]))
    stage("page", lambda: page_html(whole, tuple(calendars), words["page"]))
    stage("plan.json", lambda: plan_json(whole))
    print(json.dumps(spent))


if __name__ == "__main__":
    main(*sys.argv[1:])

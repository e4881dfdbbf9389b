"""How long an 88-year daily record takes to read and to analyse, and how much memory: run it by hand.

    python tests/bench/climate_record.py
"""

from __future__ import annotations

import sys
import time
import tracemalloc
from datetime import date
from pathlib import Path

from calgen.climate.build import climate_of
from calgen.climate.read import read_record
from calgen.climate.report import report_text
from calgen.climate.years import years_reaching_before_frost
from calgen.problems import Place
from calgen.site.model import ClimateInput, Site

RECORD = Path(__file__).parent.parent / "climate" / "data" / "milwaukee_wi_us.csv.gz"
HERE = Place("bench")
PLOT = Site("Plot", "bench", HERE, 42.955, None, None, None, None, None, ClimateInput((), "record", HERE), "loam",
            "hand", "metric", (5, 6), 0.2, date(2026, 9, 1), ())


def main() -> None:
    """Print seconds of each step, then the peak of a second run under the memory tracer."""
    marks = [time.perf_counter()]

    def step(name: str) -> None:
        marks.append(time.perf_counter())
        print(f"{name:<34}{marks[-1] - marks[-2]:7.2f} s")

    record = read_record(RECORD)
    step("read")
    report_text(record)
    step("figures as text")
    climate = climate_of(PLOT, record)
    season = climate.season_at(date(2026, 6, 1))
    step("climate and its first season")
    for risk in range(1, 100):
        climate.last_frost(season, risk / 100, -1.7)
    step("99 frost dates")
    years_reaching_before_frost(climate, date(2026, 8, 20), -2.2, 4.4, 600)
    step("one question, year by year")
    tracemalloc.start()
    climate_of(PLOT, read_record(RECORD))
    print(f"{'peak memory of read and climate':<34}{tracemalloc.get_traced_memory()[1] / 1e6:7.1f} MB")


if __name__ == "__main__":
    sys.exit(main())

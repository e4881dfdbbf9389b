"""Invented gardens and slots for the choice of covers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

import pytest
from calgen.climate.build import climate_of
from calgen.knowledge.read import read_knowledge
from calgen.planner.choice.rank import rank
from calgen.planner.model import Slot
from calgen.problems import Place
from calgen.site.model import Bed, ClimateInput, Frost, MonthDay, Site, Size

NOWHERE = Place("garden.yaml")


@dataclass
class Garden:
    """A place and a bed, in as few words as a test needs."""

    latitude: float = 52.5
    last: str | None = "04-20"
    first: str | None = "11-05"
    winter_low: float | None = -6.0
    warmest: float | None = 17.0
    tools: str = "hand"
    soil: str = "loam"
    normals: tuple = ()

    def site(self):
        frost = Frost(_month_day(self.last), _month_day(self.first), None, NOWHERE) if self.last else None
        return Site("Garden", "garden.yaml", NOWHERE, self.latitude, None, None, frost, self.winter_low, self.warmest,
                    ClimateInput(self.normals), self.soil, self.tools, "metric", (5, 6), 0.2, date(2026, 1, 1), ())

    def climate(self):
        return _climate(self.latitude, self.last, self.first, self.winter_low, self.warmest, self.normals)

    def slot(self, free, *, needs=(), before=(), standing=None, since=60, next_crop=None, method=None, start=None,
             how="cleared", soil=(), size=None, later=(), history=(), fixed=(), fixed_sown=None, companion=False,
             until=None, earliest=None):
        crops = read_knowledge().crops
        standing_crop = crops[standing] if standing else None
        sown_first = earliest or free
        stands = tuple(crops[crop] for crop in before)
        return Slot(
            site=self.site(), bed=Bed("Bed", NOWHERE, size or Size(5.0), tuple(soil), tuple(needs), (), ()),
            earliest_sow=sown_first, free_from=free, until=until or start or free + timedelta(240),
            standing=standing_crop, standing_since=free - timedelta(since) if standing else None,
            before=stands + ((standing_crop,) if standing_crop else ()), history=tuple(history),
            next_crop=crops[next_crop] if next_crop else None, next_method=method, next_start=start, next_latest=None,
            later_crops=tuple((years, crops[crop]) for years, crop in later), hows=(how,), fixed=tuple(fixed),
            fixed_sown=fixed_sown, companion=companion,
        )

    def rank(self, free, **story):
        return rank(self.slot(free, **story), self.climate(), read_knowledge())


def _month_day(text):
    return MonthDay(int(text[:2]), int(text[3:]))


@lru_cache(maxsize=64)
def _climate(latitude, last, first, winter_low, warmest, normals):
    return climate_of(Garden(latitude, last, first, winter_low, warmest, normals=normals).site())


@pytest.fixture(scope="session")
def knowledge():
    return read_knowledge()


@pytest.fixture
def maritime():
    """A mild maritime garden: 52.5° N, last frost 20 April, first 5 November, warmest month 17 °C."""
    return Garden()


@pytest.fixture
def garden():
    return Garden


@pytest.fixture(scope="session")
def garden_class():
    """``Garden`` for fixtures that live longer than a test."""
    return Garden

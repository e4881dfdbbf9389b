"""In how many years what is planned went well, as sentences: counted from a record, else expected from the climate.

    covers   the warmth of a safe stand (``cover_growth.heat_needed``) came before growth ended; where that is seldom,
             the warmth to come up and live (``survive_dd``); winter reached the cold that kills it, told of those that
             stand into or through winter
    crops    tender ones that start in spring: a frost came after they were out, or up

Facts of each reason: ``hits`` of ``of`` years, ``from_record``, ``date`` of the start, ``plants``. Known error without
a record: that of the climate's level; with one, that the next years may be warmer than the last thirty.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from calgen.climate.years import (
    HALF_YEAR_DAYS,
    Years,
    years_reaching,
    years_reaching_before_frost,
    years_with_frost_after,
    years_with_low,
)
from calgen.planner.choice.course import course
from calgen.planner.cover_growth import growth_end, heat_needed
from calgen.planner.crop_maturity import is_warm
from calgen.planner.model import Reason

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Cover, Crop, Knowledge
    from calgen.planner.model import BedPlan, Fact, Option

COMES_UP: Final = timedelta(10)
"""Tender seed comes up some ten days after sowing (``crop_spring``)."""
SELDOM: Final = 0.5


def with_years(bed: BedPlan, climate: Climate, knowledge: Knowledge, start: date) -> BedPlan:
    """The bed's plan with the years of each chosen cover and of each tender crop started from ``start`` on."""
    choices = tuple(replace(choice, years=tuple(_cover_years(choice.chosen, climate))) if choice.chosen else choice
                    for choice in bed.choices)
    crops = tuple(reason for timed in bed.tasks
                  if timed.kind in ("sow", "plant") and timed.best >= start and not timed.done
                  for plant in timed.plants if plant == timed.facts.get("crop")
                  for reason in _crop_years(knowledge.crops[plant], climate, timed.best, direct=timed.kind == "sow"))
    return replace(bed, choices=choices, years=crops)


def _cover_years(option: Option, climate: Climate) -> Iterator[Reason]:
    season = climate.season_at(option.sow)
    for cover in option.covers:
        safe = _reaching(cover, climate, option.sow, heat_needed(cover, climate))
        yield _reason("established", safe, cover.id, option.sow, cover.establish_dd.sources)
        if safe.share < SELDOM:
            lives = _reaching(cover, climate, option.sow, cover.survive_dd.mid)
            yield _reason("lives", lives, cover.id, option.sow, cover.survive_dd.sources)
    for cover in option.covers:
        if option.ending.way == "winter-kill" or option.ending.best > season.end:
            kill_c = 0.0 if cover.hurt_by_first_frost else course(cover, climate, option.sow).kill_c
            yield _reason("killed", years_with_low(climate, kill_c), cover.id, option.sow, cover.kill_c.sources,
                          kill_c=kill_c)


def _reaching(cover: Cover, climate: Climate, sow: date, heat: float) -> Years:
    end, base_c = growth_end(cover, climate, climate.season_at(sow)), cover.base_c.mid
    thresholds = {"frost": 0.0, "kill": cover.kill_c.mid}
    if end.because in thresholds:
        return years_reaching_before_frost(climate, sow, thresholds[end.because], base_c, heat)
    return years_reaching(climate, sow, end.day, base_c, heat)


def _crop_years(crop: Crop, climate: Climate, day: date, *, direct: bool) -> Iterator[Reason]:
    out = day + COMES_UP if direct else day
    if is_warm(crop) and not climate.frost_free and out < climate.season_at(day).start + timedelta(HALF_YEAR_DAYS):
        yield _reason("frost-sown" if direct else "frost-planted", years_with_frost_after(climate, out), crop.id, day,
                      out=out)


def _reason(what: str, years: Years, plant: str, day: date, sources: tuple[str, ...] = (), **more: Fact) -> Reason:
    facts: dict[str, Fact] = {"plants": (plant,), "date": day, "hits": round(years.hits), "of": years.of,
                              "from_record": years.from_record, "years_chance": years.share, **more}
    return Reason(f"years-{what}-{'record' if years.from_record else 'climate'}", facts, sources)

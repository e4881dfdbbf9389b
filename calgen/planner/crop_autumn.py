"""Autumn and overwintering starts of a crop.

**Autumn** windows hold the starts that are ready from six weeks before the average first frost on, and after the
summer heat where there is one. They close with the last start that is ready before the night that spoils the crop; a
tender crop must be ready two weeks before the first frost, with a short harvest. The "fall factor" that extension
services add to the days to maturity is here the warmth and light that autumn lacks (``crop_maturity``). For the last
start a kind from the quicker half of those listed is taken, as growers do. Where winters are so mild that the crop
grows on through them the window stays open to the end of the season, and spring follows at once.

**Overwintering** starts are given by weeks from the first frost, and may begin up to four weeks sooner once the soil
has cooled; there are none where the winter kills the plant in most years.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from calgen.planner.crop_ends import Ends, hot_days, soil_cool_from, sooner_by_caution, weeks
from calgen.planner.crop_maturity import (
    DAY,
    LIKELY_KILL,
    TENDER_MARGIN_DAYS,
    ending_night_c,
    is_warm,
    start_for,
)
from calgen.planner.crop_spring import HALF_YEAR_DAYS, last_before_autumn, last_feasible, warm_enough

if TYPE_CHECKING:
    from datetime import date

    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Crop, Method
    from calgen.planner.model import Fact

QUICK_KIND: Final = 0.3
"""Which of the listed days the last start counts with: 0 the quickest, 1 the slowest kinds. Judgement."""
SHORTEST_AUTUMN_DAYS: Final = 14
NEVER_COOLS: Final = timedelta(2)
"""Heat that lasts to the end of the season leaves no autumn."""
COOL_SOIL_C: Final = 16.0
"""Cloves, sets and seed of overwintering crops start well once the soil is below this. Judgement."""
SOONER_WEEKS: Final = 4.0
SURE_KILL: Final = 0.97
"""Chance of a killing winter from which an overwintering start is left out although the winter low is an estimate."""


def autumn(crop: Crop, climate: Climate, season: Season, method: Method) -> Ends | None:
    """First and last start for an autumn harvest; None when no start is ready in time."""
    closing, opening = _closing(crop, climate, season, method), _opening(crop, climate, season, method)
    if closing is None or opening is None:
        return None
    (first, opens, facts), (last, closes, more) = opening, closing
    warm = warm_enough(crop, climate, season, method) if is_warm(crop) else None
    if warm and warm[0] > first:
        first, opens, facts = warm
    if first > last:
        return None
    first = min(first, max(season.start, last - timedelta(SHORTEST_AUTUMN_DAYS)))
    return Ends(first, last, opens, closes, facts | more)


def _opening(crop: Crop, climate: Climate, season: Season, method: Method) -> tuple[date, str, dict[str, Fact]] | None:
    hot = hot_days(crop, climate, season)
    cooled = start_for(crop, climate, method, hot[1] + DAY) if hot else None
    if hot and (cooled is None or hot[1] >= season.end - NEVER_COOLS):
        return None
    facts: dict[str, Fact] = {}
    if season.first_frost is None:
        first, opens = season.start + timedelta(HALF_YEAR_DAYS) + DAY, "year"
    else:
        facts["first_frost"] = season.first_frost
        before = last_before_autumn(crop, climate, season, method)
        first, opens = before + DAY if before else season.start, "short" if is_warm(crop) else "ready-in-autumn"
    if cooled and crop.heat_limit_c and (cooled > first or season.first_frost is None):
        return max(cooled, season.start), "cooled", facts | {"heat_c": round(crop.heat_limit_c.mid)}
    return first, opens, facts


def _closing(crop: Crop, climate: Climate, season: Season, method: Method) -> tuple[date, str, dict[str, Fact]] | None:
    night = ending_night_c(crop, climate)
    if season.first_frost is None or (night is None and not crop.stands_winter):
        return season.end - DAY, "mild", {}
    if is_warm(crop):
        by: date | None = season.first_frost - timedelta(TENDER_MARGIN_DAYS) - sooner_by_caution(climate, season)
        closes, facts = "frost", {}
    else:
        night = crop.damage_c.mid if crop.damage_c else 0.0
        by, closes, facts = climate.first_frost(season, 0.5, night), "cold", {"cold_c": round(night)}
    last = start_for(crop, climate, method, by or season.end, QUICK_KIND)
    if is_warm(crop) and last:
        ripens = last_feasible(crop, climate, season, method)
        last = ripens and min(last, ripens)
    if last is None or last < season.start:
        return None
    return last, closes, {"first_frost": season.first_frost, **facts}


def overwinter(crop: Crop, climate: Climate, season: Season, method: Method) -> Ends | None:
    """First and last start of a crop that stands the winter small; None where winters kill it."""
    kill_c = crop.kill_c.mid if crop.kill_c else -10.0
    chance = climate.winter_kill_chance(kill_c)
    if chance > (SURE_KILL if climate.winter_low_estimated else LIKELY_KILL):
        return None
    cooled = soil_cool_from(climate, season, COOL_SOIL_C)
    anchor = season.first_frost or cooled
    if anchor is None:
        return None
    span = crop.overwinter[method]
    first, last, opens = anchor + weeks(span.low), anchor + weeks(span.high), "weeks"
    if cooled and cooled < first and not crop.spring.get(method):
        first, opens = max(cooled, first - weeks(SOONER_WEEKS)), "soil-cooled"
    closes = "winter" if chance < 1 - LIKELY_KILL else "winter-risky"
    return Ends(first, last, opens, closes, {"first_frost": anchor, "kill_c": round(kill_c),
                                              "cool_c": round(COOL_SOIL_C)})

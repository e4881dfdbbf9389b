"""Spring and summer starts of a crop: from when the ground and the nights allow, to when it no longer pays.

    quantity   unit
    night      °C, air temperature of a night that the young plant just stands
    soil       °C, daily mean at seed depth
    pace       1 where spring warms by 0.2 °C a day, as in the Midwest; more where it is slower

**Spring opens** with the later of two days: the soil is warm enough (``soil_min_c``, less what the sun adds on open
ground; for tender plants raised under cover the air counts instead), and the night that kills a young plant has, in
the average year, come for the last time. Since that night is
asked for by its temperature, the weeks before the last frost come out by themselves: few where spring rushes, many
where it creeps. Tender plants go out when no more years bring a frost than the grower's ``caution`` accepts, one in
five if nothing is said; potatoes so early that their shoots miss the last light frosts. Tender seed goes in at the
average last frost, since it comes up ten days later, moved by as many days as another caution moves the plants. Plants
that bolt after cold wait for the weeks that guides give.

**Spring closes** with the week that planting guides give, stretched by the pace of the spring unless the crop has to
wait or is aimed at a harvest long after; where the summer is
too hot for a cool-season harvest it goes on until the last start that is ready before the heat, but not beyond the
equinox; tender crops that set no fruit in heat stop sooner. Without a frost date it is the first half of the year.

**Summer** runs on from there where no heat forbids it: for a cool-season crop to the last start that is ready before
the autumn sowings would be, for a tender one to the last that still gives a full harvest before the first frost.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from calgen.planner.crop_ends import (
    Ends,
    air_warm_from,
    hot_days,
    later_by_caution,
    sooner_by_caution,
    weeks,
)
from calgen.planner.crop_maturity import DAY, TENDER_MARGIN_DAYS, ending_night_c, is_warm, start_for

if TYPE_CHECKING:
    from datetime import date

    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Crop, Method
    from calgen.planner.model import Fact

SPRING_SUN_C: Final = 1.5
"""Open ground at seed depth is 1-2 °C warmer than the air's mean in spring sun. Source: climate methods, memory."""
PLANT_AIR_C: Final[dict[str, float]] = {"tender": 12.0, "very-tender": 13.0}
"""Published soil temperatures are for seed. Raised plants go out once nights are safe and days in the mean so warm:
chilling-sensitive plants stand still below 10-13 °C. Common practice; judgement."""
NIGHT_C: Final[dict[tuple[str, Method], float]] = {
    ("hardy", "direct"): -7.0, ("hardy", "plant"): -7.0, ("hardy", "transplant"): -5.5,
    ("half-hardy", "direct"): -5.5, ("half-hardy", "plant"): -5.5, ("half-hardy", "transplant"): -4.4,
}
"""Hardened cole crops are hurt below -4 °C and killed near -8 °C (University of Missouri), spinach stands -7 °C
(Clemson); seed and sets in the ground stand more than plants. Chosen within these by the published planting dates."""
EARLIEST_WEEKS: Final[dict[str, float]] = {"hardy": -8.5, "half-hardy": -6.5}
"""Earlier before the last frost hardly any guide starts, however mild the winter seems: Utah's and Georgia's hardy
groups begin 6 to 9 weeks before it, their half-hardy ones 4 to 6; California's mild coast 10 and 6. Plants of hardy
crops go with the half-hardy. Judgement."""
RARE_NIGHT: Final = 0.1
"""Nights that come in fewer years set no limit, as in the published frost normals (NOAA gives no date below 10 %)."""
TENDER_SHOOTS_C: Final = -3.0
SHOOTS_NIGHT_C: Final = -2.2
SHOOTS_DAYS: Final = 25
"""Potatoes go in before their shoots, which a light frost kills, can come up two to four weeks later. Source:
University of Illinois Extension; emergence from memory."""
AUTUMN_READY_DAYS: Final = 42
"""A crop that is ready from six weeks before the first frost on is an autumn crop. Judgement, from the first days of
the published autumn tables (Oklahoma HLA-6009, Georgia C963)."""
REFERENCE_PACE: Final = 0.2
SHORTEST_SPRING_DAYS: Final = 28
"""Guides give every crop four to seven weeks. Judgement."""
SHORTEST_SUMMER_DAYS: Final = 14
HALF_YEAR_DAYS: Final = 182
EQUINOX_DAYS: Final = 75
"""From the coldest day to the spring equinox, roughly."""
ENOUGH_HEAT: Final = 0.9
ENOUGH_HEAT_ROUGH: Final = 0.7
"""A window is left out only where nine in ten such climates could not ripen the crop: degree days above 10 °C are, nine
times in ten, within 9 % with the warmest month or better, within 29 % from frost dates alone (``climate.minimal``)."""


def pace(climate: Climate, last_frost: date) -> float:
    """How slowly spring warms at the last frost. [1 in the Midwest]"""
    around = timedelta(20)
    slope = (climate.tmean(last_frost + around) - climate.tmean(last_frost - around)) / 40
    return min(2.0, max(0.75, REFERENCE_PACE / max(slope, 0.01)))


def spring(crop: Crop, climate: Climate, season: Season, method: Method) -> Ends | None:
    """First and last start of spring; None when the ground never warms, or frost or heat comes too soon."""
    opening = _opening(crop, climate, season, method)
    feasible = last_feasible(crop, climate, season, method)
    if opening is None or feasible is None or feasible < opening[0]:
        return None
    first, opens, facts = opening
    hot = hot_days(crop, climate, season)
    before_heat = start_for(crop, climate, method, hot[0]) if hot else None
    heat: dict[str, Fact] = {"heat_c": round(crop.heat_limit_c.mid)} if crop.heat_limit_c else {}
    if season.last_frost is None:
        last, closes = season.start + timedelta(HALF_YEAR_DAYS), "year"
        if hot:
            last, closes, facts = before_heat or season.start - DAY, "heat", facts | heat
        return Ends(first, min(last, feasible), opens, closes, facts) if first <= min(last, feasible) else None
    waits = crop.main_season == "spring" or (crop.spring[method].low > 0 and not is_warm(crop))
    guide = season.last_frost + weeks(crop.spring[method].high * (1 if waits else pace(climate, season.last_frost)))
    last, closes = max(guide, first + timedelta(SHORTEST_SPRING_DAYS)), "guide"
    facts["last_frost"] = season.last_frost
    if before_heat and is_warm(crop):
        before_heat = max(before_heat, first + timedelta(SHORTEST_SPRING_DAYS))
        if before_heat < last:
            last, closes, facts = before_heat, "heat", facts | heat
    elif before_heat:
        before_heat = min(before_heat, season.start + timedelta(EQUINOX_DAYS))
        if before_heat > last:
            last, closes, facts = before_heat, "heat", facts | heat
    if feasible < last and season.first_frost:
        last, closes = feasible, "frost" if is_warm(crop) else "cold"
        facts |= {"first_frost": season.first_frost, "cold_c": round(ending_night_c(crop, climate) or 0.0)}
    return Ends(first, last, opens, closes, facts)


def summer(crop: Crop, climate: Climate, season: Season, method: Method, before: Ends) -> Ends | None:
    """Starts after the usual spring weeks; None where heat forbids them or few days remain."""
    if before.closes != "guide" or season.first_frost is None or hot_days(crop, climate, season):
        return None
    last = last_before_autumn(crop, climate, season, method)
    first = before.last + DAY
    if last is None or last < first + timedelta(SHORTEST_SUMMER_DAYS):
        return None
    closes = "full" if is_warm(crop) else "autumn"
    return Ends(first, last, "follows", closes, {"first_frost": season.first_frost})


def last_before_autumn(crop: Crop, climate: Climate, season: Season, method: Method) -> date | None:
    """The last start with a full harvest (tender), or one not yet in autumn (cool season); None when none is."""
    if season.first_frost is None:
        return season.end - DAY
    if is_warm(crop):
        by = season.first_frost - timedelta(TENDER_MARGIN_DAYS + round(crop.harvest_days.mid)) \
            - sooner_by_caution(climate, season)
        return start_for(crop, climate, method, by)
    return start_for(crop, climate, method, season.first_frost - timedelta(AUTUMN_READY_DAYS + 1))


def last_feasible(crop: Crop, climate: Climate, season: Season, method: Method) -> date | None:
    """The last start from which the quickest kinds are ready before frost (tender) or spoiling cold.

    A heat sum short of the need by no more than the known error of the climate still counts.
    """
    night = ending_night_c(crop, climate)
    by = None if night is None else climate.first_frost(season, 0.5, night)
    if by is None or crop.perennial:
        return season.end - DAY
    if is_warm(crop):
        by -= timedelta(TENDER_MARGIN_DAYS) + sooner_by_caution(climate, season)
    share = ENOUGH_HEAT_ROUGH if climate.level == 1 else ENOUGH_HEAT
    return start_for(crop, climate, method, by, kind=0.0, share=share, by_heat=is_warm(crop))


def _opening(crop: Crop, climate: Climate, season: Season, method: Method) -> tuple[date, str, dict[str, Fact]] | None:
    warm = warm_enough(crop, climate, season, method)
    if warm is None:
        return None
    found: list[tuple[date, str, dict[str, Fact]]] = [(season.start, "start", {}), warm]
    if is_warm(crop):
        direct = method == "direct"
        frost = climate.last_frost(season, 0.5 if direct else climate.caution)
        kind = "safe"
        facts: dict[str, Fact] = {"in_years": round(1 / climate.caution, 1)}
        if direct:
            moved = later_by_caution(climate, season)
            frost, kind = frost and frost + moved, "moved-last-frost" if moved else "last-frost"
    elif crop.kill_c and crop.kill_c.mid > TENDER_SHOOTS_C:
        frost, kind, facts = climate.last_frost(season, climate.caution, SHOOTS_NIGHT_C), "shoots", {}
        frost = frost and frost - timedelta(SHOOTS_DAYS)
    else:
        night = NIGHT_C[crop.hardiness, method]
        frost, kind, facts = _last_such_night(climate, season, night), "night", {"night_c": round(night)}
    if frost:
        found.append((frost, kind, facts))
    guide = crop.spring[method].low
    if season.last_frost and (guide > 0 or (crop.main_season == "spring" and not is_warm(crop))):
        found.append((season.last_frost + weeks(guide), *_aimed(guide)))
    elif season.last_frost and not is_warm(crop):
        earliest = min(guide, EARLIEST_WEEKS["half-hardy" if method == "transplant" else crop.hardiness])
        found.append((season.last_frost + weeks(earliest), "earliest", {"weeks": round(-earliest)}))
    return max(found, key=lambda entry: entry[0])


def _aimed(guide: float) -> tuple[str, dict[str, Fact]]:
    return ("late", {"weeks": round(guide)}) if guide > 0 else ("earliest", {"weeks": round(-guide)})


def warm_enough(crop: Crop, climate: Climate, season: Season,
                 method: Method) -> tuple[date, str, dict[str, Fact]] | None:
    """The day from which the ground is warm enough, or for tender plants, whose roots bring theirs, the air."""
    soil_c = crop.soil_min_c.mid if crop.soil_min_c else crop.base_c.mid + SPRING_SUN_C
    by_soil = climate.soil_warm_from(season, soil_c - SPRING_SUN_C)
    if is_warm(crop) and method == "transplant":
        air_c = PLANT_AIR_C[crop.hardiness]
        by_air = air_warm_from(climate, season, air_c)
        if by_air and (by_soil is None or by_air < by_soil):
            return by_air, "air", {"air_c": round(air_c)}
    return (by_soil, "soil", {"soil_c": round(soil_c)}) if by_soil else None


def _last_such_night(climate: Climate, season: Season, night_c: float) -> date | None:
    """The middle date of the last such night over the years that have one; None where hardly any has."""
    share = climate.winter_kill_chance(night_c)
    return None if share < RARE_NIGHT else climate.last_frost(season, share / 2, night_c)

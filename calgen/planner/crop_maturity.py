"""When a crop started on a day is ready, and how long it can be gathered.

    quantity        unit
    listed days     days to maturity as published, from sowing or from planting
    reference       °C, mean temperature of the weather in which the listed days hold
    growth          days of growth as listed: 1 on a day as warm as the reference, less on a cooler one
    dark            from the day shorter than ten hours to the day that is so long again

Listed days hold in good spring or summer weather. A cool spring or a failing autumn stretches them: the "fall factor"
of 7-14 days that extension services add falls out of this. A day warmer than the reference brings growth by its heat
above the crop's base, capped. On a cooler day growth falls with the square root of that heat, half way between
counting heat and counting days: heat sums were fitted to the warm places and the kinds grown there, while cool places
grow quick kinds of their own, in long light; and it falls with the length of the day below that of a summer's. Where a
heat sum is published it is used as it is. While days are shorter than ten hours growth counts half: growers find that
it nearly stops, trials that warmth matters as much (Coleman 2009 and its critics); half is a judgement.

Error: degree days of one crop predict its maturity within about a week (Oregon State University, vegetable degree-day
models); with a climate known from frost dates alone autumn heat is off by 6 % on average (9 in 10 within 13 %).
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.climate.days import RunningSums

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Crop, Method

DAY: Final = timedelta(1)
REFERENCE_COOL_C: Final = 17.0
REFERENCE_WARM_C: Final = 21.0
"""Mean temperature at which listed days hold: a month around the middle of the growth of spring sowings in the
Midwest and Maryland, where most of the lists come from. Judgement."""
CAP_COOL_C: Final = 21.0
CAP_WARM_C: Final = 28.0
"""Above this a day brings no more growth: the upper end of best growth in Knott's Handbook (from memory)."""
EASE: Final = 0.5
"""Power of a cool day's warmth against a good day's. Judgement, by pickings in cool summers that are common practice:
bush beans in 60-80 days and peas of March by mid June in England, where heat alone asks for 105 and 130 days."""
LONG_DAY_H: Final = 14.5
"""Days as long as this bring growth in full: about the mean of May to July where the lists come from. Judgement."""
RAISED_SHARE: Final = 0.6
"""Days in the bed that a day under cover stands for: warmth speeds the seedling, planting sets it back. Judgement."""
SHORT_DAY_H: Final = 10.0
SHORT_DAY_SHARE: Final = 0.5
LONGEST_DAYS: Final = 420
CALENDAR_DAYS: Final = 180.0
"""What takes longer waits for a season, not for heat, and is ready by the calendar. Judgement."""
SHIFT_SHARE: Final = 0.25
"""An overwintered crop started a week late is ready about two days late: it waits for the same spring. Judgement."""
BOLT_SOIL_C: Final = 10.0
"""Crops left standing run to seed once the ground is so warm in their second spring. Judgement."""
LIKELY_KILL: Final = 0.6
"""Chance of a killing night in a winter from which a crop is not counted on to stand it. Judgement."""
WINTER_GROWTH_C: Final = 5.0
"""So far above the crop's base (about 10 °C for cool-season crops) the coldest weeks still let it grow. Judgement."""
MIDDLE_KIND: Final = 0.5
WARM_DAY_C: Final = 12.5
"""Tender plants hardly grow or ripen on days cooler than this in the mean. Common practice; judgement."""
TENDER_MARGIN_DAYS: Final = 14
"""A tender crop must be ready so long before the first frost. Source: Virginia Cooperative Extension; SP291-G."""
OVERWINTER_EARLY_DAYS: Final = 14
RESUME_SOIL_C: Final = 6.0
RESUME_DAYS: Final = 21
"""Overwintered leaves and pods are not gathered before three weeks of growth in the new year. Judgement."""
AHEAD_SHARE: Final = 0.75
"""What stood the winter needs this share of its listed days of growth from then on, at most. Judgement."""


class Maturity(Struct, frozen=True):
    """The course of a crop from its start.

    ``ready`` first harvest with the kinds that suit the place, ``ready_first`` and ``ready_last`` with the quickest
    and slowest; ``harvest_end`` the day by which the ground can be clear; ``cut_short`` whether frost ends the harvest
    before its time, or would that of the middle kinds.
    """

    start: date
    ready_first: date
    ready: date
    ready_last: date
    harvest_end: date
    cut_short: bool


def is_warm(crop: Crop) -> bool:
    """Whether the crop is one of the warm season, killed by the first frost."""
    return crop.hardiness in ("tender", "very-tender")


def listed_days(crop: Crop, method: Method) -> tuple[float, float]:
    """Published days to maturity from the start by this method, quickest and slowest kinds. [days]"""
    raised = (crop.indoors_weeks.mid * 7 if crop.indoors_weeks else 35.0) * RAISED_SHARE
    shift = 0.0
    if crop.counted_from == "sowing" and method == "transplant":
        shift = -raised
    elif crop.counted_from == "transplanting" and method == "direct":
        shift = raised
    return max(14.0, crop.maturity_days.low + shift), max(14.0, crop.maturity_days.high + shift)


def heat_cap_c(crop: Crop) -> float:
    """Temperature above which a day brings no more growth. [°C]"""
    if crop.cap_c:
        return crop.cap_c.mid
    return CAP_WARM_C if is_warm(crop) else CAP_COOL_C


def good_day_c(crop: Crop) -> float:
    """Warmth above the crop's base of a day on which it grows as listed. [°C]"""
    if crop.maturity_dd:
        return crop.maturity_dd.mid / crop.maturity_days.mid
    return max((REFERENCE_WARM_C if is_warm(crop) else REFERENCE_COOL_C) - crop.base_c.mid, 3.0)


def growth_between(crop: Crop, climate: Climate, start: date, end: date, *, by_heat: bool = False) -> float:
    """Growth of this crop between two days, in days of growth as listed; ``by_heat``: cool days count by heat alone."""
    sums = _growth(crop, climate, by_heat=by_heat)
    return sums[end] - sums[start]


def _growth(crop: Crop, climate: Climate, *, by_heat: bool = False) -> RunningSums:
    eased = crop.maturity_dd is None and not by_heat
    return _growth_sums(climate, crop.base_c.mid, heat_cap_c(crop), good_day_c(crop), eased)


@lru_cache(maxsize=256)
def _growth_sums(climate: Climate, base_c: float, cap_c: float, good_c: float, eased: bool) -> RunningSums:
    heats, light = climate.heat_of_days(base_c, cap_c), _light(climate)
    if not eased:
        return RunningSums([heat / good_c * lit for heat, (lit, _) in zip(heats, light, strict=True)])
    return RunningSums([warmth * lit if warmth >= 1 else warmth**EASE * eased_lit
                        for heat, (lit, eased_lit) in zip(heats, light, strict=True) for warmth in [heat / good_c]])


@lru_cache(maxsize=8)
def _light(climate: Climate) -> tuple[tuple[float, float], ...]:
    """For each day of the year the part of growth that its length allows, on warm and on cool days. [0-1]"""
    shares = [1.0 if hours >= SHORT_DAY_H else SHORT_DAY_SHARE for hours in climate.daylengths_h]
    return tuple((share, share * min(1.0, hours / LONG_DAY_H))
                 for share, hours in zip(shares, climate.daylengths_h, strict=True))


def day_ready(crop: Crop, climate: Climate, start: date, days: float) -> date | None:
    """The first day by which a kind of so many listed days is ready; None if it never grows so much."""
    if _by_calendar(crop):
        return start + timedelta(round(days))
    sums = _growth(crop, climate)
    reached = sums.reached(start, days, LONGEST_DAYS)
    return None if reached is None else reached + DAY


def start_for(crop: Crop, climate: Climate, method: Method, ready_by: date, kind: float = 0.5,
              share: float = 1.0, *, by_heat: bool = False) -> date | None:
    """The latest start from which the crop is ready by a day; None when a year would not do.

    Args:
        kind: 0 for the quickest kinds listed, 1 for the slowest.
        share: of the growth needed that counts as enough. [0-1]
        by_heat: cool days count by heat alone, as for fruit that ripens only in warmth.
    """
    quick, slow = listed_days(crop, method)
    days = quick + kind * (slow - quick)
    if _by_calendar(crop):
        return ready_by - timedelta(round(days))
    days *= share
    sums = _growth(crop, climate, by_heat=by_heat)
    return sums.since(ready_by, days, LONGEST_DAYS)


def _by_calendar(crop: Crop) -> bool:
    return crop.maturity_days.mid > CALENDAR_DAYS


def maturity(crop: Crop, climate: Climate, start: date, method: Method) -> Maturity | None:
    """The course of a crop started on a day; None when cold comes before it is ready. Never raises.

    A tender crop ends with the first frost, another with the night that spoils it (``damage_c``), on average dates.
    What stands the winter is gathered until it is killed or runs to seed. A crop started in its overwintering season
    is ready by the calendar of the next year.
    """
    season = climate.season_at(start)
    if _overwinters(crop, climate, season, start, method):
        return _next_year(crop, climate, season, start, method)
    quick, slow = listed_days(crop, method)
    kind = suited_kind(crop, climate, season, method)
    first, ready, last = (day_ready(crop, climate, start, quick + share * (slow - quick)) for share in (0, kind, 1))
    if first is None or ready is None:
        return None
    last = last or ready + timedelta(round((slow - quick) / 2))
    if crop.perennial:
        return Maturity(start, first, ready, last, ready + timedelta(round(crop.harvest_days.high)), cut_short=False)
    ends = _cold_end(crop, climate, season, start)
    if ends is not None and first >= ends:
        return None
    long = is_warm(crop) or crop.stands_winter
    full = ready + timedelta(round(crop.harvest_days.high if long else crop.harvest_days.mid))
    if crop.stands_winter:
        bolts = climate.soil_warm_from(climate.season_at(season.end + DAY), BOLT_SOIL_C)
        if bolts and full > bolts:
            full = max(bolts, ready + timedelta(round(crop.harvest_days.low / 2)))
    if ends is None or ends >= full:
        return Maturity(start, first, ready, last, full, cut_short=kind < MIDDLE_KIND)
    ready = min(ready, ends - DAY)
    return Maturity(start, first, ready, min(max(last, ready), ends), ends, cut_short=True)


def suited_kind(crop: Crop, climate: Climate, season: Season, method: Method) -> float:
    """Which of the listed kinds growers here choose: 0 the quickest, up to 0.5 the middle ones.

    Growers with short or cool summers choose quick kinds of tender crops (common practice): such that what grows in the
    frost-free warm part of the year, up to two weeks before the first frost, has room for ripening and for the harvest.
    """
    warm = _warm_spell(climate, season) if is_warm(crop) else None
    quick, slow = listed_days(crop, method)
    if warm is None or slow <= quick:
        return MIDDLE_KIND
    room = growth_between(crop, climate, *warm) - crop.harvest_days.mid - quick
    return min(MIDDLE_KIND, max(0.0, room / (slow - quick)))


@lru_cache(maxsize=64)
def _warm_spell(climate: Climate, season: Season) -> tuple[date, date] | None:
    """From the last frost to two weeks before the first, as far as days are warm; None where no frost comes."""
    if season.last_frost is None or season.first_frost is None:
        return None
    until = season.first_frost - timedelta(TENDER_MARGIN_DAYS)
    length = max(0, (until - season.last_frost).days)
    days = (season.last_frost + timedelta(n) for n in range(length))
    warm = [day for day in days if climate.tmean(day) >= WARM_DAY_C]
    return (warm[0], warm[-1]) if warm else (until, until)


def ending_night_c(crop: Crop, climate: Climate) -> float | None:
    """The night that ends the crop in autumn [°C]; None where no ordinary winter does.

    Tender crops end with frost. What stands the winter ends only where winters kill it. Other crops end with the night
    that spoils them, unless the winter is so mild that they grow on through it.
    """
    if is_warm(crop):
        return 0.0
    kill_c = crop.kill_c.mid if crop.kill_c else -5.0
    chance = climate.winter_kill_chance(kill_c)
    if crop.stands_winter or crop.perennial:
        if chance < LIKELY_KILL:
            return None
        return max(kill_c, crop.damage_c.mid if crop.damage_c else kill_c)
    if chance < 1 - LIKELY_KILL and climate.coldest_day_c >= crop.base_c.mid + WINTER_GROWTH_C:
        return None
    return crop.damage_c.mid if crop.damage_c else kill_c


def _cold_end(crop: Crop, climate: Climate, season: Season, start: date) -> date | None:
    """The average date of the night that ends the crop, at or after ``start``; None when no winter does."""
    night = ending_night_c(crop, climate)
    if night is None:
        return None
    found = climate.first_frost(season, 0.5, night)
    if found is not None and found <= start:
        found = climate.first_frost(climate.season_at(season.end + DAY), 0.5, night)
    return found


def _overwinters(crop: Crop, climate: Climate, season: Season, start: date, method: Method) -> bool:
    weeks = crop.overwinter.get(method)
    if weeks is None:
        return False
    if not crop.spring.get(method) and not crop.autumn_latest.get(method):
        return True
    anchor = season.first_frost or season.end
    return start >= anchor + timedelta(round(weeks.low * 7) - OVERWINTER_EARLY_DAYS)


def _next_year(crop: Crop, climate: Climate, season: Season, start: date, method: Method) -> Maturity:
    quick, slow = listed_days(crop, method)
    after = climate.season_at(season.end + DAY)
    if crop.spring.get(method):
        resumes = climate.soil_warm_from(after, RESUME_SOIL_C) or after.start
        dates = []
        for kind in (quick, (quick + slow) / 2, slow):
            reached = day_ready(crop, climate, start, kind)
            soonest = resumes + timedelta(RESUME_DAYS)
            latest = day_ready(crop, climate, resumes, kind * AHEAD_SHARE) or resumes + timedelta(round(kind))
            if reached is None or reached > season.end:
                reached = max(soonest, latest if reached is None else min(reached, latest))
            dates.append(reached)
        first, ready, last = dates
    else:
        anchor = (season.first_frost or season.end) + timedelta(round(crop.overwinter[method].mid * 7))
        usual = anchor + (start - anchor) * SHIFT_SHARE
        first, ready, last = (usual + timedelta(round(days)) for days in (quick, (quick + slow) / 2, slow))
    return Maturity(start, first, ready, last, ready + timedelta(round(crop.harvest_days.mid)), cut_short=False)

"""When a cover can be sown at a site, by warmth and not by calendar.

    last          the latest day that still leaves the heat a safe stand needs before growth ends (``cover_growth``);
                  sooner or later where the grower's caution is not the usual one
    first         spring and summer: soil warm enough, and frost over for tender covers; late summer and autumn: not
                  so early that it flowers, seeds or grows too tall, nor in the heat
    best          late summer and autumn: the latest day that leaves heat for a full stand; for winter beans, a
                  sure one
    late          behind the last day: until then plants come through, with little to show before winter

A cover sown all summer has one window where summers stay cool: mustard from March to September. Places without frost
and near the equator go the same way: what has no date sets no limit.

Sources: degree days before frost: Cornell, late summer crucifers; Rutgers; the dated tables of Penn State, NRCS
Georgia and others that the covers' data name. Lateness: Cornell, rye; NRCS Georgia.
Error: of 65 published windows 96 % overlap ours; the last day is 9 days off in the middle case and 29 in one of ten,
from latitude and frost dates alone (tests/published/test_cover_windows.py). Publications differ by as much.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from calgen.climate.days import DAYS_IN_YEAR
from calgen.planner.cover_growth import End, caution_heat, days_of, growth_end, heat_needed, latest
from calgen.planner.crop_ends import later_by_caution
from calgen.planner.model import Reason, Window

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Cover
    from calgen.planner.model import Fact, SeasonName

SeedFactor = float
"""Factor on the seed rate of a timely sowing. [1 and up]"""
DAY: Final = timedelta(1)
ORDINARY: Final = date(2026, 7, 1)
"""A day whose growing year holds no leap day, north and south."""
STEPS_SPAN_DAYS: Final = 30.0
"""The published steps of rye's seed rate run from its best day to the end of its window in New York, 15 September to
15 October (Cornell). At other places they are stretched over the days from best to last."""
SURE: Final = 1.5
"""The best day leaves half as much heat again as the last safe one: for crucifers about the 1111 °C·day that Cornell
asks for a full stand, for crimson clover the seven weeks before first frost of Michigan State. Judgement."""
STANDS_THIN: Final = 2.0
"""What needs over twice the heat to fill the ground that it needs to stand safely, as winter beans do, is not sown to
fill it before winter: its best day leaves a sure stand. Judgement; British growers sow beans in October and early
November (common practice)."""
SPRING_SOIL_C: Final = 5.0
"""Spring sowing of hardy covers begins with this soil at seed depth, whatever their seed would bear. Common practice:
growth begins at 5-6 °C."""
COOLING_C: Final = 3.0
"""After midsummer a cover may be sown while it is still this much warmer than in spring: it comes up into cooling
weather. Judgement; Georgia starts cereals, and New York oats, in such days."""
LEAST_DAYS: Final = 14
"""Where the last safe day comes before the weeks that count as not too early, warmth decides: two weeks are left."""
FROST_SEEDING_DAYS: Final = 60
THAW_C: Final = 0.0
FREEZE_C: Final = -1.0
WINTER_FREEZE_C: Final = -3.0
"""Frost seeding, in the last two months before soil is warm, needs nights that freeze and days that thaw, after a
winter of frozen ground. Source: Cornell, red clover (February and March in New York); the limits are ours."""


@lru_cache(maxsize=4096)
def cover_windows(cover: Cover, climate: Climate, season: Season) -> tuple[Window, ...]:
    """Every window whose sowings fall into a growing year, in order of their first day.

    The same from year to year: those of an ordinary one, without a leap day. Never raises; empty where the cover cannot
    be sown, for want of warmth, of a cool season or of time.
    """
    ordinary = climate.season_at(ORDINARY)
    if season.start != ordinary.start:
        later = season.start.year - ordinary.start.year
        return tuple(_moved(window, later) for window in cover_windows(cover, climate, ordinary))
    found = []
    for name, first, last in _spells(cover, climate, season):
        if first.day <= last.day:
            found.append(_window(cover, name, first, last, _best(cover, climate, season, name, first, last)))
    return tuple(sorted(found, key=lambda window: (window.first, window.last)))


def _moved(window: Window, years: int) -> Window:
    """The window in another year."""
    def moved(day: date) -> date:
        return day.replace(year=day.year + years)

    facts: dict[str, Fact] = {name: moved(fact) if isinstance(fact, date) else fact
                              for name, fact in window.why.facts.items()}
    return replace(window, first=moved(window.first), best=moved(window.best), last=moved(window.last),
                   why=replace(window.why, facts=facts))


@lru_cache(maxsize=4096)
def late_windows(cover: Cover, climate: Climate, season: Season) -> tuple[Window, ...]:
    """What lies behind the last safe day: sowings that still come through, with little to show before winter.

    For a grower who has nothing better or names this cover: British growers sow mustard until the end of October
    (common practice). At most one window; empty where there is no safe one or nothing behind it.
    """
    safe = [window for window in cover_windows(cover, climate, season)
            if window.why.key.endswith(("-stand", "-kill", "-frost"))]
    end = min(growth_end(cover, climate, season).day, season.end)
    last = latest(cover, climate, season.start, end, cover.survive_dd.mid)
    if last is None or not safe or safe[-1].last >= last:
        return ()
    first = safe[-1].last + DAY
    facts: dict[str, Fact] = {"cover": cover.id, "first": first, "last": last, "survive_dd": cover.survive_dd.mid}
    why = Reason("cover-late", facts, cover.survive_dd.sources, good=False)
    return (Window(cover.id, "cover", safe[-1].season, "cover", first, first, last, why),)


def sowing_lateness(cover: Cover, climate: Climate, season: Season, day: date) -> SeedFactor:
    """More seed for a late sowing: 1 up to the best day of the window, then by published steps.

    Args:
        season: the growing year that holds ``day``.
        day: day of sowing; after the window it counts as its last day.
    """
    before = [window for window in cover_windows(cover, climate, season) if window.first <= day]
    if not before or before[-1].season == "spring":
        return 1.0
    window = before[-1]
    span = (window.last - window.best).days
    late = STEPS_SPAN_DAYS * (day - window.best).days / span if span > 0 else STEPS_SPAN_DAYS * (day > window.best)
    return max([1.0, *(step.factor for step in cover.seed_steps if step.from_days_late <= late)])


def _spells(cover: Cover, climate: Climate, season: Season) -> list[tuple[SeasonName, End, End]]:
    """Names and ends of the windows, some of them empty."""
    last = _last_safe(cover, climate, season)
    if last is None:
        return []
    warm = _warm_enough(cover, climate, season)
    if cover.hurt_by_first_frost:
        return [("summer", warm, last)] if warm else []
    frozen = _frost_seeding(cover, climate, season) if cover.frost_sown else None
    spells: list[tuple[SeasonName, End, End]] = [("overwinter", *frozen)] if frozen else []
    early = _not_too_early(cover, climate, season, last.day)
    hot = _too_hot(cover, climate, season)
    if warm and "summer" in cover.seasons and (hot is None or early.day <= hot.day + DAY):
        return [*spells, ("summer", warm, last)]
    if warm and {"spring", "summer"} & set(cover.seasons):
        solstice = End(_midsummer(climate, season).day - DAY, "midsummer")
        ends = [end for end in (hot, last, solstice) if end]
        spells.append(("spring", warm, min(ends, key=lambda end: end.day)))
    if set(cover.seasons) - {"spring"}:
        # frost seeding has the name of its own winter
        stands = last.because == "stand" and not frozen
        spells.append(("overwinter" if stands else "autumn", early, last))
    return spells


def _warm_enough(cover: Cover, climate: Climate, season: Season) -> End | None:
    soil_c = max(SPRING_SOIL_C, (cover.sow_soil_c or cover.germination_min_c).mid)
    warm = climate.soil_warm_from(season, soil_c)
    if warm is None:
        return None
    if cover.hurt_by_first_frost and season.last_frost and season.last_frost >= warm:
        moved = later_by_caution(climate, season)
        return End(season.last_frost + moved, "moved-last-frost" if moved else "last-frost",
                   {"last_frost": season.last_frost, "in_years": round(1 / climate.caution, 1)})
    if warm <= season.start:
        return End(season.start, "year-round")
    return End(warm, "soil", {"soil_c": soil_c})


def _not_too_early(cover: Cover, climate: Climate, season: Season, last: date) -> End:
    ends = [_midsummer(climate, season)]
    if season.first_frost and cover.too_early_weeks:
        day = season.first_frost - timedelta(round(7 * cover.too_early_weeks.mid))
        ends.append(End(min(day, last - timedelta(LEAST_DAYS)), "early",
                        {"frost": season.first_frost, "weeks": cover.too_early_weeks.mid}))
    cool = _cooler(cover, climate, season)
    if cool:
        ends.append(cool)
    return max(ends, key=lambda end: end.day)


def _too_hot(cover: Cover, climate: Climate, season: Season) -> End | None:
    """The last day of spring before it is too hot to sow; None where summer stays cool enough."""
    if cover.sow_below_c is None:
        return None
    limit_c = cover.sow_below_c.mid
    if climate.warmest_day_c <= limit_c:
        return None
    hot = next((day for day in days_of(season) if climate.tmean(day) > limit_c), None)
    return End(hot - DAY, "heat", {"mean_c": limit_c}) if hot else None


def _cooler(cover: Cover, climate: Climate, season: Season) -> End | None:
    """The first day after summer's heat from which it can be sown again; None where it never was too hot."""
    if cover.sow_below_c is None:
        return None
    limit_c = cover.sow_below_c.mid + COOLING_C
    if climate.warmest_day_c <= limit_c:
        return None
    hot = [day for day in days_of(season) if climate.tmean(day) > limit_c]
    return End(hot[-1] + DAY, "cooler", {"mean_c": limit_c}) if hot else None


def _frost_seeding(cover: Cover, climate: Climate, season: Season) -> tuple[End, End] | None:
    """Days at winter's end with frozen nights and thawing days, before the soil is warm enough for raking in."""
    soil_c = max(SPRING_SOIL_C, cover.germination_min_c.mid)
    warm = climate.soil_warm_from(season, soil_c)
    if warm is None or climate.tmin(season.start) > WINTER_FREEZE_C:
        return None
    days = [day for day in days_of(season)[: DAYS_IN_YEAR // 2]
            if climate.tmin(day) <= FREEZE_C and climate.tmax(day) >= THAW_C]
    if not days:
        return None
    return (End(max(days[0], warm - timedelta(FROST_SEEDING_DAYS)), "thaw"),
            End(min(days[-1], warm - DAY), "thawed", {"soil_c": soil_c}))


def _last_safe(cover: Cover, climate: Climate, season: Season) -> End | None:
    end = growth_end(cover, climate, season)
    if end.because == "cool" and end.day == season.end:
        return End(season.end - DAY, "year-round")
    last = latest(cover, climate, season.start, end.day, heat_needed(cover, climate))
    more = caution_heat(cover, climate, season, last, end) if last else 0.0
    if more:
        last = latest(cover, climate, season.start, end.day, heat_needed(cover, climate) + more)
    return End(min(last, season.end - DAY), end.because, end.facts) if last else None


def _best(cover: Cover, climate: Climate, season: Season, name: SeasonName, first: End, last: End) -> date:
    if name == "spring" or first.because == "thaw" or cover.hurt_by_first_frost:
        return first.day + (last.day - first.day) / 3
    sure, end = SURE * heat_needed(cover, climate), growth_end(cover, climate, season).day
    fills = cover.full_cover_dd.mid <= STANDS_THIN * cover.establish_dd.mid
    full = latest(cover, climate, season.start, end, max(cover.full_cover_dd.mid, sure) if fills else sure)
    return min(last.day, max(first.day, full or first.day))


def _midsummer(climate: Climate, season: Season) -> End:
    """The summer solstice of the growing year."""
    month = 12 if climate.south else 6
    solstice = date(season.start.year, month, 21)
    return End(solstice if solstice >= season.start else date(season.start.year + 1, month, 21), "midsummer")


def _window(cover: Cover, name: SeasonName, first: End, last: End, best: date) -> Window:
    facts: dict[str, Fact] = {"cover": cover.id, "first": first.day, "best": best, "last": last.day, **first.facts,
                              **last.facts}
    sources = dict.fromkeys((*(cover.sow_soil_c or cover.germination_min_c).sources, *cover.establish_dd.sources))
    key = "cover-thaw-thawed" if first.because == "thaw" else f"cover-from-{first.because}|cover-until-{last.because}"
    why = Reason(key, facts, tuple(sources))
    return Window(cover.id, "cover", name, "cover", first.day, best, last.day, why)

"""When a cover can be sown at a site, by warmth and not by calendar.

    growth end    the day from which heat no longer counts for the stand: the first frost for tender covers, the
                  frost that kills for those that winter is likely to kill, midwinter for the others
    last          the latest day that still leaves ``establish_dd`` before the growth end; ``survive_dd`` gives the
                  later day until which plants come through at all, told as a fact
    first         spring and summer: soil warm enough, and frost over for tender covers; late summer and autumn: not
                  so early that it flowers, seeds or grows too tall, nor in the heat
    best          late summer and autumn: the latest day that leaves ``full_cover_dd``

Windows that touch are one window: where summers stay cool, mustard is sown from March to September. Places without
frost and near the equator go the same way: what has no date sets no limit.

Sources: degree days before frost: Cornell, late summer crucifers; Rutgers; the dated tables of Penn State, NRCS
Georgia and others that the covers' data name. Lateness: Cornell, rye; NRCS Georgia.
Error: measured against published windows in tests/published/cover_windows.py.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from calgen.climate.days import DAYS_IN_YEAR
from calgen.planner.model import Reason, Window

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Cover
    from calgen.planner.model import Fact, SeasonName

SeedFactor = float
"""Factor on the seed rate of a timely sowing. [1 and up]"""
DAY: Final = timedelta(1)
STEPS_SPAN_DAYS: Final = 30.0
"""The published steps of rye's seed rate run from its best day to the end of its window in New York, 15 September to
15 October (Cornell). At other places they are stretched over the days from best to last."""
KILLED_SHARE: Final = 0.5
"""A cover counts as killed by winter where that happens in more than every second one."""
COOLING_C: Final = 3.0
"""After midsummer a cover may be sown while it is still this much warmer than in spring: it comes up into cooling
weather. Judgement; Georgia starts cereals, and New York oats, in such days."""
NEAR_EQUATOR_DEG: Final = 5.0
THAW_C: Final = 0.0
FREEZE_C: Final = -1.0
"""Frost seeding needs nights that freeze and days that thaw. Source: Cornell, red clover; the limits are ours."""


@dataclass(frozen=True, slots=True)
class End:
    """One end of a window: the day, what sets it, and the facts that the reason names."""

    day: date
    because: str
    facts: Mapping[str, Fact] = field(default_factory=dict)


def cover_windows(cover: Cover, climate: Climate, season: Season) -> tuple[Window, ...]:
    """Every window whose sowings fall into a growing year, in order of their first day.

    Never raises; empty where the cover cannot be sown, for want of warmth, of a cool season or of time.
    """
    found = []
    for name, first, last in _spells(cover, climate, season):
        if first.day <= last.day:
            best = _best(cover, climate, season, name, first.day, last.day)
            found.append(_window(cover, climate, season, name, first, last, best))
    return tuple(sorted(found, key=lambda window: (window.first, window.last)))


def sowing_lateness(cover: Cover, climate: Climate, season: Season, day: date) -> SeedFactor:
    """More seed for a late sowing: 1 up to the best day of the window, then by published steps.

    Args:
        season: the growing year that holds ``day``.
        day: day of sowing; after the window it counts as its last day.
    """
    before = [window for window in cover_windows(cover, climate, season) if window.first <= day]
    if not before or not cover.seed_steps or before[-1].season == "spring":
        return 1.0
    window = before[-1]
    span = (window.last - window.best).days
    late = STEPS_SPAN_DAYS * (day - window.best).days / span if span > 0 else STEPS_SPAN_DAYS * (day > window.best)
    return max([1.0, *(step.factor for step in cover.seed_steps if step.from_days_late <= late)])


def last_survivor(cover: Cover, climate: Climate, season: Season) -> date | None:
    """The last day on which a sowing still comes through, with little to show for it; None if none does."""
    return _latest(cover, climate, season.start, growth_end(cover, climate, season).day, cover.survive_dd.mid)


def growth_end(cover: Cover, climate: Climate, season: Season) -> End:
    """The day from which heat no longer counts for a stand sown in this growing year, and why."""
    if cover.hurt_by_first_frost:
        if season.first_frost:
            return End(season.first_frost, "frost", {"frost": season.first_frost})
        return End(_too_cool(cover, climate, season) or season.end, "cool")
    kill_c = cover.kill_c.mid
    if climate.winter_kill_chance(kill_c) > KILLED_SHARE:
        killed = climate.first_frost(season, KILLED_SHARE, kill_c)
        if killed and killed < season.end:
            return End(killed, "kill", {"kill_c": kill_c, "kill": killed})
    return End(season.end, "stand")


def _spells(cover: Cover, climate: Climate, season: Season) -> list[tuple[SeasonName, End, End]]:
    autumn_name: SeasonName = "autumn" if growth_end(cover, climate, season).because != "stand" else "overwinter"
    last = _last_safe(cover, climate, season)
    spells: list[tuple[SeasonName, End, End]] = []
    if cover.frost_sown and (frozen := _frost_seeding(cover, climate, season)):
        spells.append(("overwinter", *frozen))
    if cover.hurt_by_first_frost:
        return [("summer", warm, last)] if (warm := _warm_enough(cover, climate, season)) and last else []
    warm = _warm_enough(cover, climate, season) if {"spring", "summer"} & set(cover.seasons) else None
    late = _not_too_early(cover, climate, season) if {"summer", "late-summer", "autumn"} & set(cover.seasons) else None
    hot = _too_hot(cover, climate, season)
    if warm and "summer" not in cover.seasons and "late-summer" not in cover.seasons:
        hot = min((hot, _midsummer(climate, season)), key=lambda end: end.day) if hot else _midsummer(climate, season)
    if warm and last and late and (hot is None or late.day <= hot.day + DAY):
        return [*spells, ("summer", warm, last)]
    if warm:
        spells.append(("spring", warm, hot or last or End(season.end - DAY, "year-round")))
    if late and last:
        spells.append((autumn_name, late, last))
    return spells


def _warm_enough(cover: Cover, climate: Climate, season: Season) -> End | None:
    soil_c = (cover.sow_soil_c or cover.germination_min_c).mid
    warm = climate.soil_warm_from(season, soil_c)
    if warm is None:
        return None
    if cover.hurt_by_first_frost and season.last_frost and season.last_frost >= warm:
        return End(season.last_frost, "last-frost", {"frost": season.last_frost})
    if warm <= season.start:
        return End(season.start, "year-round")
    return End(warm, "soil", {"soil_c": soil_c})


def _not_too_early(cover: Cover, climate: Climate, season: Season) -> End:
    ends = [_midsummer(climate, season)]
    if season.first_frost and cover.too_early_weeks:
        ends.append(End(season.first_frost - timedelta(round(7 * cover.too_early_weeks.mid)), "early",
                        {"frost": season.first_frost, "weeks": cover.too_early_weeks.mid}))
    cool = _cooler(cover, climate, season)
    if cool and cover.life != "perennial":
        ends.append(cool)
    return max(ends, key=lambda end: end.day)


def _too_hot(cover: Cover, climate: Climate, season: Season) -> End | None:
    """The last day of spring before it is too hot to sow; None where summer stays cool enough."""
    if cover.sow_below_c is None:
        return None
    limit_c = cover.sow_below_c.mid
    hot = next((day for day in _days(season) if climate.tmean(day) > limit_c), None)
    return End(hot - DAY, "heat", {"mean_c": limit_c}) if hot else None


def _cooler(cover: Cover, climate: Climate, season: Season) -> End | None:
    """The first day after summer's heat from which it can be sown again; None where it never was too hot."""
    if cover.sow_below_c is None:
        return None
    limit_c = cover.sow_below_c.mid + COOLING_C
    hot = [day for day in _days(season) if climate.tmean(day) > limit_c]
    return End(hot[-1] + DAY, "cooler", {"mean_c": limit_c}) if hot else None


def _too_cool(cover: Cover, climate: Climate, season: Season) -> date | None:
    """The day after summer from which soil is too cool for it; None where it never is."""
    days = _days(season)
    warmest = max(days, key=climate.soil_c)
    return next((day for day in days if day > warmest and climate.soil_c(day) < cover.germination_min_c.mid), None)


def _frost_seeding(cover: Cover, climate: Climate, season: Season) -> tuple[End, End] | None:
    """Days at winter's end with frozen nights and thawing days, before the soil is warm enough for raking in."""
    days = [day for day in _days(season)[: DAYS_IN_YEAR // 2]
            if climate.tmin(day) <= FREEZE_C and climate.tmax(day) >= THAW_C]
    warm = climate.soil_warm_from(season, cover.germination_min_c.mid)
    if not days or warm is None or climate.tmin(season.start) > FREEZE_C - 2:
        return None
    return End(days[0], "thaw"), End(min(days[-1], warm - DAY), "thawed", {"soil_c": cover.germination_min_c.mid})


def _last_safe(cover: Cover, climate: Climate, season: Season) -> End | None:
    end = growth_end(cover, climate, season)
    if end.because == "cool" and end.day == season.end:
        return End(season.end - DAY, "year-round")
    last = _latest(cover, climate, season.start, end.day, cover.establish_dd.mid)
    return End(last, end.because, end.facts) if last else None


def _latest(cover: Cover, climate: Climate, start: date, end: date, heat: float) -> date | None:
    """The latest day from ``start`` on that leaves so much heat [°C·day] before ``end``; None if there is none."""
    base = cover.base_c.mid
    if climate.degree_days(start, end, base) < heat:
        return None
    low, high = start.toordinal(), end.toordinal()
    while high - low > 1:
        middle = (low + high) // 2
        if climate.degree_days(date.fromordinal(middle), end, base) >= heat:
            low = middle
        else:
            high = middle
    return date.fromordinal(low)


def _best(cover: Cover, climate: Climate, season: Season, name: SeasonName, first: date, last: date) -> date:
    if name != "spring" and not cover.hurt_by_first_frost:
        full = _latest(cover, climate, season.start, growth_end(cover, climate, season).day, cover.full_cover_dd.mid)
        return min(last, max(first, full or first))
    return first + (last - first) / 3


def _midsummer(climate: Climate, season: Season) -> End:
    """The longest day of the growing year; near the equator its middle."""
    if abs(climate.latitude_deg) < NEAR_EQUATOR_DEG:
        return End(season.start + (season.end - season.start) / 2, "midsummer")
    return End(max(_days(season), key=climate.daylength_h), "midsummer")


def _days(season: Season) -> list[date]:
    return [season.start + timedelta(n) for n in range((season.end - season.start).days)]


def _window(cover: Cover, climate: Climate, season: Season, name: SeasonName, first: End, last: End,
            best: date) -> Window:
    facts: dict[str, Fact] = {"cover": cover.id, "first": first.day, "best": best, "last": last.day, **first.facts,
                              **last.facts, "establish_dd": cover.establish_dd.mid, "base_c": cover.base_c.mid}
    late = last_survivor(cover, climate, season)
    if late and late > last.day and last.because in ("stand", "kill", "frost"):
        facts["late"] = late
    sources = dict.fromkeys((*(cover.sow_soil_c or cover.germination_min_c).sources, *cover.establish_dd.sources))
    return Window(cover.id, "cover", name, "cover", first.day, best, last.day,
                  Reason(f"cover-{first.because}-{last.because}", facts, tuple(sources)))

"""When a cover could be sown in a slot: its windows, cut to the days on which the ground and the grower are ready."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from calgen.planner.choice.ending import deadline
from calgen.planner.choice.same import Same
from calgen.planner.cover_window import cover_windows, sowing_lateness

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Cover
    from calgen.planner.model import Slot, Window
    from calgen.site.model import How

DAY = timedelta(1)


@dataclass(frozen=True, slots=True)
class Opening:
    """Days on which a cover can be sown: first and last, and those worth trying."""

    window: Window
    first: date
    last: date
    days: tuple[date, ...]


def openings(cover: Cover, climate: Climate, slot: Slot, how: How) -> tuple[Opening, ...]:
    """Every window that meets the slot, soonest first. A sowing already made is one day, in a window or not."""
    if slot.fixed_sown:
        day = slot.fixed_sown
        inside = [window for window in windows(cover, climate, day, day) if window.first <= day <= window.last]
        window = inside[0] if inside else None
        return (Opening(window, day, day, (day,)),) if window else ()
    first, last = span(slot, how)
    found = []
    for window in windows(cover, climate, first, last):
        low, high = max(first, window.first), min(last, window.last)
        if low <= high:
            best = min(max(window.best, low), high)
            found.append(Opening(window, low, high, (low,) if best <= low + timedelta(6) else (low, best)))
    return tuple(found)


def span(slot: Slot, how: How) -> tuple[date, date]:
    """First and last day on which the cover could go in, whatever cover it is."""
    due = deadline(slot).planned - DAY
    if how == "cleared" or slot.standing is None:
        return max(slot.earliest_sow, slot.free_from), due
    first = slot.earliest_sow
    if slot.standing_since:
        ready = slot.standing_since + _from_days(slot)
        first = ready if slot.earliest_sow >= slot.free_from else max(first, ready)
    return first, due if slot.companion else min(due, slot.free_from - DAY)


def _from_days(slot: Slot) -> timedelta:
    from_days = slot.standing.undersow.from_days if slot.standing else None
    return timedelta(round(from_days.low)) if from_days and not slot.companion else timedelta(0)


def windows(cover: Cover, climate: Climate, first: date, last: date) -> tuple[Window, ...]:
    """The cover's windows in every season from a day to another, and those that run on from the season before."""
    season = climate.season_at(first)
    seasons = [climate.season_at(season.start - DAY), season]
    while season.end <= last and len(seasons) < 4:
        season = climate.season_at(season.end)
        seasons.append(season)
    return tuple(window for season in seasons for window in _windows(Same(cover), climate, season))


@lru_cache(maxsize=4096)
def _windows(kept: Same[Cover], climate: Climate, season: Season) -> tuple[Window, ...]:
    return tuple(cover_windows(kept.it, climate, season))


@lru_cache(maxsize=20_000)
def _lateness(kept: Same[Cover], climate: Climate, day: date) -> float:
    return sowing_lateness(kept.it, climate, climate.season_at(day), day)


def lateness(cover: Cover, climate: Climate, day: date) -> float:
    """Factor on the seed rate for a day. [1 and up]"""
    return max(1.0, _lateness(Same(cover), climate, day))

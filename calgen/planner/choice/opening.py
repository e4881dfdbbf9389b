"""When a cover could be sown in a slot: its windows, cut to the days on which the ground and the grower are ready."""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from calgen.planner.choice.course import UNLIKELY, course
from calgen.planner.cover_window import STEPS_SPAN_DAYS, cover_windows, late_windows
from calgen.planner.model import Reason, Window

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Cover
    from calgen.planner.model import Slot
    from calgen.site.model import How

DAY = timedelta(1)
WEAK_HOSTS = ("Amaryllidaceae",)
STRONG_FROM = timedelta(56)
"""Leeks and their kin shade nothing and lose much weight to what grows among them (den Hollander 2007): cereals and
grasses go in no sooner than eight weeks after low covers may, when the crop is grown. The size is our judgement."""
CLOSING_HOSTS = ("Cucurbitaceae",)
OPEN_FOR = timedelta(35)
DYING_FOR = timedelta(28)
"""Vines close over the ground about five weeks after planting and die back over their last four: seed comes up under
them before and after, not between. Common practice; the sizes are our judgement."""
LONGEST_HEAT = timedelta(200)
WORTH_WAITING = timedelta(6)
MILD_WINTER_C = -7.0
"""Coldest night of a winter in which growth goes on slowly and little is sure to die. Judgement: USDA zone 9."""


class Opening(Struct, frozen=True):
    """Days on which a cover can be sown: first and last, and those worth trying.

    ``safe_last`` is the last safe day where all of them lie behind it.
    """

    window: Window
    first: date
    last: date
    days: tuple[date, ...]
    safe_last: date | None = None


def openings(cover: Cover, climate: Climate, slot: Slot, how: How, stretches: tuple[tuple[date, date], ...],
             longest_wait: timedelta) -> tuple[Opening, ...]:
    """Every window that meets the slot and opens before too long a wait; failing that, what lies behind a safe one.

    A sowing already made is its own opening.

    Args:
        stretches: first and last days on which it could go in (``spans``).
    """
    if slot.fixed_sown:
        return _already_sown(cover, climate, slot.fixed_sown)
    found = []
    for first, last in stretches:
        known, soon = windows(cover, climate, first, last), first + longest_wait
        for window in known if how == "cleared" else (*known, *_cool_beneath(known)):
            low, high = max(first, window.first), min(last, window.last)
            if low <= high and low <= soon:
                best = min(max(window.best, low), high, soon)
                found.append(Opening(window, low, high, (low,) if best <= low + WORTH_WAITING else (low, best)))
    if found or not stretches:
        return tuple(found)
    first, last = stretches[-1]
    behind = [window for season in _seasons(climate, first, last) for window in late_windows(cover, climate, season)
              if window.first <= first <= min(last, window.last)]
    if not behind or not worth_a_late_sowing(cover, climate, slot, first):
        return ()
    return tuple(Opening(window, first, min(last, window.last), (first,), safe_last=window.first - DAY)
                 for window in behind)


def _cool_beneath(known: tuple[Window, ...]) -> Iterator[Window]:
    """Summers that close a window in the open: beneath a crop the ground is shaded and moister, and heat closes none.

    Source: SARE handbook, red clover sown at the last cultivation of sweet corn in June and July (from memory).
    """
    for spring, autumn in pairwise(sorted(known, key=lambda window: window.first)):
        if spring.why.key.endswith("cover-until-heat") and DAY < autumn.first - spring.last < LONGEST_HEAT:
            last = autumn.first - DAY
            yield replace(autumn, season="summer", first=spring.last + DAY, best=last, last=last)


def _already_sown(cover: Cover, climate: Climate, day: date) -> tuple[Opening, ...]:
    """The one day of a sowing that is done, and how long more may be sown; in its window or against the nearest."""
    known = (*windows_before(cover, climate, day), *windows(cover, climate, day, day))
    if not known:
        nothing = Reason("no-window-here", {}, cover.germination_min_c.sources, good=False, weight=-100)
        return (Opening(Window(cover.id, "cover", "autumn", "cover", day, day, day, nothing), day, day, (day,)),)
    nearest = min(known, key=lambda window: max((window.first - day).days, (day - window.last).days, 0))
    safe_last = nearest.last if day > nearest.last else None
    return (Opening(nearest, day, max(day, nearest.last), (day,), safe_last),)


def worth_a_late_sowing(cover: Cover, climate: Climate, slot: Slot, day: date) -> bool:
    """Whether it may go in behind its safe window: it lives through winter, winters are mild, or the grower named it.

    Sources differ by weeks on rye (Minnesota mid October, Michigan early November, Maryland "to frost"); mustard to the
    end of October is common practice in mild maritime places. What winter kills before it has grown is wasted seed, and
    what the first frost kills (buckwheat) needs no winter for that.
    """
    if cover.hurt_by_first_frost and cover.id not in slot.fixed:
        return False
    return (cover.id in slot.fixed or climate.winter_low_c >= MILD_WINTER_C
            or course(cover, climate, day).kill_chance <= UNLIKELY)


def span(slot: Slot, how: How) -> tuple[date, date]:
    """First and last day on which the cover could go in, whatever cover it is."""
    due = slot.due - DAY
    if how == "cleared" or slot.standing is None:
        return max(slot.earliest_sow, slot.free_from), due
    first = slot.earliest_sow
    if slot.standing_since:
        ready = slot.standing_since + _from_days(slot)
        first = ready if slot.earliest_sow >= slot.free_from else max(first, ready)
    return first, due if slot.companion else min(due, slot.free_from - DAY)


def spans(cover: Cover, slot: Slot, how: How, days: tuple[date, date]) -> tuple[tuple[date, date], ...]:
    """The same days for one cover, without those on which a standing crop is too weak for it or has closed over it."""
    first, last = days
    host, since = slot.standing, slot.standing_since
    if how == "cleared" or host is None or since is None or slot.companion:
        return ((first, last),)
    family = host.family.split()[0]
    if family in WEAK_HOSTS and cover.kind == "grass":
        first = max(first, since + _from_days(slot) + STRONG_FROM)
    found: tuple[tuple[date, date], ...] = ((first, last),)
    if family in CLOSING_HOSTS:
        found = (first, min(last, since + OPEN_FOR)), (max(first, slot.free_from - DYING_FOR), last)
    return tuple((low, high) for low, high in found if low <= high)


def _from_days(slot: Slot) -> timedelta:
    from_days = slot.standing.undersow.from_days if slot.standing else None
    return timedelta(round(from_days.low)) if from_days and not slot.companion else timedelta(0)


def windows(cover: Cover, climate: Climate, first: date, last: date) -> tuple[Window, ...]:
    """The cover's windows in every season from a day to another."""
    seasons = _seasons(climate, first, last)
    return _windows(cover, climate, seasons[0].start, len(seasons))


def windows_before(cover: Cover, climate: Climate, day: date) -> tuple[Window, ...]:
    """Its windows in the season before that of a day."""
    return cover_windows(cover, climate, climate.season_at(climate.season_at(day).start - DAY))


@lru_cache(maxsize=4096)
def _windows(cover: Cover, climate: Climate, start: date, number: int) -> tuple[Window, ...]:
    seasons = [climate.season_at(start)]
    while len(seasons) < number:
        seasons.append(climate.season_at(seasons[-1].end))
    return tuple(window for season in seasons for window in cover_windows(cover, climate, season))


@lru_cache(maxsize=256)
def _seasons(climate: Climate, first: date, last: date) -> tuple[Season, ...]:
    season = climate.season_at(first)
    seasons = [season]
    while season.end <= last and len(seasons) < 3:
        season = climate.season_at(season.end)
        seasons.append(season)
    return tuple(seasons)


def lateness(cover: Cover, window: Window, day: date) -> float:
    """Factor on the seed rate for a day in a window that is at hand. [1 and up]

    As ``cover_window.sowing_lateness``, which looks the window up again.
    """
    if not cover.seed_steps or window.season == "spring" or day <= window.best:
        return 1.0
    span = (window.last - window.best).days
    late = STEPS_SPAN_DAYS * (day - window.best).days / span if span > 0 else STEPS_SPAN_DAYS
    return max([1.0, *(step.factor for step in cover.seed_steps if step.from_days_late <= late)])

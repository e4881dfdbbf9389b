"""A crop in a bed: when it starts, when it is ready, when the ground is free again.

What the grower wrote stands; the rest comes from the site's windows and the crop's maturity there.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal

from msgspec import Struct
from msgspec.structs import replace

from calgen.planner.crop_maturity import is_warm
from calgen.planner.crop_window import crop_windows, maturity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Crop, Method
    from calgen.planner.model import SeasonName, Window
    from calgen.site.model import CropStep

DAY = timedelta(1)
SEASONS_AHEAD = 3
SEASON_ORDER: tuple[SeasonName, ...] = ("spring", "summer", "autumn", "overwinter")


class Start(Struct, frozen=True):
    """How and when a crop is started: the window, the planned day, and whether the grower fixed it."""

    method: Method
    first: date
    best: date
    last: date
    season: SeasonName | None
    window: Window | None
    fixed: bool = False


class Stand(Struct, frozen=True):
    """A crop on its ground.

    ``ready`` first picking; ``end_first`` the earliest day it may go (a fair harvest taken), ``end`` the planned day,
    ``end_fixed`` whether the grower gave it; ``large_plants`` whether plants are raised for longest, since frost cuts
    the harvest short.
    """

    step: CropStep
    crop: Crop
    start: Start
    ready: date
    end_first: date
    end: date
    end_fixed: bool
    large_plants: bool = False


def starts(crop: Crop, climate: Climate, not_before: date, method: Method | None = None,
           deadline: date | None = None, *, after_cover: bool = False) -> tuple[Start, ...]:
    """Every window in which the crop can still be started from a day on, those of its main season before others of
    the same growing year, then soonest first.

    Args:
        not_before: the day from which the ground is free.
        method: the only way of starting allowed, or None.
        deadline: the grower's own last day for it.
        after_cover: a cover stands between, so the bed is not for a crop that stands through the winter, unless that
            is the only way to grow it.
    """
    ordered = tuple(start for year in _years(crop, climate, not_before, method, deadline) for start in year)
    if after_cover and any(start.season != "overwinter" for start in ordered):
        return tuple(start for start in ordered if start.season != "overwinter")
    return ordered


def first_start(crop: Crop, climate: Climate, not_before: date, method: Method | None = None,
                deadline: date | None = None, *, after_cover: bool = False) -> Start | None:
    """The first of ``starts``, None where there is none; years beyond it are not asked about."""
    standing: Start | None = None
    for year in _years(crop, climate, not_before, method, deadline):
        for start in year:
            if not after_cover or start.season != "overwinter":
                return start
            standing = standing or start
    return standing


def _years(crop: Crop, climate: Climate, not_before: date, method: Method | None,
           deadline: date | None) -> Iterator[list[Start]]:
    """The starts of each growing year, in their order."""
    preference: dict[str, int] = {way: rank for rank, way in enumerate(crop.methods)}
    season = climate.season_at(not_before)
    for _ in range(SEASONS_AHEAD):
        found: list[tuple[bool, int, int, date, Start]] = []
        for window in crop_windows(crop, climate, season):
            if window.method in ("indoors", "cover") or (method and window.method != method):
                continue
            last = min(window.last, deadline) if deadline else window.last
            first = max(window.first, not_before)
            if first > last:
                continue
            best = min(max(window.best, first), last)
            start = Start(_method(window.method), first, best, last, window.season, window)
            rank = SEASON_ORDER.index(window.season)
            found.append((not window.main, rank, preference.get(start.method, len(preference)), best, start))
        yield _usual_first([entry[-1] for entry in sorted(found, key=lambda entry: entry[:-1])], crop)
        season = climate.season_at(season.end + DAY)


def _usual_first(found: list[Start], crop: Crop) -> list[Start]:
    """The same, but the usual way goes first where it can be done by the same day, if in a later season's window."""
    for start in found[1:]:
        if found[0].method != crop.methods[0] == start.method and start.best <= found[0].best \
                and start.season != "overwinter" and _main(start) == _main(found[0]):
            return [start, *(other for other in found if other is not start)]
    return found


def _main(start: Start) -> bool:
    return bool(start.window and start.window.main)


def _method(text: str) -> Method:
    ways: dict[str, Method] = {"direct": "direct", "transplant": "transplant", "plant": "plant"}
    return ways[text]


def given_start(step: CropStep, crop: Crop) -> Start | None:
    """The start the grower wrote, or None."""
    day = step.planted or step.sown
    if day is None:
        return None
    if step.planted:
        method: Method = step.method or ("plant" if "plant" in crop.methods and "transplant" not in crop.methods
                                         else "transplant")
    else:
        method = "direct"
    return Start(method, day, day, day, None, None, fixed=True)


def stand(step: CropStep, crop: Crop, climate: Climate, start: Start, not_before: date | None = None) -> Stand:
    """The crop from its start to the day its ground is free. [dates]

    Args:
        not_before: the first day on which the grower can clear; an end left to calgen does not lie before it.
    """
    grown = maturity(crop, climate, start.best, start.method)
    length = timedelta(round(crop.harvest_days.low)), timedelta(round(crop.harvest_days.mid))
    if step.days:
        ready = start.best + timedelta(step.days)
        end = max(ready + length[1], ready + DAY)
    elif grown is not None:
        ready, end = grown.ready, grown.harvest_end
    else:
        ready = start.best + timedelta(round(crop.maturity_days.mid))
        end = ready + length[1]
    if step.ready:
        end, ready = max(step.ready + (end - ready), step.ready + DAY), step.ready
    if step.save_seed and crop.save_seed_days:
        end = max(end, ready + timedelta(round(crop.save_seed_days.mid)))
    if step.cleared:
        ready = min(ready, step.cleared)
        return Stand(step, crop, start, ready, step.cleared, step.cleared, end_fixed=True)
    end = max(end, not_before or end)
    end_first = max(min(max(ready + length[0], ready + DAY), end), not_before or start.best)
    return Stand(step, crop, start, ready, end_first, end, end_fixed=False,
                 large_plants=is_warm(crop) and grown is not None and grown.cut_short)


StartChoice = tuple[Start | None, Literal["as-preferred", "other-method", "missed", "never"]]


def planned_start(step: CropStep, crop: Crop, climate: Climate, not_before: date, *,
                  after_cover: bool = False) -> StartChoice:
    """The start for a step left to calgen, and how it was come by.

    The soonest window wins; within it the usual method, then any other that still fits (transplants instead of seed).
    """
    given = given_start(step, crop)
    if given:
        return given, "as-preferred"
    deadline = step.plant_by or step.sow_by
    method: Method | None = step.method
    if method is None and step.sow_by:
        method = "direct" if "direct" in crop.methods else None
    first = first_start(crop, climate, not_before, method, deadline, after_cover=after_cover)
    if first is None:
        return None, "missed" if first_start(crop, climate, not_before, method) or deadline else "never"
    usual = method or (crop.methods[0] if crop.methods else first.method)
    return first, "as-preferred" if first.method == usual else "other-method"


def standing_start(step: CropStep, crop: Crop, climate: Climate, day: date) -> Start | None:
    """The start of a crop that the grower wrote first and without any date: what stands there on a day.

    The latest usual start from which the crop still stands on that day; None when the grower gave a date or no
    start within the year before would leave it standing.
    """
    if any((step.sown, step.planted, step.ready, step.cleared, step.sow_by, step.plant_by)):
        return None
    found = [start for start in starts(crop, climate, day - timedelta(365), step.method) if start.best < day
             and stand(step, crop, climate, start).end > day]
    if not found:
        return None
    latest = max(found, key=lambda start: start.best)
    return replace(latest, first=latest.best, last=latest.best, window=None, fixed=True)

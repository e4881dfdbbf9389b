"""When a crop can be started at a site, by season and method, each window with its reason.

    spring       the usual weeks: from when ground and nights allow, to the week that planting guides give
    summer       later starts, where no heat forbids them
    autumn       starts for an autumn harvest, counted back from frost and cold
    overwinter   starts that stand the winter small
    indoors      sowing under cover, by the weeks that plants take, for every window in which they are set out

``crop_spring`` and ``crop_autumn`` say how the ends are found, ``crop_maturity`` how long a crop takes. Places without
frost, without a frost-free season and near the equator go the same way: what has no date sets no limit.

Sources: hardiness groups and weeks: University of Illinois Extension, Utah State University Extension, Virginia
Cooperative Extension 426-331; soil: Texas A&M and University of Florida tables; counting back from the first frost:
Virginia and Tennessee SP291-G; heat: Knott's Handbook (from memory).
Error: measured against nine published tables in tests/published/test_planting_windows.py.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from calgen.planner.crop_autumn import autumn, overwinter
from calgen.planner.crop_ends import Ends, weeks
from calgen.planner.crop_maturity import Maturity, is_warm, maturity
from calgen.planner.crop_spring import last_feasible, spring, summer
from calgen.planner.model import Reason, Window

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Crop, Method
    from calgen.planner.model import SeasonName

__all__ = ["Maturity", "crop_windows", "latest_start", "maturity", "weeks_under_cover", "window_for"]

SHORTEST: Final = timedelta(7)
"""Shorter, a tender crop's starts are missed by a week of bad weather, and it barely ripens here. Judgement."""
BEST_AFTER_DAYS: Final = 14
"""Spring: so long after the window opens the risk is small and the season still long. Judgement."""


@lru_cache(maxsize=4096)
def crop_windows(crop: Crop, climate: Climate, season: Season) -> tuple[Window, ...]:
    """Every window whose starts fall into a growing year, in order of their first day.

    Windows of one method do not overlap but for overwintering ones. Never raises; empty where nothing can be started.
    """
    found: list[Window] = []
    for method in crop.methods:
        for name, ends in _ends(crop, climate, season, method):
            found.append(_window(crop, climate, name, method, ends))
            if method != "direct" and crop.indoors_weeks and not _sown_in_seedbed(crop, name):
                found.append(_indoors(crop, climate, found[-1]))
    return tuple(sorted(found, key=lambda window: (window.first, window.method)))


def window_for(crop: Crop, climate: Climate, day: date, method: Method) -> Window | None:
    """The window of a method that holds a day, or None."""
    season = climate.season_at(day)
    for year in (season, climate.season_at(season.start - timedelta(1))):
        for window in crop_windows(crop, climate, year):
            if window.method == method and window.first <= day <= window.last:
                return window
    return None


def latest_start(crop: Crop, climate: Climate, season: Season, method: Method) -> date | None:
    """The last day of a growing year on which the crop, of the quickest kinds, can still be started by a method.

    After it the crop is not ready before frost (tender) or the cold that spoils it, nor fit to stand the winter. None
    when there is no window at all.
    """
    lasts = [ends.last for _, ends in _ends(crop, climate, season, method)]
    if not lasts:
        return None
    feasible = None if crop.stands_winter or crop.perennial else last_feasible(crop, climate, season, method)
    return max([*lasts, feasible] if feasible else lasts)


def _ends(crop: Crop, climate: Climate, season: Season, method: Method) -> list[tuple[SeasonName, Ends]]:
    found: list[tuple[SeasonName, Ends]] = []
    if method in crop.spring:
        first = spring(crop, climate, season, method)
        if first and not (is_warm(crop) and first.last - first.first < SHORTEST):
            found.append(("spring", first))
            later = summer(crop, climate, season, method, first)
            if later:
                found.append(("summer", later))
    if method in crop.autumn_latest:
        late = autumn(crop, climate, season, method)
        if late and found:
            late = _after(late, found[-1][1].last)
        if late and not (is_warm(crop) and late.last - late.first < SHORTEST):
            found.append(("autumn", late))
    if method in crop.overwinter:
        over = overwinter(crop, climate, season, method)
        if over:
            found.append(("overwinter", over))
    return found


def _after(ends: Ends, day: date) -> Ends | None:
    first = max(ends.first, day + timedelta(1))
    return Ends(first, ends.last, ends.opens, ends.closes, ends.facts) if first <= ends.last else None


def _sown_in_seedbed(crop: Crop, name: SeasonName) -> bool:
    return name == "overwinter" and "direct" in crop.overwinter


def _window(crop: Crop, climate: Climate, name: SeasonName, method: Method, ends: Ends) -> Window:
    reason = Reason(f"crop-{name}-opens-{ends.opens}|crop-{name}-closes-{ends.closes}", ends.facts,
                    _sources(crop, name, method), good=ends.closes != "winter-risky")
    return Window(crop.id, "crop", name, method, ends.first, _best(crop, climate, name, ends), ends.last, reason,
                  main=crop.main_season == name)


def _best(crop: Crop, climate: Climate, name: SeasonName, ends: Ends) -> date:
    length = ends.last - ends.first
    if name == "overwinter" or (name == "spring" and crop.main_season == name):
        return ends.first + length / 2
    if name == "spring" and is_warm(crop):
        safe = climate.last_frost(climate.season_at(ends.first), climate.caution) or ends.first
        return min(max(ends.first + length / 5, safe), ends.last)
    return ends.first + min(length / 3, timedelta(BEST_AFTER_DAYS))


def _sources(crop: Crop, name: SeasonName, method: Method) -> tuple[str, ...]:
    table = {"autumn": crop.autumn_latest, "overwinter": crop.overwinter}.get(name, crop.spring)
    value = table.get(method)
    return tuple(dict.fromkeys((value.sources if value else ()) + crop.maturity_days.sources))


def weeks_under_cover(crop: Crop, climate: Climate, planted: date) -> float:
    """Weeks from sowing under cover to a planting day: the longest published where frost cuts the harvest short.

    A larger plant makes up for part of a short summer, as growers in cool places raise peppers and tomatoes.
    Raises ``ValueError`` for a crop that is not raised under cover.
    """
    if crop.indoors_weeks is None:
        raise ValueError(crop.id)
    grown = maturity(crop, climate, planted, "transplant") if is_warm(crop) else None
    return crop.indoors_weeks.high if grown and grown.cut_short else crop.indoors_weeks.mid


def _indoors(crop: Crop, climate: Climate, planted: Window) -> Window:
    assert crop.indoors_weeks is not None
    number = weeks_under_cover(crop, climate, planted.best)
    back = weeks(number)
    reason = Reason("crop-indoors", {"weeks": round(number), "out": planted.best}, crop.indoors_weeks.sources)
    return Window(crop.id, "crop", planted.season, "indoors", planted.first - back, planted.best - back,
                  planted.last - back, reason, main=planted.main)

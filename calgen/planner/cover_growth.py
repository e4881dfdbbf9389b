"""When growth of a cover ends in a growing year, and how much heat a safe sowing needs before that day.

    heat         °C·day above the cover's base, as expected at the place
    growth end   the day from which heat no longer counts for the stand: the first frost for tender covers, the frost
                 that kills for those that winter is likely to kill, the end of the coldest month for the others
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from math import cbrt, sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING, Final

from msgspec import Struct, field

from calgen.climate.climate import USUAL_CAUTION
from calgen.climate.years import heat_spread

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Cover
    from calgen.planner.model import Fact

KILLED_SHARE: Final = 0.5
"""A cover counts as killed by winter where that happens in more than every second one."""
COLDEST_MONTH_DAYS: Final = 15
"""From midwinter to the end of the coldest month. What a stand that is to come through grows until then counts: in mild
winters stands never stop, and published last dates there leave less before midwinter. Judgement."""
ONE_SOONER: Final = 0.159
"""Share of years with the frost a standard deviation or more before its middle date."""


class End(Struct, frozen=True):
    """One end of a window: the day, what sets it, and the facts that the reason names."""

    day: date
    because: str
    facts: Mapping[str, Fact] = field(default_factory=dict)


@lru_cache(maxsize=16)
def days_of(season: Season) -> tuple[date, ...]:
    """Every day of a growing year."""
    return tuple(season.start + timedelta(n) for n in range((season.end - season.start).days))


@lru_cache(maxsize=1024)
def growth_end(cover: Cover, climate: Climate, season: Season) -> End:
    """The day from which heat no longer counts for a stand sown in this growing year, and why.

    ``because`` is frost, cool (a tender cover where no frost comes), kill, or stand (it stands the winter).
    """
    if cover.hurt_by_first_frost:
        if season.first_frost:
            return End(season.first_frost, "frost", {"frost": season.first_frost})
        return End(_too_cool(cover, climate, season) or season.end, "cool")
    kill_c = cover.kill_c.mid
    if climate.winter_kill_chance(kill_c) > KILLED_SHARE:
        killed = climate.first_frost(season, KILLED_SHARE, kill_c)
        if killed and killed < season.end:
            return End(killed, "kill", {"kill_c": kill_c, "kill": killed})
    return End(season.end + timedelta(COLDEST_MONTH_DAYS), "stand")


def heat_needed(cover: Cover, climate: Climate) -> float:
    """Heat from a safe sowing to the growth end: ``establish_dd`` in full where winter is as cold as the cover can
    bear, or kills it; less, down to ``survive_dd``, the milder it is. [°C·day]

    Hardiness depends on establishment (SARE rotation chapter on hairy vetch). Last dates printed for cold winters leave
    half as much heat again as those for mild ones, vetches and peas twice; the cube root is our choice for that.
    """
    severity = min(1.0, max(0.0, climate.winter_low_c / min(cover.kill_c.mid, -0.1)))
    least, whole = cover.survive_dd.mid, cover.establish_dd.mid
    return least + (whole - least) * cbrt(severity)


def caution_heat(cover: Cover, climate: Climate, season: Season, sown: date, end: End) -> float:
    """Heat that a grower of other than the usual caution leaves beside ``heat_needed``, below zero for a bold one.

    The sum from ``sown`` to the growth end differs between years by the weather and, where frost ends it, by the date
    of that frost. Published last dates are taken to be those of the usual caution; another one moves by as many
    standard deviations as lie between the two risks on a normal curve. [°C·day]
    """
    if climate.caution == USUAL_CAUTION:
        return 0.0
    deviations = NormalDist().inv_cdf(USUAL_CAUTION) - NormalDist().inv_cdf(climate.caution)
    if abs(deviations) < 1e-6:
        return 0.0
    base = cover.base_c.mid
    weather = heat_spread(climate, sown, end.day, base)
    threshold = {"frost": 0.0, "kill": cover.kill_c.mid}.get(end.because)
    early = None if threshold is None else climate.first_frost(season, ONE_SOONER, threshold)
    frost = climate.degree_days(early, end.day, base) if early else 0.0
    return max(deviations * sqrt(weather * weather + frost * frost), -heat_needed(cover, climate) / 2)


def latest(cover: Cover, climate: Climate, start: date, end: date, heat: float) -> date | None:
    """The latest day from ``start`` on that leaves so much heat [°C·day] before ``end``; None if there is none."""
    return climate.day_that_leaves(end, heat, cover.base_c.mid, (end - start).days)


def _too_cool(cover: Cover, climate: Climate, season: Season) -> date | None:
    """The day after summer from which soil is too cool for it; None where it never is."""
    days = days_of(season)
    warmest = max(days, key=climate.soil_c)
    return next((day for day in days if day > warmest and climate.soil_c(day) < cover.germination_min_c.mid), None)

"""What the windows of every season share: two ends with the reason for each, and the days too hot for a crop."""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.climate.climate import USUAL_CAUTION
from calgen.climate.days import DAYS_IN_YEAR
from calgen.planner.crop_maturity import is_warm

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Crop
    from calgen.planner.model import Fact

WARM_ALLOWANCE_C: Final = 2.0
"""Tender crops set less fruit above their limit, not none: only well above it do starts stop. Judgement."""


class Ends(Struct, frozen=True):
    """First and last day, the kind of reason for each, and the facts those reasons name."""

    first: date
    last: date
    opens: str
    closes: str
    facts: Mapping[str, Fact]


def weeks(number: float) -> timedelta:
    """Weeks as whole days."""
    return timedelta(round(number * 7))


def later_by_caution(climate: Climate, season: Season) -> timedelta:
    """So much later than a grower of usual caution this one has spring begin for tender crops; negative if sooner."""
    own, usual = (climate.last_frost(season, risk) for risk in (climate.caution, USUAL_CAUTION))
    return own - usual if own and usual else timedelta(0)


def sooner_by_caution(climate: Climate, season: Season) -> timedelta:
    """So much sooner than a grower of usual caution this one wants tender crops ready; negative if later."""
    own, usual = (climate.first_frost(season, risk) for risk in (climate.caution, USUAL_CAUTION))
    return usual - own if own and usual else timedelta(0)


def hot_days(crop: Crop, climate: Climate, season: Season) -> tuple[date, date] | None:
    """First and last day of the season too hot, in the mean, for a harvest; None without such days."""
    if crop.heat_limit_c is None:
        return None
    return _above(climate, season, crop.heat_limit_c.mid + (WARM_ALLOWANCE_C if is_warm(crop) else 0.0))


@lru_cache(maxsize=1024)
def air_warm_from(climate: Climate, season: Season, at_least_c: float) -> date | None:
    """The first day of the season's rise with a mean of the air of at least so much; None if there is none."""
    days = (season.start + timedelta(n) for n in range(DAYS_IN_YEAR))
    return next((day for day in days if climate.tmean(day) >= at_least_c), None)


@lru_cache(maxsize=1024)
def soil_cool_from(climate: Climate, season: Season, below_c: float) -> date | None:
    """The first day after the warmest of the season with soil at seed depth below so much; None if there is none."""
    days = [season.start + timedelta(n) for n in range(DAYS_IN_YEAR)]
    soil = [climate.soil_c(day) for day in days]
    return next((days[n] for n in range(soil.index(max(soil)), DAYS_IN_YEAR) if soil[n] < below_c), None)


@lru_cache(maxsize=1024)
def _above(climate: Climate, season: Season, limit_c: float) -> tuple[date, date] | None:
    if climate.warmest_day_c <= limit_c:
        return None
    days = [day for day in (season.start + timedelta(n) for n in range(DAYS_IN_YEAR)) if climate.tmean(day) > limit_c]
    return days[0], days[-1]

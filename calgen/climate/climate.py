"""The one interface to the weather of a place; ``build`` fills it from three numbers, twelve months or a record.

    quantity     unit
    tmin, tmax   °C, mean daily lowest and highest air temperature at 2 m, one value a day of the common year
    sigma        °C, standard deviation of the daily mean temperature about its curve, one value a day
    degree days  °C·day, expected, by Thom's formula over the daily mean
    soil         °C, expected daily mean at seed depth (5 cm)
"""

from __future__ import annotations

from datetime import timedelta
from functools import cached_property
from itertools import accumulate
from math import ceil, floor
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.climate import daylight
from calgen.climate.days import DAYS_IN_YEAR, RunningSums, date_of, day_of_year, days_on
from calgen.climate.heat import thom
from calgen.climate.model import FrostDate, KnownError, Season, YearOfDays

if TYPE_CHECKING:
    from datetime import date

    from calgen.climate.frost import Frosts
    from calgen.climate.winter import WinterLow

SOIL_MEAN_DAYS: Final = 9
"""Soil at seed depth follows the mean air temperature of the last 7 to 11 days. Source: Zheng, Hunt, Running 1993."""
SOIL_ERROR_C: Final = 2.5
"""Spread of the soil at seed depth about ``soil_c``; 1-2 °C warmer on bare soil in spring sun, colder under mulch."""
LIGHT_YEAR: Final = 2027
"""A year halfway between leap years, whose daylengths stand for those of any year."""
USUAL_CAUTION: Final = 0.2
"""Loss to frost that growers accept where they say nothing: one year in five. What published dates are held against."""
_ONE_DAY: Final = timedelta(1)


class Climate(Struct, frozen=True, eq=False, dict=True, weakref=True):
    """What is known of the weather of a place. Compared by identity; answers are cached.

    ``level`` 1 rests on latitude and frost dates, 2 on monthly normals, 3 on a daily record. ``midwinter_day`` is the
    coldest day of the curve, between first and last frost; 1 January near the equator. ``years`` are the record's last
    thirty, as are its normals and frost dates. ``caution`` is the share of years in which the grower accepts to lose to
    frost.
    """

    level: int
    latitude_deg: float
    tmin_c: tuple[float, ...]
    tmax_c: tuple[float, ...]
    sigma_c: tuple[float, ...]
    midwinter_day: int
    frosts: Frosts
    frost_free: bool
    no_frost_free_season: bool
    winter_low: WinterLow
    errors: tuple[KnownError, ...] = ()
    years: tuple[YearOfDays, ...] = ()
    caution: float = USUAL_CAUTION

    @property
    def south(self) -> bool:
        """Whether the seasons are the southern ones."""
        return self.latitude_deg < 0

    @property
    def winter_low_c(self) -> float:
        """Coldest night of an ordinary winter. [°C]"""
        return self.winter_low.mean_c

    @property
    def winter_low_sd_c(self) -> float:
        """Its standard deviation between winters, with the error of the estimate if it is one. [°C]"""
        return self.winter_low.sd_c

    @property
    def winter_low_estimated(self) -> bool:
        """Whether neither the grower nor a record told the winter low."""
        return self.winter_low.estimated

    def winter_kill_chance(self, kill_c: float) -> float:
        """Chance that a winter reaches ``kill_c`` [°C] at least once; wide when the winter low is estimated."""
        return self.winter_low.chance_of(kill_c)

    def tmin(self, d: date) -> float:
        """Mean daily lowest temperature. [°C]"""
        return self.tmin_c[day_of_year(d) - 1]

    def tmax(self, d: date) -> float:
        """Mean daily highest temperature. [°C]"""
        return self.tmax_c[day_of_year(d) - 1]

    def tmean(self, d: date) -> float:
        """Mean daily temperature. [°C]"""
        return self.tmean_c[day_of_year(d) - 1]

    @cached_property
    def tmean_c(self) -> tuple[float, ...]:
        """Mean of lowest and highest temperature, one value a day of the year. [°C]"""
        return tuple((low + high) / 2 for low, high in zip(self.tmin_c, self.tmax_c, strict=True))

    @cached_property
    def coldest_day_c(self) -> float:
        """Mean temperature of the coldest day of an ordinary year. [°C]"""
        return min(self.tmean_c)

    @cached_property
    def warmest_day_c(self) -> float:
        """Mean temperature of the warmest day of an ordinary year. [°C]"""
        return max(self.tmean_c)

    def daylength_h(self, d: date) -> float:
        """Sunrise to sunset; polar day 24, polar night 0. [h]"""
        return daylight.daylength_h(self.latitude_deg, d)

    @cached_property
    def daylengths_h(self) -> tuple[float, ...]:
        """Sunrise to sunset on each day of a common year; what plants are reckoned by. [h]"""
        return daylight.daylengths_h(self.latitude_deg, LIGHT_YEAR)

    def shortening(self, d: date) -> bool:
        """Whether days grow shorter from ``d`` on."""
        return daylight.shortening(self.latitude_deg, d)

    def ten_hour_days(self, season: Season) -> tuple[date | None, date | None]:
        """The autumn day from which days are shorter than 10 h, and the late-winter day from which no longer.

        The second lies after the season's end in most places. (None, None) nearer the equator than about 32.7°.
        A growers' rule for when growth stops, not a finding.
        """
        return daylight.shorter_than(self.latitude_deg, 10.0, season.start)

    def season_at(self, d: date) -> Season:
        """The growing year that holds ``d``."""
        year = d.year if day_of_year(d) >= self.midwinter_day else d.year - 1
        seasons = self._seasons
        if year not in seasons:
            start, end = date_of(year, self.midwinter_day), date_of(year + 1, self.midwinter_day)
            bare = Season(start, end, None, None)
            seasons[year] = Season(start, end, self.last_frost(bare), self.first_frost(bare))
        return seasons[year]

    @cached_property
    def _seasons(self) -> dict[int, Season]:
        return {}

    def last_frost(self, season: Season, risk: float = 0.5, threshold_c: float = 0.0) -> date | None:
        """The date after which a night at or below the threshold still comes with probability ``risk``.

        Returns:
            The date, in the spring half of the season; None when the risk is lower than that from its start.
        """
        key = ("last", risk, threshold_c)
        if key not in self._frost_days:
            frost = self._last(threshold_c)
            reached = frost is not None and frost.occurrence >= risk
            day = ceil(frost.day_by(1 - risk / frost.occurrence) - 0.5) if frost and reached else -DAYS_IN_YEAR
            self._frost_days[key] = day if day >= self.midwinter_day else None
        found = self._frost_days[key]
        return None if found is None else date_of(season.start.year, found)

    def first_frost(self, season: Season, risk: float = 0.5, threshold_c: float = 0.0) -> date | None:
        """The date before which a night at or below the threshold has come with probability ``risk``.

        Returns:
            The date, in the autumn half of the season; None when the risk is lower than that to its end.
        """
        key = ("first", risk, threshold_c)
        if key not in self._frost_days:
            frost = self._first(threshold_c)
            end = self.midwinter_day + DAYS_IN_YEAR
            reached = frost is not None and frost.occurrence >= risk
            day = floor(frost.day_by(risk / frost.occurrence) + 0.5) if frost and reached else end
            self._frost_days[key] = day if day < end else None
        found = self._frost_days[key]
        return None if found is None else date_of(season.start.year, found)

    @cached_property
    def _frost_days(self) -> dict[tuple[str, float, float], int | None]:
        return {}

    def frost_risk_after(self, d: date, threshold_c: float = 0.0) -> float:
        """Probability that a night at or below the threshold comes on or after ``d`` in the season's spring half."""
        frost = self._last(threshold_c)
        if frost is None:
            return 0.0
        return frost.occurrence * (1 - frost.share_by(days_on(self.season_at(d).start.year, d) - 0.5))

    def frost_risk_before(self, d: date, threshold_c: float = 0.0) -> float:
        """Probability that a night at or below the threshold comes on or before ``d`` in the season's autumn half."""
        frost = self._first(threshold_c)
        if frost is None:
            return 0.0
        return frost.occurrence * frost.share_by(days_on(self.season_at(d).start.year, d) + 0.5)

    def _last(self, threshold_c: float) -> FrostDate | None:
        if threshold_c not in self._last_dates:
            self._last_dates[threshold_c] = self.frosts.last(threshold_c)
        return self._last_dates[threshold_c]

    def _first(self, threshold_c: float) -> FrostDate | None:
        if threshold_c not in self._first_dates:
            self._first_dates[threshold_c] = self.frosts.first(threshold_c)
        return self._first_dates[threshold_c]

    @cached_property
    def _last_dates(self) -> dict[float, FrostDate | None]:
        return {}

    @cached_property
    def _first_dates(self) -> dict[float, FrostDate | None]:
        return {}

    def degree_days(self, start: date, end: date, base_c: float, cap_c: float | None = None) -> float:
        """Expected heat from ``start`` up to, but without, ``end``; above ``cap_c`` nothing more is gained. [°C·day]"""
        if end <= start:
            return 0.0
        sums = self._heat_sums.get((base_c, cap_c)) or self._heat(base_c, cap_c)
        return sums[end] - sums[start]

    def day_reached(self, start: date, degree_days: float, base_c: float, limit_days: int = 400,
                    cap_c: float | None = None) -> date | None:
        """The day in the course of which the heat since ``start`` [°C·day] is reached; None if not within the limit."""
        return self._heat(base_c, cap_c).reached(start, degree_days, limit_days)

    def day_that_leaves(self, end: date, degree_days: float, base_c: float, limit_days: int) -> date | None:
        """The latest day before ``end`` that leaves so much heat [°C·day] until then; None if not within the limit."""
        return self._heat(base_c, None).since(end, degree_days, limit_days) if limit_days > 0 else None

    def heat_of_days(self, base_c: float, cap_c: float | None = None) -> tuple[float, ...]:
        """Expected heat of each day of the common year; above ``cap_c`` nothing more is gained. [°C·day]"""
        above = self._heat_above(base_c)
        if cap_c is None:
            return above
        return tuple([heat - idle if heat > idle else 0.0
                      for heat, idle in zip(above, self._heat_above(cap_c), strict=True)])

    def _heat_above(self, base_c: float) -> tuple[float, ...]:
        if base_c not in self._heats:
            self._heats[base_c] = thom(self.tmean_c, self.sigma_c, base_c)
        return self._heats[base_c]

    @cached_property
    def _heats(self) -> dict[float, tuple[float, ...]]:
        return {}

    def _heat(self, base_c: float, cap_c: float | None) -> RunningSums:
        if (base_c, cap_c) not in self._heat_sums:
            self._heat_sums[base_c, cap_c] = RunningSums(self.heat_of_days(base_c, cap_c))
        return self._heat_sums[base_c, cap_c]

    @cached_property
    def _heat_sums(self) -> dict[tuple[float, float | None], RunningSums]:
        return {}

    def soil_c(self, d: date) -> float:
        """Expected daily mean temperature of open soil at seed depth (5 cm), ± ``SOIL_ERROR_C``. [°C]"""
        return self.soil_mean_c[day_of_year(d) - 1]

    @cached_property
    def soil_mean_c(self) -> tuple[float, ...]:
        """Soil temperature at seed depth, one value a day of the year: the air's mean of the last 9 days. [°C]"""
        sums = list(accumulate((*self.tmean_c[1 - SOIL_MEAN_DAYS:], *self.tmean_c), initial=0.0))
        return tuple([(after - before) / SOIL_MEAN_DAYS
                      for before, after in zip(sums, sums[SOIL_MEAN_DAYS:], strict=False)])

    def soil_warm_from(self, season: Season, at_least_c: float) -> date | None:
        """The first day of the warming half from which soil at seed depth stays at least so warm; None if never."""
        if at_least_c not in self._warm_days:
            self._warm_days[at_least_c] = self._soil_warm_from(at_least_c)
        days = self._warm_days[at_least_c]
        return None if days is None else date_of(season.start.year, self.midwinter_day + days)

    @cached_property
    def _warm_days(self) -> dict[float, int | None]:
        return {}

    def _soil_warm_from(self, at_least_c: float) -> int | None:
        """Days from midwinter until soil stays so warm."""
        start = self.midwinter_day - 1
        soil = (*self.soil_mean_c[start:], *self.soil_mean_c[:start])
        days = soil.index(max(soil))
        if soil[days] < at_least_c:
            return None
        while days > 0 and soil[days - 1] >= at_least_c:
            days -= 1
        return days

    def mean_falls_to(self, season: Season, mean_c: float) -> date | None:
        """The first day after the season's warmest on which the mean temperature of the day is below ``mean_c``.

        Returns:
            The date; None when the warmest day is no warmer or the mean stays above to the season's end.
        """
        days = [season.start + timedelta(n) for n in range((season.end - season.start).days)]
        warmest = max(days, key=self.tmean)
        if self.tmean(warmest) < mean_c:
            return None
        return next((day for day in days if day > warmest and self.tmean(day) < mean_c), None)

"""In how many years of the record did it happen? The same from the distribution where there is no record.

    quantity   unit
    hits, of   years: of a record, those whose days are known well enough; else expected years in ten
    day        a date; its year is not looked at, only its place in the growing year
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from math import erf, exp, pi, sqrt
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.climate.days import DAYS_IN_YEAR, RunningSums, date_of, day_of_year, days_on

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.climate.climate import Climate

HALF_YEAR_DAYS: Final = 182
KNOWN_SHARE: Final = 0.9
"""A year with fewer of the asked days observed is not counted. Judgement."""
PERSISTENCE_DAYS: Final = 6.0
"""Warm and cold spells: the variance of a sum of daily heat is so many times that of independent days. Five records
from Milwaukee to Tunis give 4-11 (their sums of 2 to 5 months), Hyderabad more."""
_OF_TEN: Final = 10
_QUANTILES: Final = 20
_ONE_DAY: Final = timedelta(1)


class Years(Struct, frozen=True):
    """In ``hits`` of ``of`` years; whole years of a record, or expected years of ten from a distribution."""

    hits: float
    of: int
    from_record: bool

    @property
    def share(self) -> float:
        """Share of the years. [0-1]"""
        return self.hits / self.of if self.of else 0.0


def years_with_frost_after(climate: Climate, day: date, threshold_c: float = 0.0) -> Years:
    """Years with a night at or below the threshold on or after ``day``, in the spring half of the growing year."""
    offset = _offset(climate, day)
    if not climate.years:
        return _expected(climate.frost_risk_after(day, threshold_c))
    return _nights(climate, offset, HALF_YEAR_DAYS, threshold_c)


def years_with_frost_before(climate: Climate, day: date, threshold_c: float = 0.0) -> Years:
    """Years with a night at or below the threshold on or before ``day``, in the autumn half of the growing year."""
    offset = _offset(climate, day)
    if not climate.years:
        return _expected(climate.frost_risk_before(day, threshold_c))
    return _nights(climate, HALF_YEAR_DAYS, offset + 1, threshold_c)


def years_reaching(climate: Climate, start: date, end: date, base_c: float, degree_days: float,
                   cap_c: float | None = None) -> Years:
    """Years in which the heat from ``start`` up to, but without, ``end`` reached ``degree_days``. [°C·day]

    In a record the heat of a day is that of its mean of lowest and highest temperature; missing days count as the
    mean of the others.
    """
    if not climate.years:
        return _expected(_share_reaching(climate, start, end, base_c, degree_days, cap_c))
    first, last = day_of_year(start), days_on(start.year, end)
    sums = (_heat(climate, date_of(days.year, first), date_of(days.year, last), base_c, cap_c)
            for days in climate.years)
    known = [heat for heat in sums if heat is not None]
    return Years(sum(heat >= degree_days for heat in known), len(known), from_record=True)


def years_reaching_before_frost(climate: Climate, start: date, threshold_c: float, base_c: float, degree_days: float,
                                cap_c: float | None = None) -> Years:
    """Years in which the heat from ``start`` reached ``degree_days`` before the first night at or below the threshold.

    The night is looked for from midsummer (or ``start`` if later) to midwinter, where growth ends in any case.
    """
    season = climate.season_at(start)
    season_year = season.start.year
    midwinter = climate.midwinter_day + DAYS_IN_YEAR
    start_day = days_on(season_year, start)
    earliest = max(start_day, climate.midwinter_day + HALF_YEAR_DAYS)
    if not climate.years:
        shares = []
        for step in range(_QUANTILES):
            frost = climate.first_frost(season, (step + 0.5) / _QUANTILES, threshold_c) or season.end
            frost = max(frost, date_of(season_year, earliest))
            shares.append(_share_reaching(climate, start, frost, base_c, degree_days, cap_c))
        return _expected(sum(shares) / _QUANTILES)
    hits = known = 0
    for days in climate.years:
        year = days.year
        end = date_of(year, midwinter)
        nights = list(_observed(climate, date_of(year, earliest), end))
        frost_at = next((n for n, (low, _) in enumerate(nights)
                         if low is not None and _reaches(low, threshold_c)), None)
        seen = nights if frost_at is None else nights[:frost_at]
        if sum(low is not None for low, _ in seen) < KNOWN_SHARE * len(seen):
            continue
        frost = end if frost_at is None else date_of(year, earliest) + timedelta(frost_at)
        heat = _heat(climate, date_of(year, start_day), frost, base_c, cap_c)
        if heat is not None:
            known += 1
            hits += heat >= degree_days
    return Years(hits, known, from_record=True)


def heat_spread(climate: Climate, start: date, end: date, base_c: float) -> float:
    """Standard deviation, over years, of the heat from ``start`` up to, but without, ``end``. [°C·day]

    That of persistent weather about the climate's curve; no record is asked.
    """
    if end <= start:
        return 0.0
    sums = _variances(climate, base_c)
    return sqrt(PERSISTENCE_DAYS * max(0.0, sums[end] - sums[start]))


@lru_cache(maxsize=64)
def _variances(climate: Climate, base_c: float) -> RunningSums:
    return RunningSums([max(0.0, _heat_variance(mean, sigma, base_c))
                        for mean, sigma in zip(climate.tmean_c, climate.sigma_c, strict=True)])


def years_with_low(climate: Climate, threshold_c: float) -> Years:
    """Years in whose winter, from midsummer to midsummer, a night reached the threshold."""
    if not climate.years:
        return _expected(climate.winter_kill_chance(threshold_c))
    return _nights(climate, HALF_YEAR_DAYS, HALF_YEAR_DAYS + DAYS_IN_YEAR, threshold_c)


def _share_reaching(climate: Climate, start: date, end: date, base_c: float, wanted: float,
                    cap_c: float | None) -> float:
    """Share of years, by a normal curve about the expected heat with the spread of persistent weather."""
    expected = climate.degree_days(start, end, base_c, cap_c)
    spread = heat_spread(climate, start, end, base_c)
    if not spread:
        return float(expected >= wanted)
    return (1 + erf((expected - wanted) / (sqrt(2) * spread))) / 2


def _heat_variance(mean_c: float, sigma_c: float, base_c: float) -> float:
    """Variance of a day's heat above the base when its mean temperature is normal. [(°C·day)²]"""
    above, z = mean_c - base_c, (mean_c - base_c) / sigma_c
    share, density = (1 + erf(z / sqrt(2))) / 2, exp(-z * z / 2) / sqrt(2 * pi)
    expected = above * share + sigma_c * density
    return (sigma_c * sigma_c + above * above) * share + above * sigma_c * density - expected * expected


def _expected(share: float) -> Years:
    return Years(_OF_TEN * share, _OF_TEN, from_record=False)


def _offset(climate: Climate, day: date) -> int:
    """Days from the midwinter that begins the growing year of ``day``."""
    return days_on(climate.season_at(day).start.year, day) - climate.midwinter_day


def _nights(climate: Climate, begin: int, end: int, threshold_c: float) -> Years:
    """Growing years with such a night from ``begin`` up to, but without, ``end`` days after midwinter."""
    hits = known = 0
    for days in climate.years:
        start = climate.midwinter_day + begin
        lows = [low for low, _ in _observed(climate, date_of(days.year, start),
                                            date_of(days.year, max(start, climate.midwinter_day + end)))]
        if sum(low is not None for low in lows) >= KNOWN_SHARE * len(lows):
            known += 1
            hits += any(low is not None and _reaches(low, threshold_c) for low in lows)
    return Years(hits, known, from_record=True)


def _reaches(low_c: float, threshold_c: float) -> bool:
    return low_c <= round(threshold_c, 1) + 1e-6


def _heat(climate: Climate, start: date, end: date, base_c: float, cap_c: float | None) -> float | None:
    """Heat between two dates of the record; None where too few days were observed. [°C·day]"""
    means = [(low + high) / 2 if low is not None and high is not None else None
             for low, high in _observed(climate, start, end)]
    known = [mean for mean in means if mean is not None]
    if len(known) < KNOWN_SHARE * len(means):
        return None
    if not known:
        return 0.0
    heat = sum(max(0.0, (mean if cap_c is None else min(mean, cap_c)) - base_c) for mean in known)
    return heat * len(means) / len(known)


def _observed(climate: Climate, start: date, end: date) -> Iterator[tuple[float | None, float | None]]:
    """Lowest and highest of each day from ``start`` up to, but without, ``end``; (None, None) off the record."""
    first_year, count = climate.years[0].year, len(climate.years)
    day = start
    while day < end:
        at = day.year - first_year
        if 0 <= at < count:
            index = (day - date(day.year, 1, 1)).days
            yield climate.years[at].tmin_c[index], climate.years[at].tmax_c[index]
        else:
            yield None, None
        day += _ONE_DAY

"""What a daily record says: cold seasons, frost dates, winter lows and normals. Pure; ``read`` opens the file.

    quantity      unit
    cold season   August to July, in the south moved by half a year; named by the year of its spring
    day           northern day of the year of that spring: a last frost in December is below 1, and a first frost is
                  counted from the year before, past 365 after New Year; southern dates are moved by 181 days
    threshold     °C, rounded to tenths: records kept in °F hold 28 °F as -2.2, which is not below -2.222

Source: NOAA, Supplemental products to the 1981-2010 climate normals (seasons, occurrence); a season with more than
10 missing nights is left out as by the Utah Climate Center.
"""

from __future__ import annotations

from calendar import isleap
from math import floor
from statistics import fmean, stdev
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.climate.days import DAYS_IN_YEAR
from calgen.climate.model import DailyRecord, FrostDate
from calgen.climate.normals import MONTH_STARTS, daily_curve

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

SOUTHERN_SHIFT_DAYS: Final = 181
"""Southern dates less this are northern ones: 1 July is 1 January."""
NEEDED_NIGHTS: Final = 355
SEASON_START_DAY: Final = 213
"""1 August."""
RECENT_YEARS: Final = 30
"""Length of a climatological normal. Source: WMO-No. 1203."""
_FEWEST_FOR_SPREAD: Final = 5
_FEWEST_FOR_SHAPE: Final = 10
_SPREAD_OF_FEW_DAYS: Final = 20.0
_ROUNDING: Final = 1e-6


class ColdSeason(Struct, frozen=True):
    """The nights of one cold season: their days and lowest temperatures. [day, °C]"""

    year: int
    days: tuple[int, ...]
    tmin_c: tuple[float, ...]

    @property
    def complete(self) -> bool:
        """Whether few enough nights are missing."""
        return len(self.days) >= NEEDED_NIGHTS

    @property
    def low_c(self) -> float:
        """The coldest night. [°C]"""
        return min(self.tmin_c)

    def frosts(self, threshold_c: float) -> tuple[int, int] | None:
        """Days of the last and the first night at or below the threshold; None without one."""
        limit = round(threshold_c, 1) + _ROUNDING
        days = [day for day, low in zip(self.days, self.tmin_c, strict=True) if low <= limit]
        return (days[-1], days[0] + DAYS_IN_YEAR) if days else None


class FrostTable(Struct, frozen=True):
    """Last and first frosts at one threshold over the complete seasons; days of the years that had one. [days]"""

    threshold_c: float
    seasons: int
    last: tuple[int, ...]
    first: tuple[int, ...]

    @property
    def with_frost(self) -> int:
        """Number of seasons in which the threshold was reached."""
        return len(self.last)

    @property
    def occurrence(self) -> float:
        """Share of seasons in which the threshold was reached."""
        return self.with_frost / self.seasons


def is_southern(record: DailyRecord) -> bool:
    """Whether the record's July is colder than its January; a flat year counts as northern."""
    lows = _by_month([(index, low) for _, index, low, _ in days_of(record)])
    return bool(lows[0] and lows[6]) and fmean(lows[0]) > fmean(lows[6])


def cold_seasons(record: DailyRecord, south: bool, latest: int | None = None) -> tuple[ColdSeason, ...]:
    """The complete cold seasons in order; the ``latest`` so many if given."""
    shift = SOUTHERN_SHIFT_DAYS if south else 0
    nights: dict[int, tuple[list[int], list[float]]] = {}
    for year, index, low, _ in days_of(record):
        if low is None:
            continue
        day = index + 1 - shift
        if day >= SEASON_START_DAY:
            season, day = year + 1, day - DAYS_IN_YEAR
        elif day < SEASON_START_DAY - DAYS_IN_YEAR:
            season, day = year - 1, day + DAYS_IN_YEAR
        else:
            season = year
        days, lows = nights.setdefault(season, ([], []))
        days.append(day)
        lows.append(low)
    seasons = [ColdSeason(year, tuple(days), tuple(lows)) for year, (days, lows) in sorted(nights.items())]
    complete = tuple(season for season in seasons if season.complete)
    return complete if latest is None else complete[-latest:]


def frost_table(seasons: Sequence[ColdSeason], threshold_c: float) -> FrostTable:
    """Last and first frost of every season that reached the threshold."""
    found = [dates for season in seasons if (dates := season.frosts(threshold_c))]
    return FrostTable(threshold_c, len(seasons), tuple(last for last, _ in found), tuple(first for _, first in found))


def quantile(values: Sequence[float], share: float) -> float:
    """Linear quantile between the sorted values (type 7 of Hyndman and Fan)."""
    ordered = sorted(values)
    position = share * (len(ordered) - 1)
    below = floor(position)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (position - below) * (ordered[above] - ordered[below])


class RecordedFrosts(Struct, frozen=True):
    """Frost dates at any threshold from the seasons of a record, on the calendar of the growing year.

    ``offset_days`` moves northern days to that calendar. ``last_moved_days`` and ``first_moved_days`` take the
    record to a garden whose average dates at 0 °C the grower knows; ``spread_days`` replaces the record's spread.
    """

    seasons: tuple[ColdSeason, ...]
    offset_days: int
    last_moved_days: float = 0.0
    first_moved_days: float = 0.0
    spread_days: float | None = None

    def last(self, threshold_c: float) -> FrostDate | None:
        """See ``frost.Frosts.last``."""
        table = frost_table(self.seasons, threshold_c)
        return self._date(table, table.last, self.last_moved_days)

    def first(self, threshold_c: float) -> FrostDate | None:
        """See ``frost.Frosts.first``."""
        table = frost_table(self.seasons, threshold_c)
        return self._date(table, table.first, self.first_moved_days)

    def _date(self, table: FrostTable, days: tuple[int, ...], moved: float) -> FrostDate | None:
        if not days:
            return None
        move = self.offset_days + moved
        spread = max(1.0, stdev(days)) if len(days) >= _FEWEST_FOR_SPREAD else _SPREAD_OF_FEW_DAYS
        shaped = len(days) >= _FEWEST_FOR_SHAPE and self.spread_days is None
        return FrostDate(table.threshold_c, fmean(days) + move, self.spread_days or spread, table.occurrence,
                         tuple(day + move for day in days) if shaped else ())


def latest_years(record: DailyRecord, count: int) -> DailyRecord:
    """The record's last ``count`` calendar years."""
    return DailyRecord(record.name, record.years[-count:], record.latitude_deg, record.notes)


def monthly_normals(record: DailyRecord) -> tuple[tuple[float, float], ...]:
    """Twelve means of daily minimum and maximum over all years, of days with both. [°C]

    Raises:
        ValueError: a month of the year has no such day in any year.
    """
    both = [(index, low, high) for _, index, low, high in days_of(record) if low is not None and high is not None]
    lows = _by_month([(index, low) for index, low, _ in both])
    highs = _by_month([(index, high) for index, _, high in both])
    if not all(lows):
        raise ValueError("a month of the year has no days with both lowest and highest temperature")
    return tuple((fmean(low), fmean(high)) for low, high in zip(lows, highs, strict=True))


def daily_sigma(record: DailyRecord, tmean_c: Sequence[float]) -> tuple[float, ...]:
    """Standard deviation of the daily mean temperature about its curve, one value a day of the year. [°C]"""
    off = _by_month([(index, (low + high) / 2 - tmean_c[index]) for _, index, low, high in days_of(record)
                     if low is not None and high is not None])
    monthly = [sum(value * value for value in values) / len(values) for values in off]
    return tuple(max(0.25, variance) ** 0.5 for variance in daily_curve(monthly))


def days_of(record: DailyRecord) -> Iterator[tuple[int, int, float | None, float | None]]:
    """Year, day of the common year counted from nought, lowest, highest; 29 February a second 28."""
    for days in record.years:
        leap = isleap(days.year)
        for index, (low, high) in enumerate(zip(days.tmin_c, days.tmax_c, strict=True)):
            yield days.year, index - 1 if leap and index >= MONTH_STARTS[2] else index, low, high


def _by_month(values: Sequence[tuple[int, float | None]]) -> list[list[float]]:
    months: list[list[float]] = [[] for _ in range(12)]
    month_of = [month for month in range(12) for _ in range(MONTH_STARTS[month], MONTH_STARTS[month + 1])]
    for index, value in values:
        if value is not None:
            months[month_of[index]].append(value)
    return months

"""A daily record in figures: over all its years, and over the last thirty where it is longer.

    quantity      unit
    frost rows    northern days (see ``record``); p10 is the risky side: after it a frost comes in 1 year in 10 in
                  spring, before it one has come in 1 year in 10 in autumn (NOAA's convention)
    heat          °C·day over a growing year, from each day's mean of lowest and highest temperature
"""

from __future__ import annotations

from statistics import fmean, stdev
from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct

from calgen.climate.days import DAYS_IN_YEAR
from calgen.climate.heat import simple_average
from calgen.climate.record import (
    NEEDED_NIGHTS,
    RECENT_YEARS,
    SOUTHERN_SHIFT_DAYS,
    ColdSeason,
    cold_seasons,
    days_of,
    frost_table,
    is_southern,
    latest_years,
    monthly_normals,
    quantile,
)
from calgen.problems import InputError, Place, Problem

if TYPE_CHECKING:
    from calgen.climate.model import DailyRecord

THRESHOLDS_C: Final = (0.0, -2.2, -4.4)
"""A light frost, a freeze that kills tender plants, a hard freeze: 32, 28 and 24 °F of the published tables."""
HEAT_BASES_C: Final = (4.4, 10.0)
RARE: Final = 0.1
FEWEST_FOR_QUANTILES: Final = 5
_MUCH_LONGER_YEARS: Final = 35


class FrostRow(Struct, frozen=True):
    """One threshold's last or first frost; quantiles are None where it is too rare for them. [northern days]"""

    threshold_c: float
    season: Literal["last-spring", "first-autumn"]
    p10: float | None
    p50: float | None
    p90: float | None
    mean: float | None
    sd: float | None
    seasons: int
    with_frost: int


class HeatRow(Struct, frozen=True):
    """Heat above a base over growing years: each year's sum by its first calendar year. [°C, °C·day]"""

    base_c: float
    by_year: tuple[tuple[int, float], ...]


class Span(Struct, frozen=True):
    """The figures over a span of seasons. [°C]"""

    first_season: int
    last_season: int
    seasons: int
    frost: tuple[FrostRow, ...]
    normals_c: tuple[tuple[float, float], ...]
    winter_low_c: float
    winter_low_sd_c: float
    coldest_c: float
    heat: tuple[HeatRow, ...]

    def row(self, season: Literal["last-spring", "first-autumn"], threshold_c: float = 0.0) -> FrostRow:
        """The row of a season and threshold."""
        return next(row for row in self.frost if row.season == season and row.threshold_c == threshold_c)

    @property
    def warmest_month_c(self) -> float:
        """Mean of the warmest month. [°C]"""
        return max((low + high) / 2 for low, high in self.normals_c)


class Summary(Struct, frozen=True):
    """A record's figures; ``recent`` is ``whole`` where the record is not much longer than thirty years."""

    name: str
    latitude_deg: float | None
    south: bool
    first_year: int
    last_year: int
    notes: tuple[Problem, ...]
    whole: Span
    recent: Span


def summary(record: DailyRecord, latitude_deg: float | None = None) -> Summary:
    """The figures of a record.

    Args:
        record: a daily record of at least five cold seasons.
        latitude_deg: the place's latitude; by default what the file says, else its warm half year decides.

    Raises:
        InputError: the record's summer is that of the other half of the world.
    """
    latitude = record.latitude_deg if latitude_deg is None else latitude_deg
    south = is_southern(record) if latitude is None else latitude < 0
    normals = monthly_normals(record)
    january, july = normals[0][0], normals[6][0]
    if abs(january - july) > 5 and (january > july) != south:
        warm = "January" if january > july else "July"
        raise InputError([Problem(Place(record.name), "", f"{warm} is the warm month of this record, which does not "
                                                          f"fit latitude {latitude:g}; check its sign")])
    seasons = cold_seasons(record, south)
    whole = _span(record, seasons, south)
    recent = whole
    if len(seasons) > _MUCH_LONGER_YEARS:
        recent = _span(latest_years(record, RECENT_YEARS), seasons[-RECENT_YEARS:], south)
    return Summary(record.name, latitude, south, record.years[0].year, record.years[-1].year, record.notes, whole,
                   recent)


def _span(record: DailyRecord, seasons: tuple[ColdSeason, ...], south: bool) -> Span:
    lows = [season.low_c for season in seasons]
    rows = tuple(row for threshold in THRESHOLDS_C for row in _rows(seasons, threshold))
    return Span(seasons[0].year, seasons[-1].year, len(seasons), rows, monthly_normals(record), fmean(lows),
                stdev(lows), min(lows), tuple(_heat(record, base, south) for base in HEAT_BASES_C))


def _rows(seasons: tuple[ColdSeason, ...], threshold_c: float) -> tuple[FrostRow, FrostRow]:
    table = frost_table(seasons, threshold_c)
    enough = table.with_frost >= FEWEST_FOR_QUANTILES and table.occurrence >= RARE

    def row(season: Literal["last-spring", "first-autumn"], days: tuple[int, ...], risky: float) -> FrostRow:
        return FrostRow(
            threshold_c, season,
            p10=quantile(days, risky) if enough else None,
            p50=quantile(days, 0.5) if enough else None,
            p90=quantile(days, 1 - risky) if enough else None,
            mean=fmean(days) if days else None,
            sd=stdev(days) if len(days) > 1 else None,
            seasons=table.seasons,
            with_frost=table.with_frost,
        )

    return row("last-spring", table.last, 0.9), row("first-autumn", table.first, 0.1)


def _heat(record: DailyRecord, base_c: float, south: bool) -> HeatRow:
    shift = SOUTHERN_SHIFT_DAYS if south else 0
    sums: dict[int, float] = {}
    known: dict[int, int] = {}
    for year, index, low, high in days_of(record):
        if low is not None and high is not None:
            growing_year = year if index >= shift else year - 1
            sums[growing_year] = sums.get(growing_year, 0.0) + simple_average(low, high, base_c)
            known[growing_year] = known.get(growing_year, 0) + 1
    return HeatRow(base_c, tuple((year, heat * DAYS_IN_YEAR / known[year]) for year, heat in sorted(sums.items())
                                 if known[year] >= NEEDED_NIGHTS))

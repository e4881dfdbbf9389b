"""Prints calgen/climate/cycle_places.py: ``python tests/published/climate_year_table.py > FILE``.

From NOAA 1981-2010 normals of 50 US stations (Milwaukee, whose record is compared, is left out) and the places of
climate_year_places.csv marked ``fit``.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from math import cos, hypot, pi, sin
from pathlib import Path

from calgen.climate.normals import daily_curve

FOLDER = Path(__file__).parent
MONTH_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
SOUTHERN_SHIFT = 181
COMPARED_IN_US = ("USW00014839",)
LONGEST_SEASON = 340
AT_FROST_C = 5.3
# Mean Tmin on the average last and first frost at places whose twelve months are not at hand, with yearly mean, half
# the yearly range and daily range (from memory where the place is named). Source of the Tmin: own analysis of daily
# records of Vancouver and Prince George 1975-2004 (Environment Canada), Klein-Altendorf near Bonn 1998-2010, 46
# stations in Trentino 1958-2007 (middle; counted four times), four area series of the United Kingdom (the same).
OTHERS = [
    ("United Kingdom", 4, 9.7, 6.4, 7.8, 3.5, 4.0),
    ("near Bonn", 1, 9.8, 8.2, 8.8, 5.0, 4.7),
    ("Italian Alps", 4, 7.0, 9.0, 9.5, 3.9, 3.5),
    ("Vancouver", 1, 10.4, 7.2, 7.1, 3.3, 3.9),
    ("Prince George", 1, 4.4, 11.8, 10.7, 4.9, 5.5),
]


@dataclass(frozen=True)
class Place:
    """A place with its twelve months, northern ones first; frost dates as northern days where they are independent."""

    name: str
    latitude_deg: float
    longitude_deg: float
    climate: str
    use: str
    tmin_c: tuple[float, ...]
    tmax_c: tuple[float, ...]
    last: int | None
    first: int | None
    winter_low_c: float
    dates: str

    @property
    def terms(self) -> tuple[float, ...]:
        """The eleven terms of ``calgen.climate.cycle``."""
        low, high = daily_curve(self.tmin_c), daily_curve(self.tmax_c)
        mean = [(one + other) / 2 for one, other in zip(low, high, strict=True)]
        span = [other - one for one, other in zip(low, high, strict=True)]
        return (*waves(mean, 2), *waves(span, 1), self.winter_low_c, abs(self.latitude_deg),
                float(self.latitude_deg < 0))

    @property
    def tmean_c(self) -> tuple[float, ...]:
        """Twelve means."""
        return tuple((low + high) / 2 for low, high in zip(self.tmin_c, self.tmax_c, strict=True))

    @property
    def season(self) -> tuple[int, int]:
        """Last and first frost; without dates the days on which mean Tmin passes 5.3 °C, midwinter if never."""
        if self.last is not None and self.first is not None and 0 < self.first - self.last < LONGEST_SEASON:
            return self.last, self.first
        low = daily_curve(self.tmin_c)
        return (next((day for day in range(1, 200) if low[day - 1] > AT_FROST_C), 15),
                next((day for day in range(365, 200, -1) if low[day - 1] > AT_FROST_C), 365))


def waves(daily: list[float], orders: int) -> list[float]:
    """Mean, and cosine and sine counted from day 200, of 365 values."""
    found = [sum(daily) / 365]
    for order in range(1, orders + 1):
        for wave in (cos, sin):
            found.append(2 / 365 * sum(value * wave(order * 2 * pi * (day - 200) / 365)
                                       for day, value in enumerate(daily, 1)))
    return found


def places() -> list[Place]:
    """The stations of the US and the places from memory."""
    return [*_us(), *_memory()]


def _us() -> list[Place]:
    found = []
    lows = {row["station_id"]: float(row["winter_low_c"]) for row in _rows("climate_year_us_lows.csv")}
    for row in _rows("normals_us_1981_2010.csv"):
        use = "held-out" if row["station_id"] in COMPARED_IN_US else "fit"
        last, first = _day(row["last_frost_p50"]), _day(row["first_frost_p50"])
        found.append(Place(row["station"], float(row["lat"]), float(row["lon"]), "us", use, _months(row, "tmin"),
                           _months(row, "tmax"), last, first + 365 * (first < last), lows[row["station_id"]],
                           "published"))
    return found


def _memory() -> list[Place]:
    found = []
    for row in _rows("climate_year_places.csv"):
        latitude = float(row["latitude"])
        low, high = _months(row, "tmin"), _months(row, "tmax")
        last = first = None
        if row["last_frost"]:
            last, first = _day(row["last_frost"]), _day(row["first_frost"])
            if latitude < 0:
                last, first = last - SOUTHERN_SHIFT, first - SOUTHERN_SHIFT
            first += 365 * (first < last)
        if latitude < 0:
            low, high = low[6:] + low[:6], high[6:] + high[:6]
        found.append(Place(row["place"], latitude, float(row["longitude"]), row["climate"], row["use"], low, high,
                           last, first, float(row["winter_low_c"]), row["dates"]))
    return found


def _rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / name).open(encoding="utf-8") as stream:
        return list(csv.DictReader(line for line in stream if not line.startswith("#")))


def _months(row: dict[str, str], step: str) -> tuple[float, ...]:
    return tuple(float(row[f"{step}_{month:02}_c"]) for month in range(1, 13))


def _day(month_day: str) -> int:
    return sum(MONTH_LENGTHS[:int(month_day[:2]) - 1]) + int(month_day[3:])


def wave_tmin(terms: tuple[float, ...], day: int) -> float:
    """Mean Tmin of a day as the waves have it; on the average first frosts of the US 0.6 °C above the months."""
    angle = 2 * pi * (day - 200) / 365
    mean = (1.0, cos(angle), sin(angle), cos(2 * angle), sin(2 * angle))
    return (sum(value * wave for value, wave in zip(terms[:5], mean, strict=True))
            - sum(value * wave for value, wave in zip(terms[5:8], mean[:3], strict=True)) / 2)


def frost_tmin(fitted: list[Place]) -> list[tuple[float, ...]]:
    """For last and first frost: Tmin at 10 °C of each, change by yearly mean, yearly wave and range, rms error."""
    rows = [(mean, wave, span, low_last, low_first) for _, times, mean, wave, span, low_last, low_first in OTHERS
            for _ in range(times)]
    for place in fitted:
        if place.last is None or place.first is None or place.dates == "rule" \
                or not 60 <= place.first - place.last <= 300:
            continue
        terms = place.terms
        rows.append((terms[0], hypot(terms[1], terms[2]), terms[5], wave_tmin(terms, place.last),
                     wave_tmin(terms, place.first)))
    found = []
    for column in (3, 4):
        table = [[1.0, row[0] - 10, row[1] - 10, row[2] - 10, row[column]] for row in rows]
        weights = _least_squares(table)
        errors = [row[-1] - sum(a * b for a, b in zip(row[:-1], weights, strict=True)) for row in table]
        found.append((*weights, (sum(error * error for error in errors) / (len(rows) - 4)) ** 0.5))
    return found


def _least_squares(table: list[list[float]]) -> list[float]:
    size = len(table[0]) - 1
    system = [[sum(row[one] * row[other] for row in table) for other in range(size + 1)] for one in range(size)]
    for step in range(size):
        system[step] = [value / system[step][step] for value in system[step]]
        for other in range(size):
            if other != step:
                factor = system[other][step]
                system[other] = [value - factor * at for value, at in zip(system[other], system[step], strict=True)]
    return [row[-1] for row in system]


TEMPLATE = '''"""Years of temperature at {count} places with frost, and mean Tmin on average frost dates.

Generated by tests/published/climate_year_table.py from NOAA 1981-2010 normals of {us} US stations, and from memory of
the national normals of {memory} places, most elsewhere. ``terms`` are those of ``cycle``; days are northern. [°C, days]
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct


class Place(Struct, frozen=True):
    """A place with its longitude, average frost dates, warmest month and the terms of its year."""

    name: str
    longitude_deg: float
    last_day: int
    first_day: int
    warmest_c: float
    terms: tuple[float, ...]


class FrostTmin(Struct, frozen=True):
    """Mean daily Tmin on an average frost date: where yearly mean, yearly wave and daily range are 10 °C, what each °C

    more of these adds, and the standard error. [°C]
    """

    at_ten_c: float
    by_mean: float
    by_wave: float
    by_range: float
    error_c: float


LAST_FROST_TMIN: Final = FrostTmin({last})
FIRST_FROST_TMIN: Final = FrostTmin({first})
PLACES: Final = (
{rows}
)
'''


def main() -> None:
    """Print the module."""
    fitted = [place for place in places() if place.use == "fit"]
    last, first = (", ".join(f"{value:.3f}" for value in values) for values in frost_tmin(fitted))
    us = sum(place.climate == "us" for place in fitted)
    rows = []
    for place in fitted:
        terms = ", ".join(f"{value:.2f}" for value in place.terms)
        season = f"{place.season[0]}, {place.season[1]}"
        head = f'    Place("{place.name}", {place.longitude_deg:.1f}, {season}, {max(place.tmean_c):.1f},'
        rows.append(f"{head}\n          ({terms})),")
    print(TEMPLATE.format(count=len(fitted), us=us, memory=len(fitted) - us, last=last, first=first,
                          rows="\n".join(rows)), end="")


if __name__ == "__main__":
    main()

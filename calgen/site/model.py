"""What a site file says, as plain immutable objects. Stage 1; nothing here computes.

    quantity          unit
    latitude          degrees, south negative
    area              m²
    pot volume        litres
    frost dates       month and day of the average last and first 0 °C night
    winter_low_c      °C, coldest night of an ordinary winter
    seed_in_hand      grams by cover id
    wanted            beds by crop id, the most wanted first
    warmest_month_c   °C, mean temperature of the warmest month
"""

from __future__ import annotations

from calendar import isleap
from datetime import date
from math import inf
from typing import Literal

from msgspec import Struct

from calgen.problems import Place, Placed

Purpose = Literal["nitrogen", "hold-nutrients", "biomass", "structure", "weeds", "soil-pests", "phosphorus",
                  "pollinators", "cover"]
PURPOSES: tuple[Purpose, ...] = ("nitrogen", "hold-nutrients", "biomass", "structure", "weeds", "soil-pests",
                                 "phosphorus", "pollinators", "cover")
SOIL_TYPES = ("sand", "loam", "clay", "chalk", "peat")
SOIL_PROBLEMS = ("compacted", "wet", "dry", "acid", "shaded")
How = Literal["cleared", "undersown", "between-rows"]
HOWS: tuple[How, ...] = ("cleared", "undersown", "between-rows")
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


class MonthDay(Struct, frozen=True, order=True):
    """A day of the year without a year; 29 February falls on 28 in common years."""

    month: int
    day: int

    def in_year(self, year: int) -> date:
        """This day in a year."""
        if (self.month, self.day) == (2, 29):
            return date(year, 2, 29 if isleap(year) else 28)
        return date(year, self.month, self.day)


class Frost(Placed, frozen=True):
    """Average dates of the last and first 0 °C night, and their spread. [month-day, days]"""

    last: MonthDay
    first: MonthDay
    spread_days: float | None
    place: Place


class ClimateInput(Placed, frozen=True):
    """Better climate than three numbers: twelve monthly means of daily minimum and maximum, or a daily record."""

    normals_c: tuple[tuple[float, float], ...] = ()
    record: str | None = None
    place: Place = Place("")


class Size(Struct, frozen=True):
    """How much ground or how many pots. A bed has length and width (or only an area); pots a number and litres."""

    area_m2: float
    length_m: float | None = None
    width_m: float | None = None
    pots: int = 0
    pot_litres: float = 0.0

    @property
    def rooting_cm(self) -> float:
        """How deep roots can go: a pot's depth, its volume over its surface; no limit in a bed. [cm]"""
        return self.pots * self.pot_litres / self.area_m2 / 10 if self.pots else inf


class CropStep(Placed, frozen=True):
    """A crop in a bed's order, with the dates the grower knows; everything else is computed.

    ``choose`` tells that the file leaves the crop to calgen; ``plant`` is empty until it is chosen or the diary tells.
    """

    plant: str
    place: Place
    sown: date | None = None
    planted: date | None = None
    ready: date | None = None
    cleared: date | None = None
    sow_by: date | None = None
    plant_by: date | None = None
    days: int | None = None
    among: bool = False
    companion: str | None = None
    save_seed: bool = False
    method: Literal["direct", "transplant", "plant"] | None = None
    choose: bool = False

    @property
    def is_open(self) -> bool:
        """Whether the crop is still to be chosen."""
        return not self.plant


class Wanted(Placed, frozen=True):
    """A crop wanted in so many of the beds that leave their crop to calgen."""

    plant: str
    beds: int
    place: Place


class CoverStep(Placed, frozen=True):
    """A cover in a bed's order: ``()`` leaves the choice to calgen, several names are a mixture.

    ``failed`` are covers that were sown and did not come up; ``not_before`` the day from which another may be sown.
    """

    covers: tuple[str, ...]
    place: Place
    how: How | None = None
    sown: date | None = None
    cut: date | None = None
    save_seed: bool = False
    failed: tuple[str, ...] = ()
    not_before: date | None = None

    @property
    def choose(self) -> bool:
        """Whether the choice is left to calgen."""
        return not self.covers


class MulchStep(Placed, frozen=True):
    """A mulch in a bed's order."""

    material: str
    place: Place
    laid: date | None = None


Step = CropStep | CoverStep | MulchStep


class Bed(Placed, frozen=True):
    """A bed or a group of pots: its ground, its wants, its past and its order."""

    name: str
    place: Place
    size: Size
    soil: tuple[str, ...]
    needs: tuple[Purpose, ...]
    grew: tuple[tuple[int, tuple[str, ...]], ...]
    order: tuple[Step, ...]


DOINGS = ("sown", "planted", "topped-up", "failed", "cut", "cleared", "mulched", "looked", "gathered", "ordered",
          "sown-indoors", "hardened-off")


class Doing(Placed, frozen=True):
    """An entry of the diary: what was really done in a bed on a day, to which plants."""

    on: date
    bed: str
    done: str
    plants: tuple[str, ...]
    note: str
    place: Place


class Site(Placed, frozen=True):
    """Everything the grower wrote, checked. ``as_written`` are the beds as they were before the diary changed them."""

    name: str
    file: str
    place: Place
    latitude_deg: float
    longitude_deg: float | None
    timezone: str | None
    frost: Frost | None
    winter_low_c: float | None
    warmest_month_c: float | None
    climate: ClimateInput
    soil: str
    tools: Literal["hand", "tiller"]
    units: Literal["metric", "us"]
    garden_days: tuple[int, ...]
    caution: float
    chart_starts: date
    beds: tuple[Bed, ...]
    language: str = "en"
    reminders: Literal["none", "evening-before", "morning-of", "both"] = "evening-before"
    digest: bool = False
    feed_address: str | None = None
    diary: tuple[Doing, ...] = ()
    as_written: tuple[Bed, ...] = ()
    seed_in_hand: tuple[tuple[str, float], ...] = ()
    jobs_per_day: int | None = None
    wanted: tuple[Wanted, ...] = ()

    @property
    def south(self) -> bool:
        """Whether the seasons are the southern ones."""
        return self.latitude_deg < 0

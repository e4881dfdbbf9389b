"""The one interface to the weather. Three constructors fill it (minimal, normals, record); everyone asks it.

    quantity     unit
    tmin, tmax   °C, mean daily lowest and highest air temperature at 2 m, one value a day of the year (365)
    sigma        °C, standard deviation of the daily mean temperature about its curve, one value a day (365)
    frost dates  day of the year of the mean, days (standard deviation), share of years with such a night
    degree days  °C·day
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date


@dataclass(frozen=True, slots=True)
class FrostDate:
    """When a threshold is last reached in spring or first reached in autumn: a normal curve over years.

    ``mean_day`` is the day of the calendar year [1-365] in the site's own hemisphere; ``occurrence`` the share of
    years in which the threshold is reached at all [0-1].
    """

    threshold_c: float
    mean_day: float
    sd_days: float
    occurrence: float = 1.0


@dataclass(frozen=True, slots=True)
class Season:
    """One growing year at a site: from midwinter to midwinter, with its median frost dates.

    In a frost-free place ``last_frost`` and ``first_frost`` are None.
    """

    start: date
    end: date
    last_frost: date | None
    first_frost: date | None


@dataclass(frozen=True, slots=True)
class KnownError:
    """How far an answer may be off, in a grower's words, and what would make it better."""

    what: str
    size: str
    remedy: str | None

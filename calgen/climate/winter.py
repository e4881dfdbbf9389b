"""The coldest night of a winter: known, from a record, or estimated.

    quantity       unit
    winter low     °C, lowest temperature of a winter; its mean and its standard deviation between winters
    coldest tmin   °C, mean daily minimum of the coldest month, or the lowest point of its curve
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, hypot, sqrt
from typing import Final

ERROR_FROM_CURVE_C: Final = 2.5
"""Standard error of ``low_from_coldest_month``: 1.3 °C at the eleven places of its fit, more where polar air comes far
south (about 6 °C too mild at the Gulf coast of the US, from memory)."""
ERROR_FROM_FROST_C: Final = 4.5
ERROR_FROM_FROST_ONLY_C: Final = 6.0
"""Standard errors of ``coldest_tmin_from_frost`` carried on to the winter low, with and without the warmest month."""


@dataclass(frozen=True, slots=True)
class WinterLow:
    """The coldest night of a winter: a normal curve over winters, wider where it is estimated. [°C]"""

    mean_c: float
    sd_c: float
    estimated: bool

    def chance_of(self, temperature_c: float) -> float:
        """Chance that a winter gets as cold as this at least once."""
        return (1 + erf((temperature_c - self.mean_c) / self.sd_c / sqrt(2))) / 2


def given_low(low_c: float, coldest_tmin_c: float) -> WinterLow:
    """From the coldest night of an ordinary winter, as the grower knows it."""
    return WinterLow(low_c, sd_between_winters(coldest_tmin_c - low_c), estimated=False)


def low_from_coldest_month(coldest_tmin_c: float, error_c: float = ERROR_FROM_CURVE_C) -> WinterLow:
    """From the mean daily minimum of the coldest month: the colder it is, the further below it the coldest night.

    Fit to eleven places: the records of Milwaukee, Champion NE, Brussels, Tunis, Córdoba, Hyderabad and Seattle, and
    the mean yearly minima in the headers of the IWEC weather files of London, Aberdeen, Sydney and Seville.

    Error: root mean square 1.3 °C at these; see ``ERROR_FROM_CURVE_C``.
    """
    below = max(3.0, 9.4 - 0.5 * coldest_tmin_c)
    return WinterLow(coldest_tmin_c - below, hypot(sd_between_winters(below), error_c), estimated=True)


def sd_between_winters(below_c: float) -> float:
    """Standard deviation of the winter low from how far it lies below the mean minimum of the coldest month. [°C]

    0.28 of it at ten of the eleven places (0.20-0.42). Source: as ``low_from_coldest_month``.
    """
    return min(5.0, max(1.0, 0.28 * below_c))


def coldest_tmin_from_frost(last_day: float, first_day: float, warmest_c: float | None) -> float:
    """Mean daily minimum of the coldest month from the average frost dates, and the warmest month if known.

    The curves of ``minimal`` are fitted to the warm half of the year and can be far off in winter. Latitude is left
    out on purpose: it means cold winters in America and not in western Europe.

    Error: root mean square 2.6 °C at 51 US stations, 3.1 °C at eleven places elsewhere, too cold by 3-5 °C in the
    British Isles; without the warmest month 2.4 °C and 4.1 °C.
    Source: own least squares on NOAA 1981-2010 normals of 51 stations and eleven places elsewhere (counted twice in
    the fit with the warmest month), of which nine with values from memory. Days are northern.
    """
    y, z = (first_day - last_day - 180) / 60, ((first_day + last_day) / 2 - 200) / 10
    if warmest_c is None:
        return -6.9 + 7.4 * y + 6.5 * z
    return -5.9 + 7.8 * y + 5.2 * z - 1.55 * (warmest_c - 20) / 5

"""The coldest night of a winter: known, from a record, or estimated.

    quantity       unit
    winter low     °C, lowest temperature of a winter; its mean and its standard deviation between winters
    coldest tmin   °C, mean daily minimum of the coldest month, or the lowest point of its curve
"""

from __future__ import annotations

from math import erf, hypot, sqrt
from typing import Final

from msgspec import Struct

ERROR_FROM_CURVE_C: Final = 2.5
"""Standard error of ``low_from_coldest_month``: 1.3 °C at the eleven places of its fit, more where polar air comes far
south (about 6 °C too mild at the Gulf coast of the US, from memory)."""
_LEAST_BELOW_C: Final = 3.0


class WinterLow(Struct, frozen=True):
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


def guessed_low(low_c: float, error_c: float, coldest_tmin_c: float) -> WinterLow:
    """A guess with its standard error, kept below the mean daily minimum of the coldest month."""
    low = min(low_c, coldest_tmin_c - _LEAST_BELOW_C)
    return WinterLow(low, hypot(sd_between_winters(coldest_tmin_c - low), error_c), estimated=True)


def low_from_coldest_month(coldest_tmin_c: float, error_c: float = ERROR_FROM_CURVE_C) -> WinterLow:
    """From the mean daily minimum of the coldest month: the colder it is, the further below it the coldest night.

    Fit to eleven places: the records of Milwaukee, Champion NE, Brussels, Tunis, Córdoba, Hyderabad and Seattle, and
    the mean yearly minima in the headers of the IWEC weather files of London, Aberdeen, Sydney and Seville.

    Error: root mean square 1.3 °C at these; see ``ERROR_FROM_CURVE_C``.
    """
    below = max(_LEAST_BELOW_C, 9.4 - 0.5 * coldest_tmin_c)
    return guessed_low(coldest_tmin_c - below, error_c, coldest_tmin_c)


def sd_between_winters(below_c: float) -> float:
    """Standard deviation of the winter low from how far it lies below the mean minimum of the coldest month. [°C]

    0.28 of it at ten of the eleven places (0.20-0.42). Source: as ``low_from_coldest_month``.
    """
    return min(5.0, max(1.0, 0.28 * below_c))

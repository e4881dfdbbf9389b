"""The coldest night of a winter: known, from a record, or estimated from the coldest part of the year's curve."""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, hypot, sqrt
from typing import Final

ESTIMATE_ERROR_C: Final = 3.5
"""Standard error of ``estimated_low``."""


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
    """From the coldest night of an ordinary winter, as the grower knows it.

    Between winters it varies by a quarter of its distance from the mean minimum of the coldest month (six records:
    0.20-0.34 of it).
    """
    return WinterLow(low_c, _between_winters(coldest_tmin_c - low_c), estimated=False)


def estimated_low(coldest_tmin_c: float) -> WinterLow:
    """From the mean daily minimum of the coldest month.

    Fitted to six records from Nebraska to Tunis (root mean square 1.1 °C there); places open to polar air, such as
    the Gulf coast of the US, get far colder.
    """
    below = max(3.0, 9.0 - 0.5 * coldest_tmin_c)
    return WinterLow(coldest_tmin_c - below, hypot(_between_winters(below), ESTIMATE_ERROR_C), estimated=True)


def _between_winters(below_c: float) -> float:
    return min(4.5, max(1.0, 0.25 * below_c))

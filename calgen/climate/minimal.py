"""The year's temperatures from latitude and two frost dates (M1), and the warmest month's mean if known (M2).

    quantity   unit
    L, F       day of the northern year of the average last and first 0 °C night; F may run past 365, L below 1
    Tw         °C, mean temperature of the warmest month
    x, y, z, t the same centred and scaled: (φ-40)/10, (F-L-180)/60, ((F+L)/2-200)/10, (Tw-20)/5

One cosine for the daily mean through the temperatures expected on the two frost dates, another for the daily range.
The coefficients are least squares on 5,395 US stations (NOAA 1981-2010 normals); none outside the US is in the fit.
A single cosine cannot follow a slow maritime autumn nor a lake: ``cycle`` is nearer, and these two are what it is
measured against. The curves without frost, and without a frost-free season, are in use. Southern dates are moved by
181 days first.
"""

from __future__ import annotations

from math import asin, cos, pi, sin
from typing import Final

from msgspec import Struct

_W: Final = 2 * pi / 365
CREST_ABOVE_MONTH_C: Final = 0.2
"""The peak of a cosine above the mean of its warmest month."""


class Curve(Struct, frozen=True):
    """Daily mean and daily range as cosines of the northern day of the year. [°C, days]"""

    mean_c: float
    amplitude_c: float
    peak_day: float
    range_c: float
    range_amplitude_c: float

    def tmean(self, day: float) -> float:
        """Mean temperature of a day. [°C]"""
        return self.mean_c + self.amplitude_c * cos(_W * (day - self.peak_day))

    def daily_range(self, day: float) -> float:
        """Highest less lowest temperature of a day; its own peak comes 8 days before that of the mean. [°C]"""
        return self.range_c + self.range_amplitude_c * cos(_W * (day - self.peak_day + 8))

    def tmin(self, day: float) -> float:
        """Mean daily lowest temperature. [°C]"""
        return self.tmean(day) - self.daily_range(day) / 2

    def tmax(self, day: float) -> float:
        """Mean daily highest temperature. [°C]"""
        return self.tmean(day) + self.daily_range(day) / 2


def latitude_and_frost(latitude_deg: float, last_day: float, first_day: float) -> Curve:
    """M1: absolute latitude and average frost dates.

    Error: degree days above 4.4 °C from last to first frost 7.5 % on average in the US (9 in 10 within 16 %), in
    the middle case 19 % elsewhere: these numbers cannot tell a cool maritime summer from a hot continental one.
    """
    x, y, z = _scaled(latitude_deg, last_day, first_day)
    amplitude = 12.50 - 0.33 * x - 2.79 * y - 2.71 * z
    return _through_anchors(
        last_day, first_day,
        at_last_c=12.50 - 3.19 * x - 1.25 * y - 0.72 * z,
        at_first_c=12.58 - 3.14 * x - 2.09 * y - 2.33 * z,
        amplitude_c=amplitude,
        range_c=13.08 - 3.33 * x - 2.35 * y - 1.46 * z,
        range_amplitude_c=1.18 + 1.59 * x + 0.10 * y + 0.49 * z,
    )


def latitude_frost_and_warmest_month(latitude_deg: float, last_day: float, first_day: float,
                                     warmest_c: float) -> Curve:
    """M2: as M1, with the mean of the warmest month [°C], which cuts the error by three outside the US.

    Error: degree days above 4.4 °C from last to first frost 2.5 % on average in the US, in the middle case 6 %
    elsewhere (9 in 10 within 13 %); autumn sums 10-30 % too low in the British Isles.
    """
    x, y, z = _scaled(latitude_deg, last_day, first_day)
    t = (warmest_c - 20) / 5
    at_last = 12.17 - 2.77 * x - 1.25 * y - 0.49 * z + 0.47 * t
    at_first = 12.39 - 2.91 * x - 2.09 * y - 2.20 * z + 0.26 * t
    anchor = min((at_last + at_first) / 2, warmest_c - 1)
    half = (first_day - last_day) / 2
    return _through_anchors(
        last_day, first_day,
        at_last_c=at_last,
        at_first_c=at_first,
        amplitude_c=(warmest_c + CREST_ABOVE_MONTH_C - anchor) / (1 - cos(_W * half)),
        range_c=12.66 - 2.81 * x - 2.35 * y - 1.17 * z + 0.59 * t,
        range_amplitude_c=1.22 + 1.54 * x + 0.10 * y + 0.46 * z - 0.06 * t,
    )


def frost_free(latitude_deg: float, warmest_c: float | None) -> Curve:
    """A place without frost: a last resort, from the means of 121 NOAA stations without a frost date (14° S-38° N).

    Error: yearly mean 1.4 °C (root mean square) at sea level, 0.76 °C too warm for each 100 m above it unless the
    warmest month is given. Within about 10° of the equator there is no temperature season. The peak day is that of
    the southernmost stations of the US.
    """
    latitude = abs(latitude_deg)
    half_range = max(0.5, -1.3 + 0.17 * latitude)
    mean = 34.4 - 0.46 * latitude if warmest_c is None else warmest_c - half_range
    return Curve(mean, half_range, peak_day=210.0, range_c=8.1, range_amplitude_c=0.0)


def without_frost_free_season(latitude_deg: float, warmest_c: float | None) -> Curve:
    """A place where frost may come in any month: hardly more than a guess, for the warnings that go with it.

    The warmest month is taken as 10 °C, the limit of tree growth in Köppen's classification, unless given; amplitude
    and daily range are those of M1 for the shortest seasons in its fit (90 days).
    """
    x, y, _ = _scaled(latitude_deg, 155, 245)
    warmest = 10.0 if warmest_c is None else warmest_c
    amplitude = 12.50 - 0.33 * x - 2.79 * y
    return Curve(warmest + CREST_ABOVE_MONTH_C - amplitude, amplitude, 200.0, range_c=13.08 - 3.33 * x - 2.35 * y,
                 range_amplitude_c=1.18 + 1.59 * x + 0.10 * y)


def _scaled(latitude_deg: float, last_day: float, first_day: float) -> tuple[float, float, float]:
    return ((abs(latitude_deg) - 40) / 10, (first_day - last_day - 180) / 60,
            ((first_day + last_day) / 2 - 200) / 10)


def _through_anchors(last_day: float, first_day: float, *, at_last_c: float, at_first_c: float, amplitude_c: float,
                     range_c: float, range_amplitude_c: float) -> Curve:
    amplitude = min(25.0, max(1.0, amplitude_c))
    half, middle = (first_day - last_day) / 2, (first_day + last_day) / 2
    lean = (at_first_c - at_last_c) / (2 * amplitude * max(sin(_W * half), 0.25))
    peak = middle + asin(min(0.4, max(-0.4, lean))) / _W
    peak = min(215.0, max(192.0, peak))
    mean = (at_last_c - amplitude * cos(_W * (last_day - peak))
            + at_first_c - amplitude * cos(_W * (first_day - peak))) / 2
    return Curve(mean, amplitude, peak, range_c, range_amplitude_c)

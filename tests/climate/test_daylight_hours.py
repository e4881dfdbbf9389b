"""Daylength against an ephemeris, published tables, FAO-56, and the poles."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from calgen.climate.daylight import daylength_h, daylengths_h, shortening, shorter_than

MINUTE = 1 / 60


def test_sunrise_to_sunset_and_civil_twilight_by_ephemeris(published):
    """ephem 4.2.1 at 90 latitudes and dates of 2025: within two minutes (three for twilight at 60°)."""
    rows = published("climate_daylength_ephem.csv")
    assert len(rows) == 90
    for row in rows:
        latitude, day = float(row["lat"]), date.fromisoformat(row["date"])
        assert daylength_h(latitude, day) == pytest.approx(float(row["daylight_h"]), abs=2 * MINUTE), row
        assert daylength_h(latitude, day, 96) == pytest.approx(float(row["civil_daylight_h"]), abs=3 * MINUTE), row


@pytest.mark.parametrize(("latitude", "day", "hours", "source"), [
    (43.303, date(2025, 9, 1), 13 + 9 / 60, "Luther College, Decorah: September 1st"),
    (43.303, date(2025, 9, 10), 12 + 43 / 60, "Luther College, Decorah: September 10th"),
    (43.303, date(2025, 9, 15), 12 + 29 / 60, "Luther College, Decorah: September 15th"),
    (43.303, date(2025, 9, 20), 12 + 14 / 60, "Luther College, Decorah: September 20th"),
    (43.303, date(2025, 9, 30), 11 + 45 / 60, "Luther College, Decorah: September 30th"),
    (37.8, date(2007, 6, 21), 14 + 47 / 60, "US Naval Observatory, San Francisco 2007, longest (second hand)"),
    (37.8, date(2007, 12, 21), 9 + 33 / 60, "US Naval Observatory, San Francisco 2007, shortest (second hand)"),
])
def test_published_tables(latitude, day, hours, source):
    """Printed to the minute; years and rounding leave two or three."""
    assert daylength_h(latitude, day) == pytest.approx(hours, abs=3 * MINUTE), source


def test_fao_56_example():
    """20° S, 3 September, sun's centre: 11.7 h, printed to a tenth, by a simple declination (0.02 h).

    Source: FAO-56, example 9 (from memory).
    """
    assert daylength_h(-20, date(2025, 9, 3), 90) == pytest.approx(11.7, abs=0.07)


@pytest.mark.parametrize(("latitude", "begin", "end"), [
    (35, date(2025, 11, 30), date(2026, 1, 12)),
    (40, date(2025, 11, 15), date(2026, 1, 27)),
    (45, date(2025, 11, 5), date(2026, 2, 6)),
    (50, date(2025, 10, 29), date(2026, 2, 13)),
    (55, date(2025, 10, 23), date(2026, 2, 19)),
    (60, date(2025, 10, 17), date(2026, 2, 24)),
    (-45, date(2025, 5, 3), date(2025, 8, 10)),
])
def test_days_shorter_than_ten_hours(latitude, begin, end):
    """ephem 4.2.1, within a day."""
    found = shorter_than(latitude, 10, date(2025, 1, 20) if latitude > 0 else date(2024, 7, 20))
    assert all(day is not None for day in found)
    assert abs((found[0] - begin).days) <= 1
    assert abs((found[1] - end).days) <= 1


@pytest.mark.parametrize("latitude", [0, 20, -32, 32.5])
def test_no_ten_hour_days_near_the_equator(latitude):
    """Never below 10 h nearer the equator than about 32.7° (ephem 4.2.1)."""
    assert shorter_than(latitude, 10, date(2025, 1, 1)) == (None, None)


def test_polar_day_and_night():
    """Inside the polar circles the sun stays up or down at the solstices, at the poles for half the year."""
    for latitude in (70, 90):
        assert daylength_h(latitude, date(2025, 6, 21)) == 24
        assert daylength_h(latitude, date(2025, 12, 21)) == 0
        assert daylength_h(-latitude, date(2025, 6, 21)) == 0
        assert daylength_h(-latitude, date(2025, 12, 21)) == 24
    assert shorter_than(70, 10, date(2025, 1, 1))[0] is not None


def test_the_halves_of_the_world_share_the_light():
    """Day here and day there fill 24 h and the few minutes that refraction and the sun's disc add to each."""
    for latitude in (10, 35, 52, 60):
        both = daylength_h(latitude, date(2025, 11, 3)) + daylength_h(-latitude, date(2025, 11, 3))
        assert 24.2 < both < 24.6


@pytest.mark.parametrize("latitude", [0.5, -20, 35, 51, -51, 60, 66, -75])
def test_the_year_of_daylengths_is_that_of_single_days(latitude):
    """Straight lines over five days leave a hundredth of an hour."""
    year = daylengths_h(latitude, 2027)
    days = [daylength_h(latitude, date(2027, 1, 1) + timedelta(number)) for number in range(365)]
    assert len(year) == 365
    assert max(abs(one - other) for one, other in zip(year, days, strict=True)) < 0.01


@pytest.mark.parametrize("latitude", [35, 51, -51, 64])
def test_days_grow_shorter_between_the_solstices(latitude):
    """Day by day as the hours say, but for the two days around each solstice, when they stand still."""
    for number in range(365):
        day = date(2027, 1, 1) + timedelta(number)
        if (day.month, day.day) not in {(month, of) for month in (6, 12) for of in range(20, 24)}:
            shorter = daylength_h(latitude, day + timedelta(1)) < daylength_h(latitude, day)
            assert shortening(latitude, day) == shorter, day

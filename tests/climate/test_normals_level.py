"""Monthly normals: curves that keep their months, degree days as NOAA published them, and the heat of records."""

from __future__ import annotations

from datetime import date, timedelta
from statistics import fmean, median

import pytest
from calgen.climate.build import climate_of
from calgen.climate.heat import simple_average
from calgen.climate.normals import daily_curve, month_means
from calgen.climate.record import days_of, latest_years, monthly_normals
from hypothesis import given, settings
from hypothesis import strategies as st

STEPS = ("tmin", "tmax")


def _normals(row):
    return tuple(tuple(float(row[f"{step}_{month:02}_c"]) for step in STEPS) for month in range(1, 13))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(-40, 40), min_size=12, max_size=12))
def test_the_curve_keeps_every_month(monthly):
    """The mean of each month is the given one, whatever the twelve are."""
    assert month_means(daily_curve(monthly)) == pytest.approx(monthly, abs=1e-6)


def test_yearly_degree_days_as_published(published, new_site):
    """NOAA 1981-2010, 51 stations: within 2 % in the middle for bases 40 and 50 °F, without bias.

    The variance formula was chosen on the sums of all 5,395 stations, these among them.
    """
    off = {40: [], 50: []}
    for row in published("normals_us_1981_2010.csv"):
        climate = climate_of(new_site(float(row["lat"]), normals=_normals(row)))
        assert climate.level == 2
        for base, relative in off.items():
            heat = 1.8 * climate.degree_days(date(2025, 1, 1), date(2026, 1, 1), (base - 32) / 1.8)
            relative.append(heat / float(row[f"gdd_base{base}f_year_f"]) - 1)
    for relative in off.values():
        assert len(relative) == 51
        assert median(abs(one) for one in relative) < 0.02
        assert abs(fmean(relative)) < 0.01


# Monthly normals and degree days in °F. Source: NOAA, U.S. Climate Normals 1981-2010.
LEBANON = (
    (29.8, 34.1, 43.5, 57.1, 69.2, 77.6, 82.6, 80.5, 72.2, 59.6, 47.0, 34.8),
    (8.5, 10.9, 21.7, 32.8, 43.6, 53.4, 57.8, 56.7, 48.4, 36.5, 28.9, 17.2),
    {40: (3, 3, 29, 187, 509, 765, 936, 886, 609, 262, 71, 10),
     50: (0.5, 0.5, 2, 47, 225, 465, 626, 576, 316, 71, 10, 1)},
    43.6264,
)
RICHMOND = (
    (47.4, 51.3, 60.0, 70.3, 77.9, 86.1, 89.7, 87.6, 81.2, 71.0, 61.4, 50.7),
    (28.3, 30.5, 37.1, 46.1, 55.0, 64.5, 68.9, 67.4, 60.1, 48.3, 39.4, 31.4),
    {40: (96, 113, 290, 546, 820, 1059, 1218, 1162, 919, 609, 325, 134),
     50: (20, 25, 99, 268, 510, 759, 908, 852, 619, 310, 115, 33)},
    37.5,
)


@pytest.mark.parametrize("station", [LEBANON, RICHMOND], ids=["Lebanon NH", "Richmond VA"])
def test_monthly_degree_days_as_published(station, new_site):
    """Within 15 % in months of 100 degree days (°F) or more, within 30 in others: Lebanon's spring comes out warm."""
    highs, lows, published, latitude = station
    normals = tuple(((low - 32) / 1.8, (high - 32) / 1.8) for low, high in zip(lows, highs, strict=True))
    climate = climate_of(new_site(latitude, normals=normals))
    for base, expected in published.items():
        for month, heat in enumerate(expected, 1):
            end = date(2025 + month // 12, month % 12 + 1, 1)
            found = 1.8 * climate.degree_days(date(2025, month, 1), end, (base - 32) / 1.8)
            assert found == pytest.approx(heat, rel=0.15, abs=30 if heat < 100 else 0), (base, month)


@pytest.mark.parametrize(("name", "latitude"), [
    ("milwaukee_wi_us", 42.955), ("champion_ne_us", 40.4), ("brussels_be", 50.8), ("cordoba_southern", -31.4),
    ("tunis_tn", 36.8), ("hyderabad_in", 17.4),
])
def test_expected_heat_is_the_mean_of_the_years(recorded, new_site, name, latitude):
    """Spring and yearly sums of the record itself: within 4 % by its own variance, 8 % by the formula of normals."""
    record = latest_years(recorded(name), 30)
    days = {(year, index): (low, high) for year, index, low, high in days_of(record)
            if low is not None and high is not None}
    years = [year for year in {year for year, _ in days} if sum(key[0] == year for key in days) >= 365]
    levels = [climate_of(new_site(latitude), recorded(name)),
              climate_of(new_site(latitude, normals=monthly_normals(record)))]
    assert [climate.level for climate in levels] == [3, 2]
    for begin, end in ((60, 150), (240, 330), (0, 365)):
        for base in (4.4, 10.0):
            truth = fmean(sum(simple_average(*days[year, index], base) for index in range(begin, end)
                              if (year, index) in days) for year in years)
            start = date(2025, 1, 1)
            for climate, tolerance in zip(levels, (0.04, 0.08), strict=True):
                heat = climate.degree_days(start + timedelta(begin), start + timedelta(end), base)
                assert heat == pytest.approx(truth, rel=tolerance, abs=6), (name, begin, base, climate.level)


def test_frost_dates_from_normals_alone(published, new_site):
    """Where the normals' Tmin stands at 5 °C: within 10 days of NOAA's median dates in the middle of 51 stations."""
    off = []
    for row in published("normals_us_1981_2010.csv"):
        climate = climate_of(new_site(float(row["lat"]), normals=_normals(row)))
        season = climate.season_at(date(2026, 6, 1))
        if season.last_frost and season.first_frost:
            off += [abs((season.last_frost - date.fromisoformat(f"2026-{row['last_frost_p50']}")).days),
                    abs((season.first_frost - date.fromisoformat(f"2026-{row['first_frost_p50']}")).days)]
    assert len(off) > 80
    assert median(off) < 7


def test_a_frost_free_word_against_cold_months_is_not_taken(new_site):
    """``frost: none`` beside a January of -10 °C: dates come from the months, and that is told."""
    normals = tuple((mean - 5, mean + 5) for mean in (-5, -3, 2, 8, 14, 19, 22, 21, 16, 10, 4, -2))
    climate = climate_of(new_site(43, normals=normals))
    assert not climate.frost_free
    assert climate.season_at(date(2026, 6, 1)).last_frost is not None
    assert "frost: none is not followed" in climate.errors[0].size


def test_months_of_the_other_half_of_the_world_are_refused(new_site):
    """Twelve northern months at a southern latitude."""
    from calgen.problems import InputError

    normals = tuple((mean - 5, mean + 5) for mean in (-5, -3, 2, 8, 14, 19, 22, 21, 16, 10, 4, -2))
    with pytest.raises(InputError, match="northern half of the world"):
        climate_of(new_site(-43, "10-10", "05-01", normals=normals))

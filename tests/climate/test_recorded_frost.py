"""Frost dates from daily records: a table computed by other means, and dates that weather services printed."""

from __future__ import annotations

from datetime import date
from statistics import fmean, stdev

import pytest
from calgen.climate.build import climate_of
from calgen.climate.days import date_of, day_of_year
from calgen.climate.model import FrostDate
from calgen.climate.record import cold_seasons, frost_table, is_southern, quantile

# file, threshold, seasons, with frost, last: mean, sd, p10, p50, p90; first: the same. Northern days of the year.
# Computed from these files outside calgen by the rules of record.py, with days of the year as the calendar has them
# (29 February a day of its own).
TABLE = [
    ("milwaukee_wi_us", 0, 87, 87, (116.0, 11.3, 130, 117, 101.6), (293.2, 13.9, 275.6, 293, 310)),
    ("milwaukee_wi_us", -2.2, 87, 87, (101.8, 11.4, 115.2, 102, 88.6), (305.3, 13.1, 288.8, 306, 320)),
    ("milwaukee_wi_us", -4.4, 87, 87, (90.1, 12.6, 103, 89, 75), (315.9, 11.6, 300, 316, 333)),
    ("champion_ne_us", 0, 36, 36, (129.9, 12.5, 146, 130, 116.5), (270.1, 9.2, 260, 269.5, 282)),
    ("champion_ne_us", -2.2, 36, 36, (118.3, 11.9, 132, 119, 101), (281.0, 8.2, 270, 281.5, 290)),
    ("champion_ne_us", -4.4, 36, 36, (107.5, 12.3, 122.5, 106.5, 97.5), (289.9, 10.1, 278.5, 291, 301)),
    ("brussels_be", 0, 29, 29, (97.1, 17.5, 118.2, 101, 69.8), (319.5, 16.4, 302.6, 317, 336.8)),
    ("brussels_be", -2.2, 29, 29, (48.6, 35.0, 82, 56, 1.4), (332.6, 21.5, 306.8, 332, 358.4)),
    ("cordoba_southern", 0, 30, 30, (55.4, 20.5, 78.5, 58, 23.7), (351.9, 15.4, 334, 350.5, 364.9)),
    ("cordoba_southern", -2.2, 30, 23, (24.3, 24.4, 50.6, 28, -11), (364.9, 20.9, 337.2, 361, 383.4)),
    ("tunis_tn", 0, 22, 4, (26.8, 19.2, None, None, None), (366.0, 28.3, None, None, None)),
]


@pytest.mark.parametrize(("name", "threshold", "seasons", "with_frost", "last", "first"), TABLE)
def test_seasons_occurrence_means_and_quantiles(recorded, name, threshold, seasons, with_frost, last, first):
    """Counts exactly, dates within a day."""
    record = recorded(name)
    table = frost_table(cold_seasons(record, is_southern(record)), threshold)
    assert (table.seasons, table.with_frost) == (seasons, with_frost)
    for days, (mean, sd, *quantiles), shares in ((table.last, last, (0.9, 0.5, 0.1)),
                                                 (table.first, first, (0.1, 0.5, 0.9))):
        assert fmean(days) == pytest.approx(mean, abs=1)
        assert stdev(days) == pytest.approx(sd, abs=0.5)
        for share, expected in zip(shares, quantiles, strict=True):
            if expected is not None:
                assert quantile(days, share) == pytest.approx(expected, abs=1.001)


def test_a_record_without_frost(recorded):
    """Tunis never reaches -2.2 °C, Hyderabad never 0 °C (its lowest night is 5.0 °C)."""
    assert frost_table(cold_seasons(recorded("tunis_tn"), south=False), -2.2).with_frost == 0
    seasons = cold_seasons(recorded("hyderabad_in"), south=False)
    assert frost_table(seasons, 0).with_frost == 0
    assert min(season.low_c for season in seasons) == 5.0


def test_nights_of_28_fahrenheit_count_as_28_fahrenheit(recorded):
    """Records kept in °F hold 28 °F as -2.2 °C: the exact -2.222 °C must not miss them."""
    seasons = cold_seasons(recorded("milwaukee_wi_us"), south=False)
    assert frost_table(seasons, (28 - 32) / 1.8).last == frost_table(seasons, -2.2).last
    assert frost_table(seasons, (24 - 32) / 1.8).first == frost_table(seasons, -4.4).first


def test_an_unfinished_last_season_is_left_out(recorded):
    """Tunis ends in May 2002 and Milwaukee begins in April 1938: neither season counts."""
    assert cold_seasons(recorded("tunis_tn"), south=False)[-1].year == 2001
    assert cold_seasons(recorded("milwaukee_wi_us"), south=False)[0].year == 1939


def test_milwaukee_as_noaa_published_it(recorded, published):
    """30 seasons ending 1981-2010 within 7 days of NOAA's dates, which come from 10,000 resampled years."""
    seasons = [season for season in cold_seasons(recorded("milwaukee_wi_us"), south=False)
               if 1981 <= season.year <= 2010]
    table = frost_table(seasons, 0)
    assert table.seasons == 30
    rows = [row for row in published("frost_probabilities.csv") if row["station_id"] == "USW00014839"]
    assert len(rows) == 2
    for row in rows:
        days, shares = (table.last, (0.5, 0.1)) if row["season"] == "last-spring" else (table.first, (0.5, 0.9))
        for share, printed in zip(shares, (row["p50"], row["p90"]), strict=True):
            expected = day_of_year(date.fromisoformat(f"2001-{printed}"))
            assert quantile(days, share) == pytest.approx(expected, abs=7)


def test_wilmington_normal_curve():
    """A normal curve with mean 17.5 March and 15.2 days gives the office's percentages within a day or 1.5 points.

    Source: US National Weather Service, Wilmington NC, freeze statistics (spring; percent of years in which the last
    freeze has been).
    """
    frost = FrostDate(0.0, mean_day=31 + 28 + 17.5, sd_days=15.2)
    for share, printed in ((0.01, (2, 10)), (0.05, (2, 21)), (0.10, (2, 26)), (0.25, (3, 7)), (0.50, (3, 18)),
                           (0.75, (3, 28)), (0.90, (4, 6)), (0.95, (4, 12)), (0.99, (4, 22))):
        assert abs(frost.day_by(share) - day_of_year(date(2001, *printed))) <= 1.01
    for printed, percent in (((3, 1), 13.0), ((3, 10), 29.5), ((3, 30), 77.9)):
        assert 100 * frost.share_by(day_of_year(date(2001, *printed))) == pytest.approx(percent, abs=1.6)


def test_a_records_own_curve_keeps_its_skew(recorded, new_site):
    """Brussels at -2.2 °C is skewed: 1 year in 10 after day 82 (quantile of 29 seasons), a normal curve says 93."""
    climate = climate_of(new_site(50.8), recorded("brussels_be"))
    season = climate.season_at(date(2026, 6, 1))
    for risk, expected in ((0.1, 82), (0.5, 56)):
        found = climate.last_frost(season, risk, -2.2)
        assert abs((found - date_of(2026, expected)).days) <= 6


def test_unconditional_risk(recorded, new_site):
    """Tunis has frost in 4 of 22 winters: no average date, but a small risk early in the year."""
    climate = climate_of(new_site(36.8), recorded("tunis_tn"))
    assert not climate.frost_free
    season = climate.season_at(date(2026, 6, 1))
    assert (season.last_frost, season.first_frost) == (None, None)
    assert climate.frost_risk_after(date(2026, 2, 1)) < 4 / 22
    assert climate.last_frost(season, 0.05) > season.start
    assert any("2 of 10 winters" in error.size for error in climate.errors)


def test_a_growers_own_dates_move_the_record(recorded, new_site):
    """A frost pocket: the given average dates hold, the spread is the record's, and the move is told."""
    bare = climate_of(new_site(42.955), recorded("milwaukee_wi_us"))
    pocket = climate_of(new_site(42.955, "05-20", "09-25"), recorded("milwaukee_wi_us"))
    season = pocket.season_at(date(2026, 6, 1))
    assert (season.last_frost, season.first_frost) == (date(2026, 5, 20), date(2026, 9, 25))

    def late_side(climate):
        middle = climate.season_at(date(2026, 6, 1)).last_frost
        return (climate.last_frost(season, 0.1) - middle).days

    assert late_side(pocket) == pytest.approx(late_side(bare), abs=1)
    assert any("your own average dates" in error.size for error in pocket.errors)


def test_a_record_of_the_other_half_of_the_world_is_refused(recorded, new_site):
    """Córdoba's summer is in January; a northern latitude does not go with it."""
    from calgen.problems import InputError

    with pytest.raises(InputError, match="summer is that of the southern half of the world"):
        climate_of(new_site(31.4), recorded("cordoba_southern"))

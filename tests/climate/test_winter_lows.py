"""The coldest night of a winter, known and guessed."""

from __future__ import annotations

from datetime import date
from statistics import fmean

import pytest
from calgen.climate.build import climate_of
from calgen.climate.record import cold_seasons, is_southern, monthly_normals
from calgen.climate.winter import given_low, low_from_coldest_month


@pytest.mark.parametrize(("coldest_tmin", "mean_low", "source"), [
    (5.6, -1.3, "Seville, IWEC weather file header"),
    (7.6, 4.0, "Sydney, IWEC weather file header"),
    (1.3, -9.7, "Aberdeen, IWEC weather file header"),
    (0.5, -7.6, "London Gatwick, IWEC weather file header"),
    (2.7, -4.9, "Seattle 2012-2015, NOAA (mean of three whole winters and two cut ones)"),
])
def test_guess_from_the_coldest_month(coldest_tmin, mean_low, source):
    """Within its standard error of 2.5 °C; these places are part of its fit."""
    assert low_from_coldest_month(coldest_tmin).mean_c == pytest.approx(mean_low, abs=2.5), source


@pytest.mark.parametrize(("name", "latitude"), [
    ("milwaukee_wi_us", 42.955), ("champion_ne_us", 40.4), ("brussels_be", 50.8), ("cordoba_southern", -31.4),
    ("tunis_tn", 36.8), ("hyderabad_in", 17.4)])
def test_guess_from_normals_against_records(recorded, new_site, name, latitude):
    """The mean of the record's winter minima within 2.5 °C, their spread within the guess's; also part of the fit."""
    record = recorded(name)
    lows = [season.low_c for season in cold_seasons(record, is_southern(record))]
    climate = climate_of(new_site(latitude, normals=monthly_normals(record)))
    assert climate.winter_low_estimated
    assert climate.winter_low_c == pytest.approx(fmean(lows), abs=2.5)
    known = climate_of(new_site(latitude), record)
    assert not known.winter_low_estimated
    assert known.winter_low_sd_c < climate.winter_low_sd_c


@pytest.mark.parametrize(("name", "latitude"), [("milwaukee_wi_us", 42.955), ("champion_ne_us", 40.4),
                                                ("brussels_be", 50.8), ("cordoba_southern", -31.4)])
def test_guess_from_frost_dates_against_records(recorded, new_site, name, latitude):
    """Latitude, frost dates and warmest month: within twice the told standard deviation."""
    record = recorded(name)
    known = climate_of(new_site(latitude), record)
    season = known.season_at(date(2026, 6, 1))
    warmest = max(sum(month) / 2 for month in monthly_normals(record))
    guess = climate_of(new_site(latitude, f"{season.last_frost:%m-%d}", f"{season.first_frost:%m-%d}",
                                warmest=warmest))
    assert abs(guess.winter_low_c - known.winter_low_c) < 2 * guess.winter_low_sd_c
    assert guess.winter_low_c < 0


def test_chance_of_a_cold_winter():
    """Half of winters are colder than the mean one; a rare cold is rarer than a lesser one."""
    low = given_low(-8, coldest_tmin_c=1)
    assert low.chance_of(-8) == pytest.approx(0.5)
    assert low.chance_of(-16) < low.chance_of(-12) < low.chance_of(-6) < 1


def test_a_record_says_how_often(recorded, new_site):
    """Milwaukee: the normal curve over winters against their count; thirty winters leave 0.1 to chance."""
    climate = climate_of(new_site(42.955), recorded("milwaukee_wi_us"))
    seasons = cold_seasons(recorded("milwaukee_wi_us"), south=False, latest=30)
    for kill in (-18, -22, -26):
        share = fmean(season.low_c <= kill for season in seasons)
        assert climate.winter_kill_chance(kill) == pytest.approx(share, abs=0.15)

"""In how many years did it happen: counted from a record by other means, and expected where there is no record."""

from __future__ import annotations

import csv
import gzip
from datetime import date, timedelta
from pathlib import Path

import pytest
from calgen.climate.build import climate_of
from calgen.climate.years import (
    years_reaching,
    years_reaching_before_frost,
    years_with_frost_after,
    years_with_frost_before,
)

DATA = Path(__file__).parent / "data"


def _nights(name: str) -> dict[date, tuple[float, float]]:
    """The file itself, read by the standard library alone."""
    with gzip.open(DATA / f"{name}.csv.gz", "rt", encoding="utf-8") as stream:
        return {date.fromisoformat(row["date"]): (float(row["tmin_c"]), float(row["tmax_c"]))
                for row in csv.DictReader(stream) if row["tmin_c"] and row["tmax_c"]}


def _days(start: date, end: date) -> list[date]:
    return [start + timedelta(n) for n in range((end - start).days)]


@pytest.fixture(scope="module")
def champion():
    return _nights("champion_ne_us")


def test_frost_after_a_day_is_counted(recorded, new_site, champion):
    """Champion NE, its last 30 springs: each after 10 May looked through here."""
    climate = climate_of(new_site(40.4), recorded("champion_ne_us"))
    for threshold in (0.0, -2.2):
        hits = sum(any(champion[day][0] <= threshold for day in _days(date(year, 5, 10), date(year, 6, 24))
                       if day in champion) for year in range(1989, 2019))
        found = years_with_frost_after(climate, date(2026, 5, 10), threshold)
        assert found.from_record
        assert found.of in (29, 30)
        assert abs(found.hits - hits) <= 1


def test_frost_before_a_day_is_counted(recorded, new_site, champion):
    """The same for autumns up to and with 25 September."""
    climate = climate_of(new_site(40.4), recorded("champion_ne_us"))
    hits = sum(any(champion[day][0] <= 0 for day in _days(date(year, 7, 1), date(year, 9, 26)) if day in champion)
               for year in range(1989, 2019))
    found = years_with_frost_before(climate, date(2026, 9, 25))
    assert abs(found.hits - hits) <= 1
    assert found.of in (29, 30)


def test_years_warm_enough_are_counted(recorded, new_site, champion):
    """From 1 September to 15 November above 4.4 °C, each autumn added up here."""
    climate = climate_of(new_site(40.4), recorded("champion_ne_us"))
    sums = {}
    for year in range(1989, 2019):
        days = [day for day in _days(date(year, 9, 1), date(year, 11, 15)) if day in champion]
        if len(days) == 75:
            sums[year] = sum(max(0.0, sum(champion[day]) / 2 - 4.4) for day in days)
    middle = sorted(sums.values())[len(sums) // 2]
    found = years_reaching(climate, date(2026, 9, 1), date(2026, 11, 15), 4.4, middle)
    assert abs(found.hits - sum(heat >= middle for heat in sums.values())) <= 1
    assert years_reaching(climate, date(2026, 9, 1), date(2026, 11, 15), 4.4, 0).share == 1
    assert years_reaching(climate, date(2026, 9, 1), date(2026, 11, 15), 4.4, 9999).hits == 0


def test_warm_enough_before_a_killing_frost(recorded, new_site, champion):
    """Sown on 20 August: heat above 4.4 °C up to the first night of -2.2 °C, here."""
    climate = climate_of(new_site(40.4), recorded("champion_ne_us"))
    hits = years = 0
    for year in range(1989, 2019):
        heat = 0.0
        for day in _days(date(year, 8, 20), date(year, 12, 24)):
            if day not in champion:
                break
            if champion[day][0] <= -2.2:
                years += 1
                hits += heat >= 600
                break
            heat += max(0.0, sum(champion[day]) / 2 - 4.4)
    found = years_reaching_before_frost(climate, date(2026, 8, 20), -2.2, 4.4, 600)
    assert 0 < hits < years
    assert abs(found.hits - hits) <= 1
    assert abs(found.of - years) <= 1


def test_over_the_new_year_in_the_south(recorded, new_site):
    """Córdoba, from December to March: every southern summer brings 1,500 degree days, none of them 3,000."""
    climate = climate_of(new_site(-31.4), recorded("cordoba_southern"))
    enough = years_reaching(climate, date(2026, 12, 1), date(2027, 3, 1), 4.4, 1500)
    assert enough.hits == enough.of >= 29
    assert years_reaching(climate, date(2026, 12, 1), date(2027, 3, 1), 4.4, 3000).hits == 0


@pytest.mark.parametrize(("name", "latitude"), [("milwaukee_wi_us", 42.955), ("champion_ne_us", 40.4),
                                                ("brussels_be", 50.8)])
def test_expected_years_come_near_the_counted(recorded, new_site, name, latitude):
    """The distributions against the record they were made from: within 2.5 years of ten.

    Without its years a climate says what is expected in ten years, and that it is no count.
    """
    from msgspec.structs import replace

    counted = climate_of(new_site(latitude), recorded(name))
    expected = replace(counted, years=())
    season = counted.season_at(date(2026, 6, 1))
    start, end = season.first_frost - timedelta(45), season.first_frost
    heat = counted.degree_days(start, end, 4.4)
    for question in (
        lambda climate: years_with_frost_after(climate, season.last_frost + timedelta(10)),
        lambda climate: years_with_frost_before(climate, season.first_frost - timedelta(10)),
        lambda climate: years_reaching(climate, start, end, 4.4, 0.9 * heat),
        lambda climate: years_reaching(climate, start, end, 4.4, 1.1 * heat),
        lambda climate: years_reaching_before_frost(climate, start, 0.0, 4.4, heat),
    ):
        known, guess = question(counted), question(expected)
        assert known.from_record
        assert (guess.from_record, guess.of) == (False, 10)
        assert guess.share == pytest.approx(known.share, abs=0.25)


def test_gaps_are_no_answers(recorded, new_site):
    """Years not observed in the asked span are not counted."""
    from msgspec.structs import replace

    climate = climate_of(new_site(40.4), recorded("champion_ne_us"))
    blank = replace(climate.years[5], tmin_c=(None,) * len(climate.years[5].tmin_c))
    holed = replace(climate, years=(*climate.years[:5], blank, *climate.years[6:]))
    question = (date(2026, 5, 10), 0.0)
    assert years_with_frost_after(holed, *question).of == years_with_frost_after(climate, *question).of - 1

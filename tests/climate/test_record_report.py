"""The figures of a record as text, as JSON, and as lines for a site file."""

from __future__ import annotations

import json
from datetime import date

import pytest
from calgen.climate.build import climate_of
from calgen.climate.report import report_data, report_text
from calgen.climate.summary import summary
from calgen.problems import InputError
from calgen.site.read import read_site

SITE = """\
site: Plot
soil: loam
tools: hand
units: metric
garden-days: [Sat]
chart-starts: September 2026
beds:
  One:
    size: 1 x 4 m
    order: [{cover: choose}]
"""


class NoNames:
    """This site names no plants."""

    crop = cover = grown = mulch = staticmethod(str)


def _site(lines: str):
    return read_site((SITE + lines + "\n").encode(), "pasted.yaml", NoNames())


ROW_KEYS = {"threshold_c", "season", "p10", "p50", "p90", "mean", "sd", "seasons", "with_frost", "days"}


def test_json_shape(recorded):
    """Six rows of frost, twelve months, winter low; only JSON types."""
    data = report_data(recorded("champion_ne_us"), 40.4)
    assert json.loads(json.dumps(data)) == data
    assert data["format"] == 1
    assert [(row["season"], row["threshold_c"]) for row in data["frost"]] == [
        (season, threshold) for threshold in (0.0, -2.2, -4.4) for season in ("last-spring", "first-autumn")]
    assert all(set(row) == ROW_KEYS for row in data["frost"])
    assert [month["month"] for month in data["normals"]] == list(range(1, 13))
    assert set(data["winter_low"]) == {"mean_c", "sd_c", "coldest_c"}


# Computed from the file outside calgen (see test_recorded_frost.py): days 146, 130, 116.5 and 260, 269.5, 282
def test_dates_in_the_places_own_calendar(recorded):
    """Champion: 26 and 10 May, 26 April; 17 and 26 September, 9 October: within a day."""
    last, first = report_data(recorded("champion_ne_us"))["frost"][:2]
    for row, dates in ((last, ("05-26", "05-10", "04-26")), (first, ("09-17", "09-26", "10-09"))):
        for found, expected in zip((row["p10"], row["p50"], row["p90"]), dates, strict=True):
            difference = date.fromisoformat(f"2025-{found}") - date.fromisoformat(f"2025-{expected}")
            assert abs(difference.days) <= 1


def test_southern_dates(recorded):
    """Córdoba's northern days 58 and 350.5 are 27 August and 15 June."""
    last, first = report_data(recorded("cordoba_southern"))["frost"][:2]
    assert abs((date.fromisoformat(f"2025-{last['p50']}") - date(2025, 8, 27)).days) <= 1
    assert abs((date.fromisoformat(f"2025-{first['p50']}") - date(2025, 6, 15)).days) <= 1


def test_rare_frosts_have_no_quantiles(recorded):
    """Tunis: 4 of 22 winters give a mean but no 1-in-10 date; at -2.2 °C there is nothing."""
    rows = report_data(recorded("tunis_tn"))["frost"]
    assert (rows[0]["p10"], rows[0]["with_frost"], rows[0]["seasons"]) == (None, 4, 22)
    assert rows[0]["days"]["mean"] == pytest.approx(26.8, abs=1)
    assert (rows[2]["mean"], rows[2]["sd"]) == (None, None)


def test_the_last_thirty_years_of_a_long_record(recorded):
    """Milwaukee has warmed: the recent figures are apart, and they are the ones to paste."""
    data = report_data(recorded("milwaukee_wi_us"))
    assert data["recent"]["frost"][0]["seasons"] == 30
    assert data["frost"][0]["seasons"] == 87
    assert data["recent"]["winter_low"]["mean_c"] > data["winter_low"]["mean_c"]
    assert report_data(recorded("brussels_be"))["recent"] is None


@pytest.mark.parametrize(("name", "latitude"), [
    ("milwaukee_wi_us", 42.955), ("champion_ne_us", 40.4), ("brussels_be", 50.8), ("cordoba_southern", -31.4),
    ("hyderabad_in", 17.4)])
def test_pasted_lines_are_a_site(recorded, name, latitude):
    """The lines read back without a fault and give the climate of the record: dates the same, heat within 2 %."""
    record = recorded(name)
    pasted = climate_of(_site(report_data(record, latitude)["site"]))
    known = climate_of(_site(f"latitude: {latitude}\nclimate: {{record: nights.csv}}"), record)
    season = known.season_at(date(2026, 6, 1))
    other = pasted.season_at(date(2026, 6, 1))
    for one, two in ((season.last_frost, other.last_frost), (season.first_frost, other.first_frost)):
        assert (one is None) == (two is None)
        assert one is None or abs((one - two).days) <= 4
    assert pasted.winter_low_c == pytest.approx(known.winter_low_c, abs=0.1)
    assert pasted.degree_days(date(2026, 1, 1), date(2027, 1, 1), 4.4) == pytest.approx(
        known.degree_days(date(2026, 1, 1), date(2027, 1, 1), 4.4), rel=0.02)


def test_text(recorded):
    """Every figure of the table in words, a row for each month, and lines to paste."""
    text = report_text(recorded("cordoba_southern"), -31.4)
    assert "cordoba_southern.csv: 1991-2021, southern seasons" in text
    assert "23 of 30" in text
    assert "last: 27 August" in text
    assert "latitude: -31.4" in text
    assert sum("█" in line for line in text.splitlines()) == 12
    assert all(len(line) <= 120 and line == line.rstrip() for line in text.splitlines())


def test_a_latitude_that_does_not_fit(recorded):
    """A wrong sign is found by the seasons."""
    with pytest.raises(InputError, match="January is the warm month of this record"):
        summary(recorded("cordoba_southern"), 31.4)

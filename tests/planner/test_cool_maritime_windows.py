"""Windows of a cool garden near a mild coast against what growers there do: common practice, two weeks' tolerance.

Latitude 52.6, last frost 22 April, first 4 November, mean of the warmest month 16.9 °C, an ordinary winter's low -6 °C.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from calgen.climate.build import climate_of
from calgen.knowledge.read import read_knowledge
from calgen.planner.crop_maturity import maturity
from calgen.planner.crop_window import crop_windows, weeks_under_cover
from calgen.planner.stand import starts
from calgen.problems import Place
from calgen.site.model import ClimateInput, Frost, MonthDay, Site

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Method
    from calgen.planner.model import Window

CROPS = read_knowledge().crops
TOLERANCE = timedelta(14)


def _climate(latitude: float, last: MonthDay, first: MonthDay, warmest: float, low: float) -> Climate:
    place = Place("test")
    return climate_of(Site("Test", "test", place, latitude, None, None, Frost(last, first, None, place), low, warmest,
                           ClimateInput(), "loam", "hand", "metric", (5, 6), 0.2, date(2026, 9, 1), ()))


COAST = _climate(52.6, MonthDay(4, 22), MonthDay(11, 4), 16.9, -6.0)
SOUTH = _climate(-41.4, MonthDay(10, 8), MonthDay(5, 6), 17.6, -4.0)


def _windows(crop: str, method: str, where: Climate = COAST) -> list[Window]:
    season = where.season_at(date(2026, 12, 25) if where.south else date(2027, 7, 1))
    return [window for window in crop_windows(CROPS[crop], where, season) if window.method == method]


def _window(crop: str, season: str, method: str) -> Window:
    (window,) = [window for window in _windows(crop, method) if window.season == season]
    return window


def _day(text: str) -> date:
    return date.fromisoformat(f"2027-{text}")


@pytest.mark.parametrize(("crop", "season", "method", "opens"), [
    ("courgette-summer-squash", "spring", "indoors", "04-15"),
    ("courgette-summer-squash", "spring", "transplant", "05-25"),
    ("winter-squash-pumpkin", "spring", "transplant", "05-25"),
    ("pepper", "spring", "transplant", "05-25"),
    ("basil", "spring", "direct", "05-25"),
    ("purple-sprouting-broccoli", "spring", "transplant", "06-01"),
    ("purple-sprouting-broccoli", "spring", "direct", "04-01"),
    ("leek", "autumn", "transplant", "06-01"),
    ("corn-salad", "autumn", "direct", "08-01"),
    ("pea", "overwinter", "direct", "10-15"),
    ("broad-bean-autumn", "overwinter", "direct", "10-01"),
])
def test_windows_open_when_growers_begin(crop: str, season: str, method: str, opens: str) -> None:
    """Common practice."""
    assert abs(_window(crop, season, method).first - _day(opens)) <= TOLERANCE


@pytest.mark.parametrize(("crop", "season", "method", "closes"), [
    ("courgette-summer-squash", "spring", "indoors", "05-31"),
    ("courgette-summer-squash", "spring", "transplant", "06-15"),
    ("winter-squash-pumpkin", "spring", "transplant", "06-15"),
    ("purple-sprouting-broccoli", "spring", "transplant", "08-15"),
    ("purple-sprouting-broccoli", "spring", "direct", "06-10"),
    ("kale", "autumn", "transplant", "08-20"),
    ("corn-salad", "overwinter", "direct", "10-05"),
    ("pea", "overwinter", "direct", "11-30"),
    ("broad-bean-autumn", "overwinter", "direct", "11-30"),
    ("swede", "spring", "direct", "06-30"),
])
def test_windows_close_when_growers_stop(crop: str, season: str, method: str, closes: str) -> None:
    """Common practice."""
    assert abs(_window(crop, season, method).last - _day(closes)) <= TOLERANCE


@pytest.mark.parametrize(("crop", "begin", "end"), [("pepper", "02-01", "03-31"), ("tomato", "03-01", "04-15"),
                                                    ("basil", "04-01", "06-30")])
def test_the_best_day_under_cover_is_in_the_usual_months(crop: str, begin: str, end: str) -> None:
    """Common practice."""
    best = _window(crop, "spring", "indoors").best
    assert _day(begin) - TOLERANCE <= best <= _day(end) + TOLERANCE


@pytest.mark.parametrize(("crop", "method", "start", "begin", "end"), [
    ("french-bean-bush", "direct", "05-29", "07-25", "08-15"),
    ("pea", "direct", "03-03", "06-10", "06-30"),
    ("corn-salad", "direct", "03-03", "05-20", "06-05"),
    ("courgette-summer-squash", "transplant", "05-28", "07-05", "07-31"),
    ("runner-bean", "direct", "05-20", "07-25", "08-25"),
    ("broad-bean-spring", "direct", "03-01", "06-15", "07-15"),
    ("potato-early", "plant", "03-25", "06-15", "07-15"),
    ("lettuce", "transplant", "04-15", "05-25", "06-20"),
    ("brussels-sprouts", "transplant", "06-05", "09-20", "11-15"),
    ("tomato", "transplant", "06-01", "08-05", "08-31"),
    ("sweet-corn", "transplant", "06-01", "08-15", "09-15"),
    ("winter-squash-pumpkin", "transplant", "06-03", "09-05", "10-10"),
    ("cucumber", "transplant", "06-03", "07-20", "08-15"),
])
def test_pickings_begin_in_the_usual_weeks(crop: str, method: Method, start: str, begin: str, end: str) -> None:
    """Common practice."""
    grown = maturity(CROPS[crop], COAST, _day(start), method)
    assert grown is not None
    assert _day(begin) - TOLERANCE <= grown.ready <= _day(end) + TOLERANCE


def test_southern_broad_beans_are_picked_before_the_turn_of_the_year() -> None:
    """Common practice: November to December from sowings in July; two weeks' tolerance."""
    grown = maturity(CROPS["broad-bean-spring"], SOUTH, date(2026, 7, 18), "direct")
    assert grown is not None
    assert date(2026, 11, 1) - TOLERANCE <= grown.ready <= date(2026, 12, 31)


@pytest.mark.parametrize("where", [COAST, SOUTH], ids=["coast", "south"])
def test_peppers_are_planted_only_if_they_can_be_picked(where: Climate) -> None:
    """Common practice: a planting whose first fruit comes with the frost is no use."""
    found = _windows("pepper", "transplant", where)
    assert found
    for window in found:
        grown = maturity(CROPS["pepper"], where, window.best, "transplant")
        first_frost = where.season_at(window.best).first_frost
        assert grown is not None
        assert first_frost is not None
        assert grown.ready <= first_frost - timedelta(28)


@pytest.mark.parametrize(("crop", "ready_from"), [
    ("brussels-sprouts", "09-15"), ("leek", "09-15"), ("swede", "09-15"), ("purple-sprouting-broccoli", "12-01"),
])
def test_crops_for_autumn_and_winter_are_started_for_them(crop: str, ready_from: str) -> None:
    """Common practice: planted May to July and gathered from autumn to early spring, though earlier starts exist."""
    first = starts(CROPS[crop], COAST, date(2027, 1, 20))[0]
    assert date(2027, 4, 20) <= first.best <= date(2027, 7, 20)
    grown = maturity(CROPS[crop], COAST, first.best, first.method)
    assert grown is not None
    assert grown.ready >= _day(ready_from)


def test_an_early_start_is_taken_where_the_main_season_is_over_for_the_grower() -> None:
    """A deadline of the grower's own before the main season leaves the early windows."""
    first = starts(CROPS["leek"], COAST, date(2027, 1, 20), deadline=date(2027, 5, 10))[0]
    assert first.window is not None
    assert not first.window.main


def test_plants_are_raised_longest_where_frost_cuts_the_harvest_short() -> None:
    """Common practice: peppers stand longer under cover in short summers; weeks of Iowa and Penn State."""
    warm = _climate(39.8, MonthDay(4, 15), MonthDay(10, 14), 24.7, -20.0)
    cool, mild = weeks_under_cover(CROPS["pepper"], COAST, date(2027, 6, 6)), \
        weeks_under_cover(CROPS["pepper"], warm, date(2027, 5, 6))
    assert (mild, cool) == (7.5, 9.0)

"""The grower's caution moves the windows that frost closes, and only as far as the odds say."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from calgen.climate.build import climate_of
from calgen.knowledge.read import read_knowledge
from calgen.planner.cover_window import cover_windows
from calgen.planner.crop_window import crop_windows
from calgen.problems import Place
from calgen.site.model import ClimateInput, Frost, MonthDay, Site

if TYPE_CHECKING:
    from calgen.climate.climate import Climate

HERE = Place("test")
KNOWN = read_knowledge()
CAUTIONS = (0.05, 0.1, 0.2, 1 / 3, 0.5)


def climate(caution: float) -> Climate:
    """An inland place of the northern United States with a spread of 12 days, invented."""
    frost = Frost(MonthDay(5, 10), MonthDay(9, 28), 12.0, HERE)
    return climate_of(Site("Plot", "test", HERE, 41.5, None, None, frost, -24.0, 23.5, ClimateInput(), "loam", "hand",
                           "metric", (5, 6), caution, date(2026, 9, 1), ()))


def first(crop: str, method: str, caution: float) -> date:
    """The first day of spring."""
    one = climate(caution)
    return next(window.first for window in crop_windows(KNOWN.crops[crop], one, one.season_at(date(2027, 6, 1)))
                if (window.season, window.method) == ("spring", method))


def last_sowing(cover: str, caution: float) -> date:
    """The last safe sowing of the year."""
    one = climate(caution)
    return max(window.last for window in cover_windows(KNOWN.covers[cover], one, one.season_at(date(2027, 6, 1))))


@pytest.mark.parametrize(("caution", "deviations"), [(0.1, 1.2816), (0.2, 0.8416), (0.5, 0.0)])
def test_plants_go_out_on_the_day_of_the_odds(caution: float, deviations: float) -> None:
    """Deviations from a table of the normal curve; mean 10 May, 12 days' spread. The soil is warm by 5 May here."""
    day = date(2027, 5, 10) + timedelta(12 * deviations)
    assert abs((first("tomato", "transplant", caution) - day).days) <= 1


@pytest.mark.parametrize(("crop", "method"), [("tomato", "transplant"), ("courgette-summer-squash", "transplant"),
                                              ("french-bean-bush", "direct"), ("potato-early", "plant")])
def test_the_more_cautious_plant_no_sooner(crop: str, method: str) -> None:
    days = [first(crop, method, caution) for caution in CAUTIONS]
    assert days == sorted(days, reverse=True)
    assert days[0] > days[2]


@pytest.mark.parametrize("cover", ["cereal-rye", "crimson-clover", "oats", "field-pea", "phacelia", "buckwheat",
                                   "white-mustard", "hairy-vetch"])
def test_the_more_cautious_sow_covers_sooner(cover: str) -> None:
    days = [last_sowing(cover, caution) for caution in CAUTIONS]
    assert days == sorted(days)
    assert timedelta(0) < days[2] - days[0] < timedelta(30)


def test_tender_crops_of_the_cautious_are_ready_sooner() -> None:
    def last(caution: float) -> date:
        one = climate(caution)
        return max(window.last for window in crop_windows(KNOWN.crops["french-bean-bush"], one,
                                                          one.season_at(date(2027, 6, 1))))

    assert last(0.05) < last(0.2) < last(0.5)


def test_hardy_crops_are_not_moved() -> None:
    for caution in CAUTIONS:
        assert first("spinach", "direct", caution) == first("spinach", "direct", 0.2)


def test_the_reason_names_the_odds() -> None:
    one = climate(0.1)
    window = next(window for window in crop_windows(KNOWN.crops["tomato"], one, one.season_at(date(2027, 6, 1)))
                  if window.method == "transplant")
    assert window.why.key.startswith("crop-spring-opens-safe")
    assert window.why.facts["in_years"] == 10

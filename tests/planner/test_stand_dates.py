"""A crop on its ground: what the grower wrote stands, the rest follows from the site; over New Year, in the south."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from calgen.planner.stand import given_start, planned_start, stand, starts
from calgen.problems import Place
from calgen.site.model import CropStep

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.command.load import Desk

    Garden = Callable[..., Desk]

HERE = Place("plot.yaml")


def step(plant: str, **dates: object) -> CropStep:
    return CropStep(plant, HERE, **dates)  # type: ignore[arg-type]


@pytest.mark.parametrize(("plant", "dates", "method"), [
    ("tomato", {"planted": date(2027, 5, 20)}, "transplant"),
    ("garlic", {"planted": date(2026, 10, 20)}, "plant"),
    ("carrot", {"sown": date(2027, 4, 10)}, "direct"),
    ("kale", {"planted": date(2027, 6, 1), "sown": date(2027, 4, 20)}, "transplant"),
])
def test_the_growers_own_start_is_taken_as_it_is(garden: Garden, plant: str, dates: dict[str, date],
                                                 method: str) -> None:
    crop = garden("- crop: leek").knowledge.crops[plant]
    start = given_start(step(plant, **dates), crop)
    assert start is not None
    assert start.first == start.best == start.last == dates.get("planted", dates.get("sown"))
    assert start.method == method
    assert start.fixed


@pytest.mark.parametrize("place", ["mild", "south", "south from January"])
@pytest.mark.parametrize("plant", ["tomato", "carrot", "garlic", "leek", "broad-bean-autumn"])
def test_starts_lie_in_their_windows_after_the_ground_is_free(garden: Garden, place: str, plant: str) -> None:
    desk = garden("- crop: leek", place)
    crop = desk.knowledge.crops[plant]
    for month in range(1, 13):
        free = date(2027, month, 28)
        found = starts(crop, desk.climate, free)
        assert found
        for start in found:
            assert free <= start.first <= start.best <= start.last
            assert start.window
            assert start.last <= start.window.last


@pytest.mark.parametrize("place", ["mild", "cold", "south"])
def test_a_deadline_ends_the_window_on_its_day(garden: Garden, place: str) -> None:
    desk = garden("- crop: leek", place)
    crop = desk.knowledge.crops["lettuce"]
    free = desk.plan.start
    open_end = starts(crop, desk.climate, free)[0]
    deadline = open_end.first
    (last_day, *_rest) = starts(crop, desk.climate, free, deadline=deadline)
    assert last_day.first == last_day.best == last_day.last == deadline
    assert not starts(crop, desk.climate, deadline + timedelta(1), deadline=deadline)


@pytest.mark.parametrize("place", ["mild", "south"])
def test_cleared_is_the_end_even_before_the_crop_was_ready(garden: Garden, place: str) -> None:
    desk = garden("- crop: leek", place)
    crop = desk.knowledge.crops["leek"]
    written = step("leek", planted=date(2026, 12, 10), cleared=date(2027, 1, 15))
    start, _ = planned_start(written, crop, desk.climate, date(2026, 12, 1))
    assert start
    grown = stand(written, crop, desk.climate, start)
    assert grown.end == grown.end_first == date(2027, 1, 15)
    assert grown.end_fixed
    assert grown.ready <= grown.end


def test_own_days_to_maturity_count_from_the_start(garden: Garden) -> None:
    desk = garden("- crop: leek")
    written = step("carrot", sown=date(2026, 12, 20), days=60)
    start, _ = planned_start(written, desk.knowledge.crops["carrot"], desk.climate, date(2026, 12, 1))
    assert start
    grown = stand(written, desk.knowledge.crops["carrot"], desk.climate, start)
    assert grown.ready == date(2027, 2, 18)
    assert grown.ready < grown.end_first <= grown.end


@pytest.mark.parametrize("plant", ["tomato", "french-bean-bush", "sweet-corn", "courgette-summer-squash"])
@pytest.mark.parametrize(("latitude", "first", "months"), [(52.4, "19 October", "April"), (41, "25 October", "April"),
                                                           (-41.4, "6 May", "October")])
def test_a_later_last_frost_never_moves_a_tender_crop_earlier(garden: Garden, plant: str, latitude: float, first: str,
                                                              months: str) -> None:
    from pathlib import Path

    from calgen.command.load import desk_of

    def day(last: str) -> date:
        text = f"site: T\nlatitude: {latitude}\nfrost: {{last: {last}, first: {first}}}\nwinter-low: -6\n" \
               f"warmest-month: 19\nchart-starts: {'September 2026' if latitude > 0 else 'March 2027'}\n" \
               "beds:\n  B:\n    size: 1 x 1 m\n    order: [{crop: leek}]\n"
        desk = desk_of(text.encode(), Path("t.yaml"))
        start, _ = planned_start(step(plant), desk.knowledge.crops[plant], desk.climate,
                                 date(2027, 1, 15) if latitude > 0 else date(2027, 7, 15))
        assert start
        return start.first

    days = [day(f"{number} {months}") for number in (2, 9, 16, 23, 30)]
    assert days == sorted(days)
    assert days[0] < days[-1]


@pytest.mark.parametrize(("plant", "free"), [("beetroot", date(2027, 5, 25)), ("spinach", date(2027, 5, 10)),
                                             ("pea", date(2027, 5, 1))])
def test_no_plants_are_raised_where_the_usual_sowing_can_be_done_by_the_same_day(garden: Garden, plant: str,
                                                                                 free: date) -> None:
    """Beetroot is sown outdoors from March to July, spinach and peas into June: Royal Horticultural Society, from
    memory."""
    desk = garden("- crop: leek")
    start, how = planned_start(step(plant), desk.knowledge.crops[plant], desk.climate, free)
    assert start
    assert (start.method, how) == ("direct", "as-preferred")
    assert start.best <= free + timedelta(14)

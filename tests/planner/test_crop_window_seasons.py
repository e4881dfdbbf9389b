"""Windows of crops: what hardiness, soil, heat, frost and winter do to them, and where there must be none."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from calgen.climate.build import climate_of
from calgen.knowledge.read import read_knowledge
from calgen.planner.crop_window import crop_windows, latest_start, maturity, window_for
from calgen.problems import Place
from calgen.site.model import ClimateInput, Frost, MonthDay, Site
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Crop
    from calgen.planner.model import Window

CROPS = read_knowledge().crops
SUMMER, SOUTHERN_SUMMER = date(2027, 7, 1), date(2026, 12, 28)


def climate(latitude: float, last: str | None = None, first: str | None = None, warmest: float | None = None,
            low: float | None = None) -> Climate:
    """The climate of a site by its latitude, frost dates (month-day), warmest month and winter low."""
    place = Place("test")
    frost = Frost(_month_day(last), _month_day(first), None, place) if last and first else None
    return climate_of(Site("Test", "test", place, latitude, None, None, frost, low, warmest, ClimateInput(), "loam",
                           "hand", "metric", (5, 6), 0.2, date(2026, 9, 1), ()))


def _month_day(text: str) -> MonthDay:
    return MonthDay(*(int(part) for part in text.split("-")))


def windows(crop: str, where: Climate, season: str | None = None, method: str | None = None) -> list[Window]:
    found = crop_windows(CROPS[crop], where, where.season_at(SOUTHERN_SUMMER if where.south else SUMMER))
    return [window for window in found if season in (None, window.season) and method in (None, window.method)]


def only(crop: str, where: Climate, season: str, method: str) -> Window:
    (window,) = windows(crop, where, season, method)
    return window


MIDWEST = climate(40.0, "4-20", "10-14", 24.5)
LONDON = climate(51.5, "4-12", "11-5", 18.0, -6.0)
GULF = climate(30.5, "2-25", "11-28", 28.0, -5.0)
ALL_CLIMATES = {
    "midwest": MIDWEST, "London": LONDON, "Gulf coast": GULF, "rough": climate(44.0, "5-12", "9-27"),
    "equator": climate(0.0, warmest=27.0), "tropical highland": climate(-1.0, warmest=16.0),
    "frost-free south": climate(-33.9, warmest=23.0), "65 north": climate(64.8, "5-20", "9-3", 16.5),
    "southern": climate(-41.0, "10-10", "5-5", 17.0), "no frost-free season": climate(62.0, "7-12", "7-16"),
    "cool coast": climate(56.0, "4-25", "10-20", 14.8), "rare frost": climate(37.0, "1-20", "12-20", 22.0, 0.0),
    "frost across new year": climate(-36.8, "8-1", "6-15", 20.0),
}


@pytest.mark.parametrize(("crop", "method", "weeks", "source"), [
    ("pea", "direct", (-6, -4), "very hardy: 4-6 weeks before the frost-free date"),
    ("turnip", "direct", (-6, -4), "very hardy"),
    ("onion-seed", "direct", (-6, -4), "very hardy"),
    ("broccoli-calabrese", "transplant", (-6, -4), "very hardy"),
    ("potato-maincrop", "plant", (-6, -4), "very hardy"),
    ("beetroot", "direct", (-3, -2), "frost-tolerant: 2-3 weeks before"),
    ("carrot", "direct", (-3, -2), "frost-tolerant"),
    ("cauliflower", "transplant", (-3, -2), "frost-tolerant"),
    ("french-bean-bush", "direct", (0, 0), "tender: on the date"),
    ("sweet-corn", "direct", (0, 0), "tender"),
    ("tomato", "transplant", (0, 0), "tender"),
    ("cucumber", "direct", (1, 2), "warm-loving: 1-2 weeks after"),
    ("melon", "direct", (1, 2), "warm-loving"),
    ("pepper", "transplant", (1, 2), "warm-loving"),
])
def test_spring_opens_by_hardiness_as_in_illinois(crop: str, method: str, weeks: tuple[int, int], source: str) -> None:
    """University of Illinois Extension, news 35125: weeks from the average frost-free date; two weeks' tolerance, the
    scatter between guides of one region (Illinois and Nebraska differ by that)."""
    last_frost = MIDWEST.season_at(SUMMER).last_frost
    assert last_frost is not None
    opens = only(crop, MIDWEST, "spring", method).first
    tolerance = timedelta(14)
    soonest, latest = (last_frost + timedelta(week * 7) for week in weeks)
    assert soonest - tolerance <= opens <= latest + tolerance, source


def test_hardier_crops_open_before_tender_ones_everywhere() -> None:
    """Hardiness groups in order: University of Illinois Extension, Utah State University Extension."""
    for name in ("midwest", "London", "Gulf coast", "rough", "southern"):
        where = ALL_CLIMATES[name]
        pea, carrot = (only(crop, where, "spring", "direct").first for crop in ("pea", "carrot"))
        assert pea <= carrot < only("french-bean-bush", where, "spring", "direct").first, name
        assert carrot < only("tomato", where, "spring", "transplant").first, name


def test_tender_seed_waits_for_the_last_frost_and_plants_longer() -> None:
    last_frost = MIDWEST.season_at(SUMMER).last_frost
    assert last_frost is not None
    assert only("french-bean-bush", MIDWEST, "spring", "direct").first >= last_frost
    assert only("tomato", MIDWEST, "spring", "transplant").first > last_frost


def test_spring_is_long_where_it_warms_slowly() -> None:
    """Sonoma County (California) sows peas from February, Illinois from late March; both have frost to mid-April."""
    coast, inland = climate(38.4, "4-15", "11-15", 20.0), climate(39.8, "4-15", "10-14", 24.7)
    lead = [(where.season_at(SUMMER).last_frost or SUMMER) - only("pea", where, "spring", "direct").first
            for where in (coast, inland)]
    assert lead[0] - lead[1] >= timedelta(14)


def test_last_snap_bean_sowing_in_montana() -> None:
    """Montana State University Extension MT199308: 12 weeks before first frost, here within two weeks: its margin for
    safety is larger than that of the tables that print dates (Oklahoma: 11 weeks)."""
    where = climate(45.8, "5-15", "9-23", 21.0)
    first_frost = where.season_at(SUMMER).first_frost
    assert first_frost is not None
    last = max(window.last for window in windows("french-bean-bush", where, method="direct"))
    assert first_frost - timedelta(14 * 7) <= last <= first_frost - timedelta(10 * 7)


def test_tender_crops_are_ready_two_weeks_before_frost() -> None:
    """University of Tennessee SP291-G: mature at least two weeks before the first frost; a day for rounding, and quick
    kinds for the last start."""
    first_frost = MIDWEST.season_at(SUMMER).first_frost
    assert first_frost is not None
    for crop in ("french-bean-bush", "courgette-summer-squash", "cucumber"):
        last = max(window.last for window in windows(crop, MIDWEST, method="direct"))
        grown = maturity(CROPS[crop], MIDWEST, last, "direct")
        assert grown is not None
        assert grown.ready_first <= first_frost - timedelta(13), crop
        assert grown.harvest_end <= first_frost, crop


def test_cool_crops_pause_in_hot_summers_and_not_in_cool_ones() -> None:
    """Mississippi State University Extension: heat ends the cool-crop window and a second opens in late summer."""
    assert not any(window.first <= date(2027, 6, 25) <= window.last for window in windows("lettuce", GULF))
    assert windows("lettuce", GULF, "autumn", "direct")
    assert any(window.first <= date(2027, 6, 25) <= window.last for window in windows("lettuce", LONDON))


def test_winter_crops_grow_on_where_winters_are_mild() -> None:
    """Near-frost-free places plant cool crops from August to February: the windows meet across New Year."""
    where = climate(28.0, warmest=28.0)
    season = where.season_at(SUMMER)
    autumn = only("beetroot", where, "autumn", "direct")
    after = crop_windows(CROPS["beetroot"], where, where.season_at(season.end + timedelta(1)))
    assert autumn.last == season.end - timedelta(1)
    assert season.end in {window.first for window in after if window.method == "direct"}


def test_garlic_goes_in_about_mid_october_in_iowa() -> None:
    """Iowa State University Research Farm: mid-October to the first week of November; harvest end of June to July."""
    where = climate(42.0, "4-28", "10-4", 23.5, -25.0)
    window = only("garlic", where, "overwinter", "plant")
    assert window.first <= date(2027, 10, 22) <= window.last
    grown = maturity(CROPS["garlic"], where, date(2027, 10, 22), "plant")
    assert grown is not None
    assert date(2028, 6, 15) <= grown.ready <= date(2028, 7, 31)


def test_autumn_broad_beans_in_southern_britain_and_not_in_minnesota() -> None:
    """S. Nex and others: October to early November, pods late May to June; from memory: not below about -10 °C."""
    window = only("broad-bean-autumn", LONDON, "overwinter", "direct")
    assert window.first <= date(2027, 11, 1) <= window.last
    grown = maturity(CROPS["broad-bean-autumn"], LONDON, date(2027, 11, 1), "direct")
    assert grown is not None
    assert date(2028, 5, 15) <= grown.ready <= date(2028, 6, 30)
    assert not windows("broad-bean-autumn", climate(45.0, "5-1", "10-5", 22.5, -30.0))


@pytest.mark.parametrize(("crop", "name"), [
    ("okra", "cool coast"), ("melon", "65 north"), ("winter-squash-pumpkin", "65 north"),
    ("tomato", "no frost-free season"), ("lettuce", "equator"), ("garlic", "equator"), ("broad-bean-autumn", "rough"),
    ("sweet-potato", "no frost-free season"), ("broccoli-calabrese", "equator"),
])
def test_no_window_where_a_crop_cannot_be_grown(crop: str, name: str) -> None:
    """Common practice: too cool to ripen in the open, too hot to head, or killed in winter."""
    assert not windows(crop, ALL_CLIMATES[name])


@pytest.mark.parametrize(("crop", "name"), [
    ("tomato", "equator"), ("okra", "equator"), ("sweet-potato", "equator"), ("lettuce", "tropical highland"),
    ("potato-early", "tropical highland"), ("radish-salad", "65 north"), ("potato-early", "65 north"),
    ("broccoli-calabrese", "65 north"), ("tomato", "frost-free south"), ("lettuce", "frost-free south"),
    ("lettuce", "no frost-free season"), ("tomato", "Gulf coast"), ("leek", "southern"),
    ("french-bean-bush", "southern"),
])
def test_a_window_where_a_crop_is_grown(crop: str, name: str) -> None:
    """Common practice."""
    assert windows(crop, ALL_CLIMATES[name])


def test_southern_seasons_are_those_of_the_north_half_a_year_later() -> None:
    north, south = climate(41.0, "4-11", "11-3", 20.0), climate(-41.0, "10-10", "5-4", 20.0)
    for crop, method in (("pea", "direct"), ("tomato", "transplant")):
        first = only(crop, north, "spring", method).first, only(crop, south, "spring", method).first
        assert abs((first[0] - first[1]).days - 182) <= 3, crop


def test_plants_are_raised_the_weeks_before_they_go_out() -> None:
    """Iowa State and Penn State Extension: tomato plants take 5 to 9 weeks under cover."""
    raised, planted = only("tomato", MIDWEST, "spring", "indoors"), only("tomato", MIDWEST, "spring", "transplant")
    assert timedelta(5 * 7) <= planted.best - raised.best <= timedelta(9 * 7)
    assert planted.last - raised.last == planted.first - raised.first


@pytest.mark.parametrize("name", sorted(ALL_CLIMATES))
def test_windows_are_in_order_and_apart(name: str) -> None:
    """Every crop, everywhere: first, best and last in order, within a year, methods' windows apart, ends explained."""
    where = ALL_CLIMATES[name]
    for crop in CROPS.values():
        found = windows(crop.id, where)
        assert [window.first for window in found] == sorted(window.first for window in found)
        for window in found:
            assert window.first <= window.best <= window.last, window
            assert window.last - window.first < timedelta(365), window
            assert window.why.sources
        for method in crop.methods:
            mine = [window for window in found if window.method == method and window.season != "overwinter"]
            assert all(one.last < next_.first for one, next_ in pairwise(mine)), mine


@pytest.mark.parametrize("name", sorted(ALL_CLIMATES))
def test_every_start_in_a_window_comes_to_a_harvest(name: str) -> None:
    where = ALL_CLIMATES[name]
    for crop in CROPS.values():
        for window in windows(crop.id, where):
            if window.method == "indoors":
                continue
            for day in (window.first, window.best, window.last):
                method = window.method
                assert method in ("direct", "transplant", "plant")
                grown = maturity(crop, where, day, method)
                if grown is None:
                    assert _short_of_heat(crop, where, window), (crop.id, window)
                else:
                    assert day < grown.ready_first <= grown.ready <= grown.harvest_end, (crop.id, window, grown)


def _short_of_heat(crop: Crop, where: Climate, window: Window) -> bool:
    """Windows are kept where the heat falls short by no more than the known error of the climate."""
    return where.level == 1 and window.season in ("spring", "autumn") and \
        (crop.hardiness in ("tender", "very-tender") or window.why.key.endswith(("guide", "cold")))


def test_the_latest_start_closes_the_year() -> None:
    season = MIDWEST.season_at(SUMMER)
    for crop in CROPS.values():
        for method in crop.methods:
            latest = latest_start(crop, MIDWEST, season, method)
            mine = [window.last for window in windows(crop.id, MIDWEST, method=method)]
            assert (latest is None) == (not mine)
            assert latest is None or latest >= max(mine)


def test_a_day_finds_its_window() -> None:
    window = only("beetroot", MIDWEST, "spring", "direct")
    assert window_for(CROPS["beetroot"], MIDWEST, window.best, "direct") == window
    assert window_for(CROPS["beetroot"], MIDWEST, date(2027, 12, 20), "direct") is None
    over = only("garlic", MIDWEST, "overwinter", "plant")
    assert window_for(CROPS["garlic"], MIDWEST, over.last, "plant") == over


def test_leap_years_change_nothing() -> None:
    where = climate(45.0, "4-20", "10-14")
    common = crop_windows(CROPS["carrot"], where, where.season_at(date(2027, 7, 1)))
    leap = crop_windows(CROPS["carrot"], where, where.season_at(date(2028, 7, 1)))
    assert [(w.first.month, w.first.day, w.last.month, w.last.day) for w in common] == \
        [(w.first.month, w.first.day, w.last.month, w.last.day) for w in leap]


COOL_AND_TENDER = (("pea", "direct"), ("carrot", "direct"), ("broccoli-calabrese", "transplant"),
                   ("potato-early", "plant"), ("french-bean-bush", "direct"), ("tomato", "transplant"),
                   ("cucumber", "direct"))


@settings(max_examples=60, deadline=None)
@given(latitude=st.integers(30, 60), last=st.integers(75, 125), later=st.integers(1, 12), middle=st.integers(194, 206))
def test_a_later_last_frost_never_makes_a_spring_start_earlier(latitude: int, last: int, later: int,
                                                               middle: int) -> None:
    """For seasons that exist: their middle lies at the 200th day, 6 days either way (NOAA normals 1981-2010). Three
    days are allowed, since from frost dates alone a later last frost also speaks for a slightly different year."""
    new_year, first = date(2027, 1, 1), 2 * middle - last
    early, late = (climate(latitude, f"{day:%m-%d}", f"{new_year + timedelta(first):%m-%d}")
                   for day in (new_year + timedelta(last), new_year + timedelta(last + later)))
    for crop, method in COOL_AND_TENDER:
        one, other = (windows(crop, where, "spring", method) for where in (early, late))
        if one and other:
            assert other[0].first >= one[0].first - timedelta(3), crop


@settings(max_examples=60, deadline=None)
@given(name=st.sampled_from(["midwest", "London", "rough", "Gulf coast", "southern"]), day=st.integers(0, 330),
       later=st.integers(1, 40), crop=st.sampled_from(["lettuce", "carrot", "french-bean-bush", "kale", "tomato"]))
def test_a_later_start_is_never_ready_earlier(name: str, day: int, later: int, crop: str) -> None:
    where = ALL_CLIMATES[name]
    plant = replace(CROPS[crop], stands_winter=False, overwinter={})
    method = plant.methods[0]
    start = where.season_at(SUMMER).start + timedelta(day)
    one, other = maturity(plant, where, start, method), maturity(plant, where, start + timedelta(later), method)
    if one and other and not one.cut_short and not other.cut_short:
        assert other.ready >= one.ready

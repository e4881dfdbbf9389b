"""When covers that stand through winter come into flower: late spring, wherever and whenever they were sown."""

from datetime import date, timedelta

import pytest
from calgen.planner.choice.course import course

BRITAIN = {"latitude": 52.6, "last": "04-22", "first": "11-04", "winter_low": -6.0, "warmest": 16.9}
COLD = {"latitude": 44.1, "last": "05-12", "first": "09-28", "winter_low": -27.0, "warmest": 21.4}
SOUTH = {"latitude": -41.4, "last": "10-08", "first": "05-06", "winter_low": -4.0, "warmest": 17.6}


@pytest.mark.parametrize(("cover", "sown", "flowers"), [
    ("oats", date(2026, 9, 5), date(2027, 6, 5)),
    ("oats", date(2026, 10, 14), date(2027, 6, 5)),
    ("cereal-rye", date(2026, 9, 20), date(2027, 5, 28)),
    ("field-bean", date(2026, 10, 20), date(2027, 5, 18)),
    ("phacelia", date(2026, 9, 20), date(2027, 5, 20)),
])
def test_what_stood_the_winter_flowers_in_late_spring_in_britain(knowledge, garden, cover, sown, flowers):
    """common practice: winter oats come into ear in June, winter rye a little before, winter beans flower in May."""
    life = course(knowledge.covers[cover], garden(**BRITAIN).climate(), sown)
    assert abs(life.flowers - flowers) <= timedelta(14)


@pytest.mark.parametrize("sown", [date(2026, 9, 5), date(2026, 10, 10)])
def test_rye_flowers_in_early_to_mid_june_in_the_cold_north_however_late_it_was_sown(knowledge, garden, sown):
    """common practice at 44° N: pollen in early to mid June, some days later after a late sowing."""
    life = course(knowledge.covers["cereal-rye"], garden(**COLD).climate(), sown)
    assert date(2027, 5, 28) <= life.flowers <= date(2027, 6, 18)


@pytest.mark.parametrize("cover", ["bitter-blue-lupin", "field-bean", "oats", "cereal-rye", "crimson-clover"])
def test_nothing_sown_in_autumn_flowers_in_a_southern_midwinter(knowledge, garden, cover):
    """common practice at 41° S: sown in March or April, in flower from September on."""
    for sown in (date(2027, 3, 21), date(2027, 4, 11)):
        flowers = course(knowledge.covers[cover], garden(**SOUTH).climate(), sown).flowers
        assert date(2027, 8, 25) <= flowers <= date(2027, 12, 10)

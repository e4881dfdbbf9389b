"""What covers attain, against trials.

Lawson 2015 (read): western Washington; rye 5.1 t/ha and hairy vetch 2.3 t/ha from mid September to late April; 2.5
weeks' delay cost 65 % of winter ground cover, 50 % of dry matter and 40 % of nitrogen taken up (means over mixtures);
cutting in late March instead of late April cost about as much. Normals of Mount Vernon from memory.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest
from calgen.planner.choice.attain import attained
from calgen.planner.choice.course import course

MOUNT_VERNON = ((1.3, 7.7), (1.2, 9.6), (2.6, 11.8), (4.3, 14.5), (6.9, 17.6), (9.3, 20.0), (10.6, 22.6), (10.7, 22.9),
                (8.2, 20.2), (5.3, 15.1), (3.0, 10.4), (1.1, 7.6))
TIMELY, LATE = date(2026, 9, 15), date(2026, 10, 3)
APRIL, MARCH = date(2027, 4, 25), date(2027, 3, 25)


@pytest.fixture
def washington(garden):
    return garden(latitude=48.4, last="04-10", first="10-28", winter_low=-8.0, warmest=16.8,
                  normals=MOUNT_VERNON).climate()


def middle(values):
    return sum(values) / 2


@pytest.mark.parametrize(("cover", "t_ha"), [("cereal-rye", 5.1), ("hairy-vetch", 2.3)])
def test_dry_matter_of_a_timely_winter_cover(knowledge, washington, cover, t_ha):
    """Known error of the growth curve: 40 %."""
    got = attained(knowledge.covers[cover], washington, TIMELY, APRIL)
    assert middle(got.biomass_t_ha) == pytest.approx(t_ha, rel=0.4)


def loss(knowledge, climate, what, *, late=TIMELY, cut=APRIL):
    """Mean loss of rye and vetch against sowing in mid September and cutting in late April."""
    losses = []
    for name in ("cereal-rye", "hairy-vetch"):
        cover = knowledge.covers[name]
        full, less = what(attained(cover, climate, TIMELY, APRIL)), what(attained(cover, climate, late, cut))
        losses.append(1 - less / full)
    return sum(losses) / len(losses)


@pytest.mark.parametrize(("what", "published"), [
    (lambda got: got.ground_cover_winter, 0.65),
    (lambda got: middle(got.biomass_t_ha), 0.50),
    (lambda got: middle(got.nitrogen_kg_ha), 0.40),
], ids=["winter ground cover", "dry matter", "nitrogen"])
def test_eighteen_days_late_cost_what_was_measured(knowledge, washington, what, published):
    assert loss(knowledge, washington, what, late=LATE) == pytest.approx(published, abs=0.15)


def test_cutting_a_month_early_costs_about_as_much(knowledge, washington):
    early = loss(knowledge, washington, lambda got: middle(got.biomass_t_ha), cut=MARCH)
    late = loss(knowledge, washington, lambda got: middle(got.biomass_t_ha), late=LATE)
    assert early == pytest.approx(late, abs=0.15)


def test_mustard_at_geneva_bolts_and_dies_in_december(knowledge, garden):
    """Cornell, winter photographs (read): sown 30 August 2007, about 1 ton/acre (2.2 t/ha) by the end of October; it
    bolted, flowered and died in December. Known error of the growth curve: 40 %; of the day of death: a month."""
    climate = garden(latitude=42.9, last="05-08", first="10-08", winter_low=-21.0, warmest=21.8).climate()
    mustard = knowledge.covers["white-mustard"]
    got = attained(mustard, climate, date(2026, 8, 30), date(2026, 10, 31))
    assert middle(got.biomass_t_ha) == pytest.approx(2.2, rel=0.45)
    life = course(mustard, climate, date(2026, 8, 30))
    assert life.likelihood == "likely"
    assert date(2026, 11, 1) <= life.killed <= date(2027, 1, 10)


def test_rye_flowers_in_may_in_oregon_and_at_the_turn_of_june_in_new_york(knowledge, garden):
    """PNW 636 kills cereals at stem extension in early April; Schonbeck: rye sheds pollen in late May (both read).
    Two weeks' error of the flowering date."""
    rye = knowledge.covers["cereal-rye"]
    new_york = garden(latitude=42.9, last="05-08", first="10-08", winter_low=-21.0, warmest=21.8).climate()
    assert abs(course(rye, new_york, date(2026, 9, 15)).flowers - date(2027, 5, 28)) <= timedelta(14)


def test_vetch_sown_late_in_the_north_often_dies(knowledge, garden):
    """SARE rotation chapter (read): hairy vetch sown after 15 September often winter-kills in New York."""
    climate = garden(latitude=42.9, last="05-08", first="10-08", winter_low=-21.0, warmest=21.8).climate()
    vetch = knowledge.covers["hairy-vetch"]
    timely, late = (course(vetch, climate, day).kill_chance for day in (date(2026, 8, 22), date(2026, 9, 30)))
    assert late > timely
    assert late > 0.5


def test_snow_shelters_timely_vetch_in_the_cold_north(knowledge, garden):
    """SARE handbook: hairy vetch to zone 4 where snow lies; it is counted on in zone 5. Not so what is less hardy:
    crimson clover (zone 6) and oats die there (SARE; Minnesota)."""
    climate = garden(latitude=44.1, last="05-12", first="09-28", winter_low=-27.0, warmest=21.4).climate()
    chances = {name: course(knowledge.covers[name], climate, date(2026, 8, 18)).kill_chance
               for name in ("hairy-vetch", "cereal-rye", "crimson-clover", "oats")}
    assert chances["hairy-vetch"] <= 0.3
    assert chances["cereal-rye"] <= 0.1
    assert min(chances["crimson-clover"], chances["oats"]) > 0.75


def test_ten_days_do_not_turn_a_safe_clover_into_a_dead_one(knowledge, garden):
    """common practice: subterranean clover stands a winter of -6 °C whether it was sown in late August or September."""
    climate = garden(latitude=52.6, last="04-22", first="11-04", winter_low=-6.0, warmest=16.9).climate()
    clover = knowledge.covers["subterranean-clover"]
    chances = [course(clover, climate, date(2026, 8, 12) + timedelta(10 * n)).kill_chance for n in range(4)]
    assert max(chances) <= 0.25
    assert all(abs(one - other) < 0.2 for one, other in pairwise(chances))


def test_winter_killed_stands_leave_less_nitrogen_than_living_ones(knowledge, garden, washington):
    """common practice."""
    cold = garden(latitude=44.0, last="05-05", first="10-01", winter_low=-28.0, warmest=22.0).climate()
    crimson = knowledge.covers["crimson-clover"]
    dead = attained(crimson, cold, date(2026, 8, 10), date(2027, 5, 10))
    living = attained(crimson, washington, date(2026, 9, 1), date(2027, 5, 10))
    assert dead.kill_chance > 0.9 > living.kill_chance
    assert middle(dead.pan_kg_ha) < middle(living.pan_kg_ha)


def test_shade_slows_what_stands_under_a_crop(knowledge, washington):
    """common practice; clovers rated for undersowing bear it better than phacelia."""
    sow, end = date(2026, 7, 20), date(2026, 9, 20)
    shares = []
    for name in ("red-clover", "phacelia"):
        cover = knowledge.covers[name]
        open_ground, shaded = attained(cover, washington, sow, end), attained(cover, washington, sow, end, end)
        shares.append(shaded.root_cm / open_ground.root_cm)
    assert shares[1] < shares[0] < 1


def test_summer_heat_does_not_hurry_cool_season_covers(garden, knowledge):
    """Knott's Handbook (from memory): cabbage kin, peas and beans of spring grow best up to 21 °C, sorghum to 28 and
    more. A July of 28 °C against one of 22 °C, otherwise alike; the hot one brings seed up sooner."""
    means = [(2, 4, 9, 14, 18, july - 1, july, july - 1, 18, 13, 8, 4) for july in (22, 28)]
    mild, hot = (garden(latitude=42.0, normals=tuple((mean - 6, mean + 6) for mean in months)).climate()
                 for months in means)
    for cover in ("white-mustard", "phacelia", "oats", "field-pea"):
        grown = [middle(attained(knowledge.covers[cover], place, date(2026, 6, 15), date(2026, 7, 25)).biomass_t_ha)
                 for place in (mild, hot)]
        assert grown[1] < 1.2 * grown[0], cover
    for cover in ("sudangrass", "sorghum-sudangrass"):
        grown = [middle(attained(knowledge.covers[cover], place, date(2026, 6, 15), date(2026, 7, 25)).biomass_t_ha)
                 for place in (mild, hot)]
        assert grown[1] > 1.3 * grown[0], cover

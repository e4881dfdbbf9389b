"""Covers in pots, tubs and crates. No publication was found on them: all of it is `common practice`."""

from datetime import date

import pytest
from calgen.planner.choice.need import needs
from calgen.planner.choice.pot import potted
from calgen.site.convert import pots

POTS = pots("6 x 30 l")


@pytest.mark.parametrize("tools", ["hand", "tiller"])
@pytest.mark.parametrize(("free", "story"), [
    (date(2026, 8, 20), {"next_crop": "tomato", "method": "transplant", "start": date(2027, 5, 25)}),
    (date(2026, 9, 10), {"next_crop": "carrot", "method": "direct", "start": date(2027, 4, 10)}),
    (date(2027, 5, 1), {"next_crop": "kale", "method": "transplant", "start": date(2027, 7, 20)}),
    (date(2026, 10, 5), {"standing": "tomato", "how": "undersown", "since": 120, "earliest": date(2026, 8, 25)}),
])
def test_nothing_in_a_pot_is_tarped_turned_in_or_mown(maritime, tools, free, story):
    maritime.tools = tools
    ranking = maritime.rank(free, size=POTS, **story)
    assert len(ranking.options) > 3
    assert {one.ending.way for one in ranking.options} <= {"snip", "pull", "winter-kill"}
    told = {reason.key for one in ranking.options for reason in (*one.reasons, *one.ending.reasons)}
    assert not told & {"end-tarp", "end-cut-young", "grass-needs-tarp", "hard-by-hand", "seed-lies-dry"}


@pytest.mark.parametrize(("cover", "way"), [
    # grasses and lasting clovers grow again from the crown when cut green; mustards and crimson clover do not
    ("cereal-rye", "pull"), ("perennial-ryegrass", "pull"), ("white-clover", "pull"), ("crimson-clover", "snip"),
    ("corn-salad", "snip"),
])
def test_what_would_grow_again_is_pulled(maritime, cover, way):
    ranking = maritime.rank(date(2026, 8, 15), size=POTS, next_crop="tomato", method="transplant",
                            start=date(2027, 5, 25), fixed=(cover,))
    assert ranking.options[0].ids == (cover,)
    assert ranking.options[0].ending.way == way


def test_a_mixture_is_told_one_way_of_ending(maritime):
    ranking = maritime.rank(date(2026, 8, 15), size=POTS, next_crop="tomato", method="transplant",
                            start=date(2027, 5, 25), fixed=("annual-ryegrass", "crimson-clover"))
    (mixed,) = [one for one in ranking.options if set(one.ids) == {"annual-ryegrass", "crimson-clover"}]
    assert mixed.ending.way == "pull"
    told = {reason.key for reason in mixed.ending.reasons}
    assert "end-pull" in told
    assert "end-snip" not in told


def test_roots_end_where_the_pot_does(maritime):
    """A 30 l pot is some 32 to 36 cm deep (ordinary nursery pots, from memory)."""
    story = {"needs": ["structure"], "next_crop": "tomato", "method": "transplant", "start": date(2027, 5, 25)}
    in_pots = maritime.rank(date(2026, 8, 15), size=POTS, **story)
    deepest = max(one.attained.root_cm for one in in_pots.options)
    assert 28 < deepest < 38
    in_bed = maritime.rank(date(2026, 8, 15), **story)
    assert max(one.attained.root_cm for one in in_bed.options) > 60


def test_pots_are_not_filled_with_the_soil_of_the_site(maritime, knowledge):
    maritime.soil = "clay"
    wants = [need.because for need in needs(maritime.slot(date(2026, 9, 1), size=POTS), maritime.climate(), knowledge)]
    assert "clay" not in wants
    bed = [need.because for need in needs(maritime.slot(date(2026, 9, 1)), maritime.climate(), knowledge)]
    assert "clay" in bed
    own = maritime.slot(date(2026, 9, 1), size=POTS, soil=["clay"])
    assert "clay" in [need.because for need in needs(own, maritime.climate(), knowledge)]


def test_frost_kills_sooner_in_pots(maritime, knowledge):
    """Roots in pots freeze from the side: plants for pots outdoors are taken one to two hardiness zones hardier."""
    zone_c = 10 * 5 / 9  # a USDA hardiness zone is 10 F wide
    for cover in knowledge.covers.values():
        sooner = potted(cover, knowledge).kill_c.mid - cover.kill_c.mid
        assert 0 <= sooner <= 2 * zone_c
        if cover.kill_c.mid < -12:
            assert sooner >= zone_c - 0.1
    story = {"next_crop": "tomato", "method": "transplant", "start": date(2027, 5, 25), "fixed": ("field-pea",)}
    bed, pot = (maritime.rank(date(2026, 9, 5), size=size, **story).options[0] for size in (None, POTS))
    assert bed.ids == pot.ids == ("field-pea",)
    assert pot.attained.kill_chance > bed.attained.kill_chance

"""How covers are ended: way, stage, window and wait."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from calgen.planner.choice.ending import wait_days

NEW_YORK = {"latitude": 42.9, "last": "05-08", "first": "10-08", "winter_low": -21.0, "warmest": 21.8}


def ended(ranking, cover):
    return next(one.ending for one in ranking.options if one.ids == (cover,))


def test_buckwheat_is_cut_about_forty_days_after_a_july_sowing(garden):
    """Cornell buckwheat sheet (read): sown 1 July, control after 40 days, within 10 days of first flower."""
    ranking = garden(**NEW_YORK).rank(date(2026, 7, 1), needs=["weeds"], start=date(2026, 9, 1), next_crop="kale",
                                      method="transplant")
    ending = ended(ranking, "buckwheat")
    assert ending.way == "cut-at-flowering"
    assert abs(ending.best - date(2026, 8, 10)) <= timedelta(7)
    assert (ending.last - ending.first).days <= 11


@pytest.mark.parametrize("cover", ["oats", "tillage-radish", "white-mustard"])
def test_what_winter_kills_needs_no_cutting_but_keeps_one_in_hand(garden, cover):
    """Maryland, Minnesota, Cornell: killed by frost; umass-late: never promise it."""
    ranking = garden(**NEW_YORK).rank(date(2026, 8, 20), needs=["cover"], start=date(2027, 5, 20), next_crop="tomato",
                                      method="transplant")
    ending = ended(ranking, cover)
    if ending.way == "winter-kill":
        assert date(2027, 3, 1) < ending.first <= ending.best <= ending.last < date(2027, 5, 20)
        assert "end-if-it-survives" in [reason.key for reason in ending.reasons]
    else:
        assert ending.way == "cut-at-flowering"
        assert ending.best < date(2026, 11, 15)


def test_rye_by_hand_is_tarped_before_it_flowers_and_cut_low_once_it_does(garden):
    """Schonbeck (read): cut low rye dies once it sheds pollen, cut earlier it regrows; PFI (read): a tarp for 3-4
    weeks."""
    early = ended(garden(**NEW_YORK).rank(date(2026, 9, 15), needs=["weeds"], start=date(2027, 5, 15),
                                          next_crop="tomato", method="transplant"), "cereal-rye")
    assert early.way == "tarp"
    assert early.last <= date(2027, 5, 15) - timedelta(21)
    late = ended(garden(**NEW_YORK).rank(date(2026, 9, 15), needs=["weeds"], start=date(2027, 6, 25),
                                         next_crop="tomato", method="transplant"), "cereal-rye")
    assert late.way == "cut-at-flowering"
    assert date(2027, 5, 14) <= late.best <= date(2027, 6, 14)


def test_a_tiller_turns_young_rye_in(garden):
    """Maryland Fact Sheet 6 (read): rye and wheat are hard to turn under without a tiller."""
    ending = ended(garden(tools="tiller", **NEW_YORK).rank(date(2026, 9, 15), needs=["weeds"], start=date(2027, 5, 15),
                                                           next_crop="tomato", method="transplant"), "cereal-rye")
    assert ending.way == "cut-young"


def test_the_wait_before_small_seed_is_longer_and_both_rules_for_rye_are_kept(knowledge):
    """Penn State: effects on transplants fade within about a week; Virginia and Maine gardens: 4 weeks (read)."""
    rye, practice = knowledge.covers["cereal-rye"], knowledge.practice
    transplant = wait_days(rye, "transplant", 26.0, 15.0, practice)
    small = wait_days(rye, "small-seed", 26.0, 15.0, practice)
    assert transplant[0] == 7
    assert small[1] >= 28
    assert small[0] > transplant[0]
    assert wait_days(rye, "small-seed", 40.0, 15.0, practice)[1] > small[1]
    assert wait_days(rye, "small-seed", 26.0, 6.0, practice)[1] > small[1]


def test_the_last_cutting_leaves_the_shorter_wait_before_the_next_start(maritime):
    start = date(2027, 5, 20)
    ranking = maritime.rank(date(2026, 9, 10), needs=["nitrogen"], start=start, next_crop="tomato",
                            method="transplant")
    for one in ranking.options:
        if one.ending.way not in ("winter-kill", "leave"):
            assert one.ending.last <= start - timedelta(one.ending.wait_days[0])
            assert one.ending.wait_days[0] <= one.ending.wait_days[1]


def test_covers_are_cut_before_they_seed(maritime):
    """common practice."""
    ranking = maritime.rank(date(2026, 4, 20), needs=["pollinators"], until=date(2026, 10, 1))
    for one in ranking.options:
        if one.attained.flowers and len(one.ids) == 1 and one.ending.way == "cut-at-flowering":
            assert one.ending.last <= one.attained.flowers + timedelta(21)


def test_what_is_cut_in_summer_is_not_said_to_die_of_frost(garden):
    """common practice: buckwheat cut in August is dead before any frost; left standing, the first one kills it."""
    cold = garden(latitude=44.1, last="05-12", first="09-28", winter_low=-27.0, warmest=21.4)
    cut = next(one for one in cold.rank(date(2026, 7, 1), needs=["weeds"], start=date(2026, 8, 25), next_crop="spinach",
                                        method="direct").options if one.ids == ("buckwheat",)).attained
    assert (cut.killed, cut.meets_winter) == (None, False)
    left = next(one for one in cold.rank(date(2026, 8, 5), needs=["cover"], start=date(2027, 5, 20),
                                         next_crop="tomato", method="transplant").options if one.ids == ("oats",))
    assert left.attained.meets_winter
    assert date(2026, 10, 15) < left.attained.killed < date(2027, 1, 1)
    assert left.ending.best > date(2027, 3, 1)

"""Rules and their points belong together; single rules where the practice tests do not reach."""

from __future__ import annotations

import ast
from datetime import date
from pathlib import Path

import pytest
from calgen.planner.choice import dated_rules, mixture, pairing, rank, setting_rules
from calgen.planner.choice.dated_rules import DATED_RULES
from calgen.planner.choice.need import needs
from calgen.planner.choice.setting_rules import SETTING_RULES


def _strings(module):
    tree = ast.parse(Path(module.__file__).read_text("utf-8"))
    return {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)}


def test_every_rule_has_points_and_all_points_have_a_rule(knowledge):
    points = {key.removeprefix("points-") for key in knowledge.practice if key.startswith("points-")}
    said = set()
    for module in (setting_rules, dated_rules):
        for node in ast.walk(ast.parse(Path(module.__file__).read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "said":
                said.add(node.args[1].value)
    elsewhere = {text.removeprefix("points-") for module in (mixture, pairing, rank) for text in _strings(module)
                 if text.startswith("points-")}
    assert said | elsewhere == points


def test_every_rule_is_listed_once_and_says_why():
    for module, listed in ((setting_rules, SETTING_RULES), (dated_rules, DATED_RULES)):
        tree = ast.parse(Path(module.__file__).read_text("utf-8"))
        written = [node.name for node in tree.body if isinstance(node, ast.FunctionDef)
                   and not node.name.startswith("_")]
        names = [rule.__name__ for rule in listed if rule.__module__ == module.__name__]
        assert sorted(names) == sorted(written)
        assert all(rule.__doc__ for rule in listed)


def keys(option):
    return [reason.key for reason in option.reasons]


def find(ranking, cover):
    return next(one for one in ranking.options if one.ids == (cover,))


def test_needs_follow_from_crops_and_soil_where_none_are_stated(maritime, knowledge):
    """common practice: heavy feeder next -> nitrogen; after corn -> nitrogen; compacted -> structure."""
    climate = maritime.climate()
    hungry = maritime.slot(date(2026, 9, 1), next_crop="cabbage-summer", method="transplant", start=date(2027, 5, 10))
    corn = maritime.slot(date(2026, 9, 1), before=["sweet-corn"])
    tight = maritime.slot(date(2026, 8, 10), soil=["compacted"])
    assert needs(hungry, climate, knowledge)[0].purpose == "nitrogen"
    assert needs(corn, climate, knowledge)[0].purpose == "nitrogen"
    assert needs(tight, climate, knowledge)[0].purpose == "structure"
    for slot in (hungry, corn, tight):
        assert sum(need.share for need in needs(slot, climate, knowledge)) == pytest.approx(1.0)
    stated = needs(maritime.slot(date(2026, 9, 1), needs=["weeds", "nitrogen"]), climate, knowledge)
    assert [need.purpose for need in stated] == ["weeds", "nitrogen"]


def test_living_cover_before_small_seed_is_marked_and_killed_cover_is_not(garden):
    """RHS and NYS IPM carrots (both from memory): residue not well decayed checks small seed."""
    cold = garden(latitude=42.9, last="05-08", first="10-08", winter_low=-21.0, warmest=21.8)
    ranking = cold.rank(date(2026, 8, 20), needs=["cover"], next_crop="carrot", method="direct", start=date(2027, 5, 5))
    for one in ranking.options:
        living = one.ending.way != "winter-kill" and len(one.ids) == 1
        assert living == ("fresh-before-small-seed" in keys(one)) or len(one.ids) > 1


def test_a_rich_legume_before_carrots_is_advised_against(garden):
    """NYS IPM carrots (from memory): more nitrogen than carrots need."""
    ranking = garden(latitude=45.0, last="03-30", first="11-07", winter_low=-8.0, warmest=19.6).rank(
        date(2026, 9, 5), needs=["cover"], next_crop="carrot", method="direct", start=date(2027, 5, 20))
    for one in ranking.options:
        if len(one.covers) == 1 and one.covers[0].fixes_nitrogen:
            assert "too-rich-before-roots" in keys(one)


def test_transplants_do_not_mind_what_checks_small_seed(maritime):
    """Penn State, rye: large seed and transplants are the safe side."""
    planted = maritime.rank(date(2026, 9, 20), needs=["cover"], next_crop="cabbage-summer", method="transplant",
                            start=date(2027, 5, 20))
    assert "checks-small-seed" not in keys(find(planted, "cereal-rye"))
    sown = maritime.rank(date(2026, 9, 20), needs=["cover"], next_crop="carrot", method="direct",
                         start=date(2027, 5, 20))
    assert "checks-small-seed" in keys(find(sown, "cereal-rye"))


def test_vetch_is_drilled_between_rows_and_not_scattered_under_a_crop(maritime):
    """Cornell, Late-summer legumes (read): vetch needs to be drilled, red clover strikes from the surface."""
    story = {"standing": "kale", "since": 130, "earliest": date(2026, 8, 25), "needs": ["nitrogen"]}
    under = maritime.rank(date(2026, 11, 1), how="undersown", **story)
    rejected = {entry.covers: [reason.key for reason in entry.reasons] for entry in under.rejected}
    assert "large-seed-on-surface" in rejected[("hairy-vetch",)]
    assert find(under, "red-clover")
    assert find(maritime.rank(date(2026, 11, 1), how="between-rows", **story), "hairy-vetch")


def test_a_sowing_already_made_is_judged_where_it_stands(maritime):
    """Not refused for its date, but told."""
    late = maritime.rank(date(2026, 9, 1), needs=["cover"], fixed=["crimson-clover"], fixed_sown=date(2026, 9, 28))
    assert late.options[0].ids == ("crimson-clover",)
    assert late.options[0].sow == date(2026, 9, 28)
    assert "past-safe-sowing" in keys(late.options[0])


def test_annual_ryegrass_is_never_first_for_hand_tools(garden):
    """Michigan and Schonbeck (read) warn gardens off it; farm bulletins recommend it: context is the tools."""
    places = ({}, {"latitude": 42.9, "last": "05-08", "first": "10-08", "winter_low": -21.0, "warmest": 21.8},
              {"latitude": 34.7, "last": "04-15", "first": "10-27", "winter_low": -11.0, "warmest": 25.4})
    for place in places:
        for wanted in ("hold-nutrients", "biomass", "weeds", "structure", "cover"):
            by_hand = garden(**place).rank(date(2026, 8, 28), needs=[wanted])
            assert by_hand.options[0].ids != ("annual-ryegrass",)
            assert "hard-by-hand" in [reason.key for one in by_hand.options if one.ids == ("annual-ryegrass",)
                                      for reason in one.reasons] or all(
                one.ids != ("annual-ryegrass",) for one in by_hand.options)


def test_buckwheat_on_hard_wet_ground_is_marked(garden):
    """Cornell buckwheat sheet (read): weak on hard soil, does not recover from flooding."""
    ranking = garden(latitude=42.9, last="05-08", first="10-08", winter_low=-21.0, warmest=21.8).rank(
        date(2026, 6, 20), needs=["weeds"], soil=["compacted", "wet"], start=date(2026, 8, 20))
    for one in ranking.options:
        if one.ids == ("buckwheat",):
            assert keys(one).count("soil-poor") == 2
            assert ranking.options.index(one) > 2


def test_cereals_are_not_said_to_fix_nitrogen_and_trifles_are_not_told(maritime):
    """common practice: only legumes fix nitrogen."""
    ranking = maritime.rank(date(2026, 9, 10), needs=["cover", "nitrogen", "pollinators"], start=date(2027, 5, 25),
                            next_crop="tomato", method="transplant")
    told = {option.ids[0]: {reason.key: reason for reason in option.reasons} for option in ranking.options
            if len(option.ids) == 1}
    assert "gives-nitrogen" not in told["cereal-rye"]
    assert "gives-nitrogen-taken" in told["cereal-rye"]
    assert "gives-pollinators" not in told["cereal-rye"]
    assert "gives-nitrogen" in told["hairy-vetch"]


def test_a_warm_stretch_before_a_later_cover_is_told_to_have_room_for_buckwheat(garden):
    """Cornell buckwheat sheet (read): in by mid July in New York, control after about 40 days."""
    ranking = garden(latitude=42.9, last="05-08", first="10-08", winter_low=-21.0, warmest=21.8).rank(
        date(2026, 7, 10), needs=["cover"], start=date(2027, 6, 10), next_crop="tomato", method="transplant")
    oats = next(one for one in ranking.options if one.ids == ("oats",))
    tips = [reason for reason in oats.reasons if reason.key == "quick-cover-first"]
    assert [tip.facts["cover"] for tip in tips] == ["buckwheat"]
    assert tips[0].weight == 0

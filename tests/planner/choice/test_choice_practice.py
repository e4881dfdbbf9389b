"""Facts of the trade that the choice must bring out. Every test here is `common practice` unless it names a source."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from calgen.planner.cover_window import cover_windows, late_windows
from calgen.site.model import Size

MUSTARDS = ("white-mustard", "brown-mustard")
RADISH = "tillage-radish"
CEREALS = ("cereal-rye", "winter-wheat")


def singles(ranking):
    return [option.covers[0].id for option in ranking.options if len(option.covers) == 1]


def option(ranking, cover):
    return next((one for one in ranking.options if one.ids == (cover,)), None)


def why_rejected(ranking, cover):
    return [reason.key for one in ranking.rejected if one.covers == (cover,) for reason in one.reasons]


def reasons(ranking, cover):
    return [reason.key for reason in option(ranking, cover).reasons]


def test_white_mustard_can_still_be_sown_late_in_october_and_rye_later_still(maritime):
    """common practice, mild maritime: white mustard to the end of October, rye later still."""
    october = maritime.rank(date(2026, 10, 25), needs=["cover"])
    assert "white-mustard" in singles(october)
    assert "cereal-rye" in singles(october)
    november = maritime.rank(date(2026, 11, 24), needs=["cover"])
    assert "white-mustard" not in [one.covers[0].id for one in november.options if one.sow < date(2027, 1, 15)]
    assert option(november, "cereal-rye").sow < date(2026, 12, 1)


def test_clovers_want_the_warmth_of_early_autumn(maritime):
    """common practice."""
    early = maritime.rank(date(2026, 8, 25), needs=["nitrogen"])
    late = maritime.rank(date(2026, 10, 20), needs=["nitrogen"])
    assert option(early, "crimson-clover").sow < date(2026, 9, 15)
    sown_late = option(late, "crimson-clover")
    assert sown_late is None or sown_late.sow > date(2027, 1, 1)


def test_buckwheat_is_for_spring_and_summer_and_frost_kills_it(maritime):
    """common practice."""
    autumn = maritime.rank(date(2026, 9, 25), needs=["weeds"])
    found = option(autumn, "buckwheat")
    assert found is None or found.sow > date(2027, 3, 1)
    summer = maritime.rank(date(2026, 6, 20), needs=["weeds"], start=date(2026, 8, 25), next_crop="lettuce",
                           method="transplant")
    assert "buckwheat" in singles(summer)[:3]
    open_end = maritime.rank(date(2026, 7, 20), needs=["weeds"], until=date(2027, 4, 1))
    assert option(open_end, "buckwheat").attained.kill_chance == 1.0


@pytest.mark.parametrize("how", ["cleared", "undersown"])
@pytest.mark.parametrize("cover", [*MUSTARDS, RADISH, "forage-rape"])
def test_never_mustard_after_or_among_cabbages_but_rye(maritime, cover, how):
    """common practice; Cornell, Tasmania."""
    for day in (date(2026, 9, 20), date(2026, 10, 18)):
        ranking = maritime.rank(day, needs=["cover"], standing="cabbage-summer", how=how, since=90)
        assert "clash-brassica" in why_rejected(ranking, cover)
    if how == "cleared":
        assert "cereal-rye" in singles(ranking)[:3]


def test_no_mustard_between_two_cabbage_years(maritime):
    """Cornell: no brassica cover in a rotation with brassica crops; the gap is what matters."""
    later = maritime.rank(date(2026, 9, 10), needs=["cover"], before=["onion-sets"], later=[(1, "kale")])
    past = maritime.rank(date(2026, 9, 10), needs=["cover"], before=["onion-sets"], history=[(2025, ("kale",))])
    for ranking in (later, past):
        assert "clash-brassica" in why_rejected(ranking, "white-mustard")
    old = maritime.rank(date(2026, 9, 10), needs=["cover"], before=["onion-sets"], history=[(2021, ("kale",))])
    assert "white-mustard" in singles(old)


def test_after_sweet_corn_a_legume(maritime):
    """common practice: corn takes much nitrogen, a legume puts some back; no needs are stated."""
    ranking = maritime.rank(date(2026, 9, 5), before=["sweet-corn"], next_crop="tomato", method="transplant",
                            start=date(2027, 5, 25))
    assert ranking.options[0].covers[0].kind == "legume" or any(
        cover.kind == "legume" for cover in ranking.options[0].covers)
    assert "legume-after-corn" in reasons(ranking, singles(ranking)[0])


@pytest.mark.parametrize("side", ["before", "after"])
def test_mustard_before_and_after_potatoes_is_good(maritime, side):
    """common practice; Tasmania names mustard before potatoes."""
    story = {"before": ["potato-early"]} if side == "after" else {
        "next_crop": "potato-maincrop", "method": "plant", "start": date(2027, 4, 15)}
    ranking = maritime.rank(date(2026, 8, 20), needs=["soil-pests"], **story)
    assert singles(ranking)[0] in MUSTARDS
    assert "mustard-with-potatoes" in reasons(ranking, "white-mustard")


def test_radish_for_compacted_clay_is_cut_at_ground_level_toward_spring(maritime):
    """common practice: roots left in. Where winter may not kill it, it is cut before the next crop."""
    ranking = maritime.rank(date(2026, 8, 15), needs=["structure"], soil=["clay", "compacted"],
                            next_crop="tomato", method="transplant", start=date(2027, 5, 20))
    assert RADISH in singles(ranking)[:2]
    found = option(ranking, RADISH)
    assert found.attained.root_cm > 50
    assert found.ending.way in ("cut-at-ground", "winter-kill", "cut-at-flowering")
    assert found.ending.last > date(2027, 1, 31)


def test_vetch_goes_over_pots_whose_gourds_die_back(maritime):
    """common practice: undersown in autumn among gourds in pots."""
    pots = Size(12 * 0.1, pots=12, pot_litres=30)
    ranking = maritime.rank(date(2026, 10, 5), needs=["nitrogen", "cover"], standing="gourd", how="undersown",
                            since=120, size=pots, earliest=date(2026, 8, 25))
    assert set(singles(ranking)[:4]) & {"hairy-vetch", "common-vetch"}
    assert all(one.ending.way in ("snip", "pull", "winter-kill") for one in ranking.options)


def test_deep_and_big_covers_stay_out_of_pots(maritime):
    """common practice: shallow quick covers for pots, no publication."""
    pots = Size(0.6, pots=6, pot_litres=30)
    ranking = maritime.rank(date(2026, 8, 20), needs=["cover"], size=pots)
    for cover in ("lucerne", "chicory", "sorghum-sudangrass"):
        assert cover not in singles(ranking)


def test_garlic_takes_a_thin_clover_along(maritime):
    """common practice: a light clover sowing with garlic."""
    ranking = maritime.rank(date(2027, 7, 10), standing="garlic", since=260, how="undersown", companion=True,
                            earliest=date(2026, 10, 10), until=date(2027, 7, 10))
    alone = maritime.rank(date(2026, 9, 1), needs=["nitrogen"])
    assert all(one.covers[0].kind not in ("grass", "brassica") for one in ranking.options)
    named = [one for one in ranking.options if "clover" in one.covers[0].id]
    assert named
    full = option(alone, named[0].covers[0].id)
    if full:
        assert sum(named[0].seed_g.values()) < sum(full.seed_g.values())


def test_too_late_means_nothing(maritime):
    """common practice: then it is mulch."""
    ranking = maritime.rank(date(2026, 12, 20), needs=["cover"], next_crop="pea", method="direct",
                            start=date(2027, 3, 10))
    assert ranking.options == ()
    assert all(one.reasons for one in ranking.rejected)


def test_no_peas_after_a_legume_cover(maritime):
    """Tasmania, DPIPWE."""
    ranking = maritime.rank(date(2026, 9, 1), needs=["nitrogen"], next_crop="pea", method="direct",
                            start=date(2027, 3, 20))
    for cover in ("hairy-vetch", "field-bean", "crimson-clover"):
        assert "clash-legume-before" in why_rejected(ranking, cover)


def test_no_mustard_before_squash(maritime):
    """Cornell, Early spring: emergence of cucurbits often unacceptably low."""
    ranking = maritime.rank(date(2026, 8, 20), needs=["weeds"], next_crop="winter-squash-pumpkin", method="transplant",
                            start=date(2027, 5, 25))
    for cover in MUSTARDS:
        assert "mustard-before-cucurbits" in why_rejected(ranking, cover)


def test_nothing_goes_under_carrots_or_onions(maritime):
    """University of Vermont, Observations on Interseeding."""
    for crop in ("carrot", "onion-seed"):
        ranking = maritime.rank(date(2026, 9, 20), needs=["cover"], standing=crop, how="undersown", since=120,
                                earliest=date(2026, 8, 1))
        assert ranking.options == ()
        assert all("host-too-weak" in [reason.key for reason in one.reasons]
                   for one in ranking.rejected if len(one.covers) == 1)


def test_grass_before_potatoes_and_carrots_warns_of_wireworm(maritime):
    """common practice; Building Soils for Better Crops (from memory)."""
    ranking = maritime.rank(date(2026, 9, 20), needs=["cover"], next_crop="potato-maincrop", method="plant",
                            start=date(2027, 4, 20))
    assert "wireworm" in reasons(ranking, "cereal-rye")


def test_a_fixed_cover_comes_first_or_is_rejected_with_reasons(maritime):
    named = maritime.rank(date(2026, 9, 20), needs=["nitrogen"], fixed=["cereal-rye"])
    assert named.options[0].ids == ("cereal-rye",)
    clash = maritime.rank(date(2026, 9, 20), needs=["nitrogen"], fixed=["white-mustard"], next_crop="kale",
                          method="transplant", start=date(2027, 5, 10))
    assert clash.rejected[0].covers == ("white-mustard",)
    assert clash.rejected[0].reasons[0].key == "clash-brassica"
    assert clash.options


def test_a_named_mixture_takes_less_seed_of_each(maritime):
    """University of Maryland: about 60 % of each full rate for two; or the known mixture's own shares."""
    mixed = maritime.rank(date(2026, 9, 5), needs=["nitrogen"], fixed=["cereal-rye", "common-vetch"])
    both = next(one for one in mixed.options if set(one.ids) == {"cereal-rye", "common-vetch"})
    assert mixed.options[0] is both
    for cover in both.ids:
        alone = option(mixed, cover)
        assert both.seed_g[cover] < alone.seed_g[cover] * max(1.0, both.seed_factor / alone.seed_factor) * 0.85


def test_cereals_do_not_go_under_growing_leeks(maritime):
    """den Hollander 2007 (abstract): even low clover took much of the leeks' weight; cereals outgrow them. Only small
    covers go under leeks, and after the last earthing up (common practice)."""
    ranking = maritime.rank(date(2027, 3, 15), standing="leek", since=265, how="undersown", needs=["cover"],
                            earliest=date(2026, 9, 1), next_crop="french-bean-bush", method="direct",
                            start=date(2027, 5, 25))
    grasses = [one for one in ranking.options if any(cover.kind == "grass" for cover in one.covers)]
    assert all(one.sow >= date(2026, 6, 23) + timedelta(120) for one in grasses)


def test_nothing_is_raked_in_under_closed_vines(maritime):
    """common practice: seed goes in while squash vines are young, or when they die back."""
    ranking = maritime.rank(date(2026, 9, 25), standing="winter-squash-pumpkin", since=115, how="undersown",
                            needs=["cover"], earliest=date(2026, 8, 1), next_crop="sweet-corn", method="direct",
                            start=date(2027, 5, 25))
    assert ranking.options
    assert all(one.sow >= date(2026, 8, 26) for one in ranking.options)


@pytest.mark.parametrize("soil", [("shaded",), ("wet",)])
def test_salads_are_no_match_for_rye_tares_or_beans_as_a_british_winter_cover(maritime, soil):
    """common practice: grazing rye, winter tares and field beans are sown in October; salads are for the table."""
    ranking = maritime.rank(date(2026, 10, 10), needs=["biomass", "structure"], start=date(2027, 5, 25), soil=soil,
                            next_crop="courgette-summer-squash", method="transplant")
    assert not {"corn-salad", "miners-lettuce"} & set(singles(ranking)[:2])
    assert {"cereal-rye", "common-vetch", "field-bean", "hairy-vetch"} & set(singles(ranking)[:3])


@pytest.mark.parametrize(("sow", "needs"), [
    (date(2026, 10, 10), ["hold-nutrients", "structure"]),
    (date(2026, 10, 10), ["hold-nutrients"]),
    (date(2026, 10, 25), ["cover"]),
])
def test_rye_is_among_the_first_in_an_english_october(garden, sow, needs):
    """common practice: rye is the green manure sown last in England, until the end of October and into November."""
    midlands = garden(latitude=52.4, last="04-26", first="10-25", winter_low=-7.0)
    found = midlands.rank(sow, needs=needs, before=["potato-maincrop"], next_crop="winter-squash-pumpkin",
                          method="transplant", start=date(2027, 5, 28))
    assert "cereal-rye" in singles(found)[:3]


def test_rape_wants_a_rosette_before_winter(garden, knowledge):
    """common practice: British growers drill rape until the middle of September, and none in the second half of
    October."""
    climate = garden(latitude=52.4, last="04-26", first="10-25", winter_low=-7.0).climate()
    season = climate.season_at(date(2026, 9, 1))
    rape = knowledge.covers["forage-rape"]
    assert date(2026, 9, 8) <= cover_windows(rape, climate, season)[-1].last <= date(2026, 9, 30)
    assert late_windows(rape, climate, season)[-1].last < date(2026, 10, 16)


def test_maryland_opens_clay_with_rye_and_wheat(knowledge):
    """Maryland, Plant cover crops (read): their massive roots open clay; radish (Michigan, read) does it deepest."""
    rating = {cover: knowledge.covers[cover].ratings["structure"].mid for cover in (*CEREALS, RADISH)}
    assert all(2 <= rating[cereal] < rating[RADISH] for cereal in CEREALS)


@pytest.mark.parametrize("cover", ["cereal-rye", "oats", "white-mustard", "common-vetch"])
def test_the_day_after_the_last_safe_one_is_no_better_than_it(garden, knowledge, cover):
    """It follows from the meaning of the two: what is past its time is no nearer to it."""
    midlands = garden(latitude=52.4, last="04-26", first="10-25", winter_low=-7.0)
    climate = midlands.climate()
    last = cover_windows(knowledge.covers[cover], climate, climate.season_at(date(2026, 9, 1)))[-1].last
    on_it, after = (midlands.rank(date(2026, 8, 20), fixed=[cover], fixed_sown=day).options[0]
                    for day in (last, last + timedelta(1)))
    lost = [sum(reason.weight for reason in one.reasons if reason.key.startswith(("sown-late", "past-safe")))
            for one in (on_it, after)]
    assert lost[1] <= lost[0] < 0
    assert after.score <= on_it.score

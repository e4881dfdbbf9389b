"""The data keep what they promise: unit and source on every value, ranges in order, printed figures as printed."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest
from calgen.knowledge.names import folded
from calgen.knowledge.read import read_knowledge
from calgen.knowledge.values import knowledge_values, used_sources
from calgen.planner.choice.nitrogen import nitrogen_credit, pan_kg_per_t
from calgen.problems import Faults
from calgen.site.model import PURPOSES, SOIL_PROBLEMS, SOIL_TYPES
from calgen.yamlfile import compose

KNOWN = read_knowledge()
VALUES = list(knowledge_values(KNOWN))
QUANTITIES = [(path, value) for path, value in VALUES if hasattr(value, "unit")]
DATA = files("calgen.knowledge") / "data"
LB_PER_ACRE_G_M2 = 453.59237 / 4046.8564
LB_PER_ACRE_KG_HA = LB_PER_ACRE_G_M2 * 10


def test_there_is_much_to_know() -> None:
    assert len(KNOWN.covers) >= 45
    assert len(KNOWN.crops) >= 80
    assert len(VALUES) > 4000


def test_every_value_has_a_unit_and_a_source_that_is_defined() -> None:
    for path, value in VALUES:
        assert value.sources, path
        assert set(value.sources) <= set(KNOWN.sources), path
        assert value.mark in ("published", "memory", "judgement"), path
    for path, value in QUANTITIES:
        assert value.unit, path
        assert value.low <= value.high, path


def test_our_own_values_say_why_and_are_marked_as_ours() -> None:
    for path, value in QUANTITIES:
        if "own" in value.sources:
            assert value.why, path
            assert len(value.why) >= 7, path
        if set(value.sources) == {"own"}:
            assert value.mark == "judgement", path


def test_what_was_only_recalled_is_not_called_published() -> None:
    for path, value in QUANTITIES:
        seen = {KNOWN.sources[source].seen for source in value.sources}
        if seen <= {"memory"} and path[0] == "cover":
            assert value.mark != "published", path


def test_every_source_is_used_and_described() -> None:
    assert set(KNOWN.sources) - {"own"} <= used_sources(KNOWN)
    for source in KNOWN.sources.values():
        assert len(source.title) > 3
        assert source.seen == "own" or source.author or source.reference, source.id


@pytest.mark.parametrize("folder", ["covers", "crops", "."])
def test_the_shipped_files_pass_the_strict_reader_of_yaml(folder: str) -> None:
    for path in (DATA / folder).iterdir():
        if path.name.endswith(".yaml"):
            faults = Faults()
            compose(path.read_bytes(), path.name, faults)
            assert not faults.found


def test_a_file_is_named_after_its_plant() -> None:
    for folder, plants in (("covers", KNOWN.covers), ("crops", KNOWN.crops)):
        assert {path.name for path in (DATA / folder).iterdir()} == {f"{plant}.yaml" for plant in plants}


def test_no_name_stands_for_two_covers_and_no_code_for_two_plants() -> None:
    seen: dict[str, str] = {}
    for cover in KNOWN.covers.values():
        for name in {folded(word) for word in (cover.id, cover.names.name, cover.names.botanical, *cover.names.also)}:
            assert seen.setdefault(name, cover.id) == cover.id, name
    codes = [cover.names.code for cover in KNOWN.covers.values()]
    assert len(set(codes)) == len(codes)


@pytest.mark.parametrize(("name", "cover"), [
    ("winter rye", "cereal-rye"), ("Grazing rye", "cereal-rye"), ("hungarian grazing rye", "cereal-rye"),
    ("tares", "common-vetch"), ("winter tares", "common-vetch"), ("yellow mustard", "white-mustard"),
    ("mustard", "white-mustard"), ("fodder radish", "tillage-radish"), ("daikon", "tillage-radish"),
    ("oilseed radish", "tillage-radish"), ("bell bean", "field-bean"), ("tick bean", "field-bean"),
    ("fava", "field-bean"), ("Austrian winter pea", "field-pea"), ("alfalfa", "lucerne"), ("linseed", "flax"),
    ("Italian ryegrass", "annual-ryegrass"), ("yellow trefoil", "black-medic"), ("sudex", "sorghum-sudangrass"),
    ("Secale cereale", "cereal-rye"), ("lamb's lettuce", "corn-salad"), ("velvetbean", "velvet-bean"),
    ("tagetes", "marigold"), ("rape", "forage-rape"), ("egyptian clover", "berseem-clover"),
])
def test_growers_names_on_both_sides_of_the_atlantic_find_the_cover(name: str, cover: str) -> None:
    """Synonyms: common practice."""
    index = {folded(word): one.id for one in KNOWN.covers.values()
             for word in (one.id, one.names.name, one.names.botanical, *one.names.also)}
    assert index[folded(name)] == cover


def test_every_cover_is_rated_for_every_purpose_and_soil() -> None:
    for cover in KNOWN.covers.values():
        assert set(cover.ratings) == set(PURPOSES)
        assert set(cover.soil_fit) == {*SOIL_TYPES, *SOIL_PROBLEMS}
        assert set(cover.wait_weeks) == {"small-seed", "large-seed", "transplant"}
        assert cover.wait_weeks["transplant"].mid <= cover.wait_weeks["small-seed"].mid + 1.01, cover.id
        assert cover.fixes_nitrogen == (cover.ratings["nitrogen"].mid >= 2), cover.id
        assert cover.fixes_nitrogen <= (cover.kind == "legume")
        assert cover.ends
        assert {"vegetative", "flowering", "mature"} == set(cover.n_percent) == set(cover.c_to_n)


def test_nitrogen_falls_and_carbon_to_nitrogen_rises_with_age() -> None:
    """Common finding; PNW 636, NRCS 2011."""
    for cover in KNOWN.covers.values():
        n, c = cover.n_percent, cover.c_to_n
        assert n["vegetative"].mid >= n["flowering"].mid >= n["mature"].mid, cover.id
        assert c["vegetative"].mid <= c["flowering"].mid <= c["mature"].mid, cover.id


def test_carbon_is_about_two_fifths_of_the_dry_matter() -> None:
    """Plant dry matter holds 40-45 % carbon (common finding), so % nitrogen times C:N lies near 42."""
    for cover in KNOWN.covers.values():
        for stage, percent in cover.n_percent.items():
            ratio = cover.c_to_n[stage]
            assert percent.low * ratio.low <= 48, (cover.id, stage)
            assert percent.high * ratio.high >= 36, (cover.id, stage)


def _pounds(quoted: str | None) -> tuple[float, float] | None:
    found = re.fullmatch(r"([\d,]+)-([\d,]+) lb(?: dry matter| N)?/acre", quoted or "")
    return (float(found[1].replace(",", "")), float(found[2].replace(",", ""))) if found else None


@pytest.mark.parametrize(("field", "factor"), [
    ("seed_broadcast_g_m2", LB_PER_ACRE_G_M2), ("seed_drilled_g_m2", LB_PER_ACRE_G_M2),
    ("biomass_t_ha", LB_PER_ACRE_KG_HA / 1000), ("n_total_kg_ha", LB_PER_ACRE_KG_HA),
])
def test_figures_printed_in_pounds_an_acre_are_converted_rightly(field: str, factor: float) -> None:
    checked = 0
    for cover in KNOWN.covers.values():
        value = getattr(cover, field)
        printed = _pounds(value.quoted)
        if printed and "own" not in value.sources:
            checked += 1
            for ours, pounds in zip((value.low, value.high), printed, strict=True):
                assert ours == pytest.approx(pounds * factor, rel=0.06, abs=0.06), (cover.id, value.quoted)
    assert checked >= 9


def test_figures_printed_in_fahrenheit_are_converted_rightly() -> None:
    checked = 0
    for path, value in QUANTITIES:
        found = re.fullmatch(r"(-?\d+) F", value.quoted or "")
        if found and value.unit == "C" and value.low == value.high:
            checked += 1
            assert value.low == pytest.approx((float(found[1]) - 32) / 1.8, abs=0.35), path
    assert checked >= 15


# cover, temperature at which published accounts say it dies, °C, source
DIES_AT = [
    ("buckwheat", 0.0, "Cornell, after first light frost"),
    ("white-mustard", -3.9, "SARE handbook, 25 F (from memory)"),
    ("brown-mustard", -3.9, "SARE handbook, 25 F (from memory)"),
    ("tillage-radish", -8.3, "Penn State: alive to 17 F"),
    ("oats", -8.3, "Penn State: alive to 17 F"),
    ("oats", -6.7, "Dawling: three nights at 20 F"),
    ("oats", -9.4, "Iowa State: about 15 F"),
    ("barley", -8.3, "Dawling: spring types at 17 F"),
    ("phacelia", -7.8, "Small Farm Success Project: 18 F"),
    ("field-pea", -12.2, "Virginia: winter field pea hardy to 10 F"),
    ("field-pea", -9.4, "Iowa State: spring pea about 15 F"),
    ("cereal-rye", -35.0, "University of Georgia: -31 F"),
]


@pytest.mark.parametrize(("cover", "temperature_c", "source"), DIES_AT)
def test_covers_die_where_publications_say(cover: str, temperature_c: float, source: str) -> None:
    """Tolerance 2.5 °C: accounts of one cover differ by as much."""
    kill = KNOWN.covers[cover].kill_c
    assert kill.low - 2.5 <= temperature_c <= kill.high + 2.5, source


def test_tender_covers_are_dead_after_a_night_of_five_degrees_of_frost() -> None:
    """Penn State saw cowpea, sunn hemp and sorghum-sudangrass dead after 23 F (-5 C); Cornell buckwheat after less."""
    for cover in ("buckwheat", "cowpea", "sunn-hemp", "sorghum-sudangrass"):
        assert KNOWN.covers[cover].hurt_by_first_frost
        assert KNOWN.covers[cover].kill_c.low >= -5


# cover, a word that its cautions must hold: usual warnings of handbooks of poisonous plants, and common practice
CAUTIONS = [
    ("hairy-vetch", "poison"), ("common-vetch", "poison"), ("woollypod-vetch", "poison"), ("field-bean", "favism"),
    ("broad-bean", "favism"), ("bitter-blue-lupin", "poison"), ("bitter-blue-lupin", "allergen"),
    ("white-mustard", "vapours"), ("brown-mustard", "vapours"), ("tillage-radish", "vapours"),
    ("white-mustard", "bees"), ("phacelia", "bees"), ("crimson-clover", "bees"), ("buckwheat", "bees"),
    ("hairy-vetch", "bees"), ("sorghum-sudangrass", "prussic"), ("sudangrass", "prussic"), ("sunn-hemp", "poison"),
    ("velvet-bean", "poison"), ("buckwheat", "skin"), ("alsike-clover", "horses"), ("cereal-rye", "ergot"),
    ("hairy-vetch", "local list"), ("sweet-clover", "local list"), ("annual-ryegrass", "local list"),
    ("black-medic", "local list"), ("phacelia", "rash"), ("flax", "prussic"),
]


@pytest.mark.parametrize(("cover", "word"), CAUTIONS)
def test_what_can_hurt_someone_is_said(cover: str, word: str) -> None:
    assert any(word in caution.text for caution in KNOWN.covers[cover].cautions)


def test_a_caution_stands_only_where_it_belongs() -> None:
    favism = {cover.id for cover in KNOWN.covers.values() if any("favism" in one.text for one in cover.cautions)}
    assert favism == {"field-bean", "broad-bean"}


def test_mixtures_are_sown_at_published_rates() -> None:
    shares = {mixture.covers: dict(zip(mixture.covers, mixture.shares, strict=True)) for mixture in KNOWN.mixtures}
    rye, vetch = (KNOWN.covers[cover].seed_broadcast_g_m2.mid for cover in ("cereal-rye", "hairy-vetch"))
    pair = shares["cereal-rye", "hairy-vetch"]
    assert pair["cereal-rye"].low * rye - 1 <= 7.8 <= pair["cereal-rye"].high * rye + 1, "Cornell: 70 lb an acre"
    for grams in (2.2, 2.8):
        assert pair["hairy-vetch"].low * vetch - 0.3 <= grams <= pair["hairy-vetch"].high * vetch + 0.3, "20-25 lb"
    for cover in ("oats", "field-pea"):
        assert shares["oats", "field-pea"][cover].mid == pytest.approx(0.6), "Maryland: 60 percent of each"
    assert shares["winter-wheat", "crimson-clover"]["crimson-clover"].low <= 2 / 3, "Michigan State: two thirds"
    assert shares["winter-wheat", "crimson-clover"]["crimson-clover"].high >= 2 / 3


def test_members_of_a_mixture_can_be_sown_together() -> None:
    for mixture in KNOWN.mixtures:
        assert len(mixture.covers) == len(mixture.shares) >= 2
        assert len(set(mixture.covers)) == len(mixture.covers)
        seasons = set.intersection(*(_broad(KNOWN.covers[cover].seasons) for cover in mixture.covers))
        assert seasons, mixture.covers


def _broad(seasons: tuple[str, ...]) -> set[str]:
    return {"autumn" if season == "late-summer" else season for season in seasons}


def test_the_choice_finds_its_numbers() -> None:
    weights = [KNOWN.practice[f"choice-{part}"].mid for part in ("purpose", "next", "ending", "soil", "establish")]
    assert sum(weights) == 100


def test_nitrogen_for_the_next_crop_is_as_published() -> None:
    """PNW 636: 35 lb a US ton at 3.5 % N, none at 1.5 %; to 100 lb an acre from legumes, 50 lb tied up by cereals."""
    assert pan_kg_per_t(3.5) == pytest.approx(35 / 2000 * 1000)
    assert pan_kg_per_t(1.5) == pytest.approx(0)
    assert nitrogen_credit((20.0, 20.0), (3.5, 3.5))[1] == pytest.approx(100 * LB_PER_ACRE_KG_HA, rel=0.01)
    assert nitrogen_credit((20.0, 20.0), (0.5, 0.5))[0] == pytest.approx(-50 * LB_PER_ACRE_KG_HA, rel=0.01)


def test_mulches_are_laid_as_deep_as_published() -> None:
    """University of Maine: straw 6 to 8 inches loose; leaves 10-15 cm (common practice)."""
    straw, leaves = KNOWN.mulches["straw"].depth_mm, KNOWN.mulches["leaves"].depth_mm
    assert (straw.low, straw.high) == (pytest.approx(6 * 25.4, rel=0.03), pytest.approx(8 * 25.4, rel=0.03))
    assert (leaves.low, leaves.high) == (100, 150)
    assert all(mulch.notes for mulch in KNOWN.mulches.values())

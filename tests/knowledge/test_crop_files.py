"""The crop files: complete, honest about their sources, and agreeing with what was published."""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING

import pytest
from calgen.knowledge.crop_file import crop
from calgen.knowledge.model import Crop, Quantity, Source, Words
from calgen.knowledge.read import read_knowledge
from calgen.problems import Faults, InputError
from calgen.yamlfile import compose

if TYPE_CHECKING:
    from collections.abc import Iterator

DATA = files("calgen.knowledge") / "data"
KNOWN = read_knowledge()
CROPS = KNOWN.crops
SOURCES = {"handbook": Source("handbook", "A handbook", "Someone", "1999", None, "read"),
           "own": Source("own", "Our judgement", "calgen", None, None, "own")}


def quantities(plant: Crop) -> Iterator[tuple[str, Quantity]]:
    """Every number of a crop with the name of its field."""
    for name in plant.__struct_fields__:
        value = getattr(plant, name)
        if isinstance(value, Quantity):
            yield name, value
        elif isinstance(value, dict):
            yield from ((f"{name} {method}", number) for method, number in value.items())
    if plant.undersow.from_days:
        yield "undersow", plant.undersow.from_days


def test_each_file_is_named_after_its_crop() -> None:
    stems = {path.name.removesuffix(".yaml") for path in (DATA / "crops").iterdir() if path.name.endswith(".yaml")}
    assert stems == set(CROPS)


def test_codes_and_names_belong_to_one_crop() -> None:
    codes = [plant.names.code for plant in CROPS.values()]
    assert len(codes) == len(set(codes))
    owners: dict[str, str] = {}
    for plant in CROPS.values():
        for name in {plant.names.name, plant.id.replace("-", " "), *plant.names.also}:
            assert owners.setdefault(name.casefold(), plant.id) == plant.id, name
    assert all(len(plant.names.short) <= 8 for plant in CROPS.values())


def test_every_number_says_where_it_comes_from() -> None:
    for plant in CROPS.values():
        for field, number in quantities(plant):
            assert number.sources, (plant.id, field)
            assert set(number.sources) <= set(KNOWN.sources), (plant.id, field)
            assert "own" not in number.sources or (number.why and len(number.why) > 10), (plant.id, field)
            assert number.low <= number.high, (plant.id, field)
            assert number.mark == ("judgement" if number.sources[0] == "own" else number.mark), (plant.id, field)


def test_every_crop_source_is_used() -> None:
    listed = compose((DATA / "sources-crops.yaml").read_bytes(), "sources-crops.yaml", Faults()).entries
    used: set[str] = set()
    for plant in CROPS.values():
        used.update(source for _, number in quantities(plant) for source in number.sources)
        used.update(plant.undersow.sources)
        statements: tuple[Words, ...] = plant.notes + plant.cautions
        used.update(source for statement in statements for source in statement.sources)
    assert set(listed) <= used


def test_what_the_planner_needs_is_known_of_every_crop() -> None:
    for plant in CROPS.values():
        assert plant.soil_min_c, plant.id
        assert plant.kill_c, plant.id
        assert plant.damage_c, plant.id
        assert plant.methods, plant.id
        assert plant.kill_c.low <= plant.damage_c.high, plant.id


@pytest.mark.parametrize(("name", "plant"), [
    ("zucchini", "courgette-summer-squash"), ("eggplant", "aubergine"), ("fava bean", "broad-bean-spring"),
    ("rutabaga", "swede"), ("beet", "beetroot"), ("arugula", "rocket"), ("cilantro", "coriander"),
    ("scallion", "spring-onion"), ("snap bean", "french-bean-bush"), ("green bean", "french-bean-bush"),
    ("Swiss chard", "chard"), ("bok choy", "pak-choi-chinese-cabbage"), ("mache", "corn-salad"),
    ("garden pea", "pea"), ("sunchoke", "jerusalem-artichoke"), ("bell pepper", "pepper"), ("muskmelon", "melon"),
    ("edamame", "soya-bean"), ("black-eyed pea", "cowpea"), ("rapini", "broccoli-raab"),
])
def test_british_and_american_names_find_the_crop(name: str, plant: str) -> None:
    found = KNOWN.plant(name)
    assert found is not None
    assert found.id == plant


@pytest.mark.parametrize(("plant", "field", "low", "high", "source"), [
    ("beetroot", "maturity_days", 55, 65, "University of Missouri G6201"),
    ("cauliflower", "maturity_days", 65, 75, "University of Missouri G6201, from transplants"),
    ("garlic", "maturity_days", 250, 270, "University of Maryland GE-007"),
    ("okra", "maturity_days", 60, 70, "Oklahoma HLA-6004"),
    ("sweet-corn", "maturity_dd", 855, 855, "Oregon State University, 1539 F degree days"),
    ("sweet-corn", "base_c", 10, 10, "Oregon State University, 50 F"),
    ("tomato", "germination_min_c", 10, 10, "Texas A&M, 50 F"),
    ("tomato", "germination_max_c", 35, 35, "Texas A&M, 95 F"),
    ("spinach", "germination_min_c", 1.7, 1.7, "Texas A&M, 35 F"),
    ("cucumber", "germination_best_c", 35, 35, "Texas A&M, 95 F"),
    ("pea", "germination_max_c", 29.4, 29.4, "University of Florida, 85 F"),
    ("beetroot", "soil_min_c", 7.2, 7.2, "Texas A&M, 45 F practical minimum"),
    ("tomato", "indoors_weeks", 5, 9, "Iowa State 5-7, Penn State 8-9"),
    ("pepper", "indoors_weeks", 6, 9, "Iowa State 6-8, Penn State 8-9"),
    ("cabbage-summer", "disease_gap_years", 7, 7, "University of Connecticut, clubroot"),
    ("strawberry", "disease_gap_years", 4, 4, "University of Connecticut, Verticillium"),
    ("lettuce", "gap_years", 2, 3, "Iowa State"),
    ("spinach", "damage_c", -7, -7, "Clemson, 20 F"),
    ("broccoli-calabrese", "damage_c", -4, -4, "University of Missouri"),
])
def test_figures_are_those_published(plant: str, field: str, low: float, high: float, source: str) -> None:
    number = getattr(CROPS[plant], field)
    assert (number.low, number.high) == pytest.approx((low, high)), source


@pytest.mark.parametrize(("plant", "word"), [
    ("french-bean-bush", "boil hard"), ("climbing-bean", "boil hard"), ("runner-bean", "boil hard"),
    ("dry-bean", "boil hard"), ("lima-bean", "raw"), ("potato-early", "Green"), ("potato-maincrop", "Green"),
    ("broad-bean-spring", "G6PD"), ("broad-bean-autumn", "G6PD"), ("rhubarb", "oxalic"), ("parsnip", "Sap"),
    ("celery", "Sap"), ("courgette-summer-squash", "bitter"), ("cucumber", "bitter"), ("gourd", "never eat"),
    ("winter-squash-pumpkin", "bitter"), ("tomato", "not for eating"), ("peanut", "allergen"), ("chilli", "gloves"),
])
def test_usual_cautions_are_given(plant: str, word: str) -> None:
    assert any(word in caution.text for caution in CROPS[plant].cautions)


GOOD = """
id: test-beet
name: test beet
short: Beet
code: TB
botanical: Beta tester
family: Amaranthaceae
rotation-group: beet-spinach
feeding: medium
hardiness: half-hardy
methods: [direct]
seed-size: small
spring:
  direct: {value: [-5, 0], unit: weeks, source: handbook}
stands-winter: no
perennial: no
maturity-days: {value: [55, 65], unit: days, source: handbook}
counted-from: sowing
harvest-days: {value: 28, unit: days, source: handbook}
base-c: {value: 4.4, unit: C, source: own, why: taken like spinach}
in-row-cm: {value: 8, unit: cm, source: handbook}
rows-cm: {value: 46, unit: cm, source: handbook}
undersow: {possible: no, note: Too close., source: own}
"""


def faults(text: str) -> list[str]:
    found = Faults()
    assert (crop(compose(text.encode(), "beet.yaml", found), SOURCES) is None) == bool(found.found)
    return [str(problem) for problem in found.found]


def test_a_small_file_is_enough() -> None:
    assert not faults(GOOD)


@pytest.mark.parametrize(("change", "becomes", "message"), [
    ("unit: days, source: handbook}\ncounted", "unit: days}\ncounted", 'maturity-days: has no source; add "source"'),
    ("value: 28, unit: days", "value: 28, unit: weeks", 'harvest-days: unit: "weeks" is no unit for this; known: days'),
    ("source: own, why: taken like spinach", "source: own", 'base-c: is our own; add "why"'),
    ("value: [55, 65]", "value: [65, 55]", "maturity-days: value: the range runs backwards"),
    ("value: [55, 65]", "value: [5, 65]", "maturity-days: value: is out of bounds (15 to 1500 days)"),
    ("source: handbook}\nrows", "source: hearsay}\nrows",
     'in-row-cm: source: "hearsay" is no source; known: handbook, own'),
    ("methods: [direct]", "methods: [direct, transplant]",
     'has no dates for its method "transplant"; add them under spring, autumn-latest, overwinter'),
    ("hardiness: half-hardy", "hardines: half-hardy", 'unknown key "hardines"; did you mean "hardiness"?'),
    ("code: TB", "code: BEET", 'code: "BEET" is no code of 2 or 3 letters'),
    ("short: Beet", "short: Beetrootish", 'short: "Beetrootish" is longer than 8 letters'),
    ("possible: no", "possible: yes", 'undersow: is possible but has no "from-days"; add it'),
])
def test_what_is_wrong_in_a_crop_file_is_told(change: str, becomes: str, message: str) -> None:
    assert change in GOOD
    assert any(problem.endswith(message) for problem in faults(GOOD.replace(change, becomes))), \
        faults(GOOD.replace(change, becomes))


def test_a_file_without_anything_is_refused() -> None:
    with pytest.raises(InputError):
        compose(b"", "beet.yaml", Faults())

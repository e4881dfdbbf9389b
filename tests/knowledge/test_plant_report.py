"""What ``calgen plants`` prints: everything known, with sources, marks and cautions, in text and as data."""

import json

import pytest
from calgen.knowledge.read import read_knowledge
from calgen.knowledge.report import plant_data, plant_text, value_counts_text
from calgen.knowledge.values import knowledge_values, plant_values

KNOWN = read_knowledge()


def test_the_list_names_every_plant_once_with_its_synonyms() -> None:
    text = plant_text(KNOWN, None)
    for plant in (*KNOWN.crops.values(), *KNOWN.covers.values()):
        assert f"{plant.names.name} (" in text
    assert "winter tares" in text
    assert len(plant_data(KNOWN, None)["plants"]) == len(KNOWN.crops) + len(KNOWN.covers)


def test_a_cover_is_told_with_sources_marks_and_cautions() -> None:
    text = plant_text(KNOWN, "Winter Tares")
    assert text.startswith("common vetch (Vicia sativa), cover, Fabaceae")
    assert "seed broadcast: 4.5 to 9 g/m² (printed: 40-80 lb/acre) [ucanr-prune]" in text
    assert "our judgement" in text
    assert "from memory" in text
    assert "caution: vetch seed is poisonous" in text
    assert "[ucanr-prune] University of California ANR" in text
    assert max(len(line) for line in text.splitlines()) <= 100


def test_every_source_that_a_plant_rests_on_is_spelt_out_below_it() -> None:
    for plant in (*KNOWN.crops.values(), *KNOWN.covers.values()):
        text = " ".join(plant_text(KNOWN, plant.id).split())
        for _, value in plant_values(plant):
            for source in set(value.sources) - {"own"}:
                assert KNOWN.sources[source].title.rstrip(".")[:20] in text


def test_a_plant_that_is_crop_and_cover_is_told_as_both() -> None:
    text = plant_text(KNOWN, "lamb's lettuce")
    assert ", crop, " in text
    assert ", cover, " in text
    assert [plant["is"] for plant in plant_data(KNOWN, "lamb's lettuce")["plants"]] == ["crop", "cover"]


def test_a_near_miss_is_suggested_and_nonsense_is_not() -> None:
    with pytest.raises(LookupError, match=r'"cereal rey" is no plant known here; did you mean "cereal rye"\?'):
        plant_text(KNOWN, "cereal rey")
    with pytest.raises(LookupError, match="calgen plants lists all"):
        plant_data(KNOWN, "qqqq")


def test_data_hold_every_value_of_the_plant() -> None:
    data = json.loads(json.dumps(plant_data(KNOWN, "phacelia")))
    values = data["plants"][0]["values"]
    assert values["kill_c"]["quoted"] == "18 F"
    assert values["ratings"]["pollinators"]["low"] == 4
    assert values["cautions"]["1"]["text"]
    count = sum(1 for _ in plant_values(KNOWN.covers["phacelia"]))
    assert str(data).count("'mark'") == count


def test_counts_add_up() -> None:
    lines = [line.split() for line in value_counts_text(KNOWN).splitlines()[1:-1]]
    together = lines[-1]
    assert together[0] == "together"
    for column in (1, 2, 3, 4):
        assert sum(int(line[column]) for line in lines[:-1]) == int(together[column])
    assert int(together[4]) == sum(1 for _ in knowledge_values(KNOWN))

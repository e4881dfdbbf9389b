"""Facts as a grower reads them: units by exact conversions, names joined, nothing that reads odd."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from calgen.command.load import desk_of
from calgen.planner.model import Reason
from calgen.schedule.span import ground, label
from calgen.schedule.wording import Speaker, template
from calgen.site.model import Size


@pytest.fixture(scope="module")
def metric() -> Speaker:
    text = "site: T\nlatitude: 52\nfrost: {last: 28 April, first: 19 October}\nchart-starts: September 2026\n" \
           "beds:\n  B:\n    size: 1 x 1 m\n    order: [{crop: leek}]\n"
    return desk_of(text.encode(), Path("t.yaml")).speaker


@pytest.fixture(scope="module")
def us(metric: Speaker) -> Speaker:
    return Speaker(metric.wording, metric.knowledge, "us")


# International yard and pound, 1959: 1 in = 25.4 mm, 1 lb = 453.59237 g; US gallon 3.785411784 l; °F = °C * 9/5 + 32;
# 10 kg/ha = 1 g/m²
@pytest.mark.parametrize(("name", "value", "in_metric", "in_us"), [
    ("depth_mm", 25.4, "25 mm", "1.0 in"),
    ("root_cm", 60, "60 cm", "24 in"),
    ("area_m2", 0.09290304 * 100, "9.3 m²", "100 sq ft"),
    ("seed_g", 453.59237, "454 g", "1.0 lb"),
    ("seed_g", 28.349523125, "28 g", "1.0 oz"),
    ("seed_g", 1500, "1.5 kg", "3.3 lb"),
    ("low_c", -40, "−40 °C", "−40 °F"),
    ("low_c", 0, "0 °C", "32 °F"),
    ("depth_mm", 13, "13 mm", "0.5 in"),
    ("depth_mm", 38.1, "40 mm", "1.5 in"),
    ("rows_cm", 45.72, "45 cm", "18 in"),
    ("rows_cm", 30.48, "30 cm", "12 in"),
    ("pot_litres", 37.85411784, "37.9 l", "10 gal"),
    ("pot_litres", 30, "30 l", "7.9 gal"),
    ("volume_litres", 28.316846592, "28 l", "1.0 cu ft"),
    ("nitrogen_kg_ha", 100, "10 g/m²", "3.3 oz/100 sq ft"),
])
def test_a_fact_has_the_unit_of_its_name(metric: Speaker, us: Speaker, name: str, value: float, in_metric: str,
                                         in_us: str) -> None:
    assert metric.shown(name, value) == in_metric
    assert us.shown(name, value) == in_us


def test_what_rounds_to_nothing_has_no_minus(us: Speaker) -> None:
    assert us.shown("low_c", -17.9) == "0 °F"


@pytest.mark.parametrize(("share", "tenths"), [(0.26, "3"), (0.5, "5"), (0.94, "9"), (0.06, "1")])
def test_a_chance_is_told_in_tenths(metric: Speaker, share: float, tenths: str) -> None:
    assert tenths in metric.shown("kill_chance", share)
    assert "10" in metric.shown("kill_chance", share)


def test_names_of_a_mixture_are_joined_in_words(metric: Speaker) -> None:
    assert metric.listed(("leek",)) == "leek"
    assert metric.listed(("cereal-rye", "hairy-vetch")) == "cereal rye with hairy vetch"
    assert metric.listed(()) == ""


def test_days_follow_the_units(metric: Speaker, us: Speaker) -> None:
    assert metric.day(date(2028, 2, 29)) == "29 February"
    assert us.day(date(2028, 2, 29)) == "February 29"


def test_two_halves_make_one_sentence(metric: Speaker) -> None:
    sentence = metric.reason(Reason("clear-for-undersown|clear-for-undersown"))
    assert sentence[0].isupper()
    assert sentence.count("already growing") == 2


@pytest.mark.parametrize("text", ["Sow {crop", "Sow {crop!r}", "Sow {crop:>9}", "Sow {0}", "Sow {a.b}", "Sow {}"])
def test_only_the_name_of_a_fact_stands_in_braces(text: str) -> None:
    with pytest.raises(ValueError, match="brace"):
        template(text)


def test_ground_is_told_as_bed_area_or_pots(metric: Speaker, us: Speaker) -> None:
    bed = Size(7.2, length_m=6.0, width_m=1.2)
    assert "7.2 m²" in ground(bed, metric)
    assert "78 sq ft" in ground(bed, us)   # 7.2 / 0.09290304 = 77.5
    assert "6" in ground(Size(0.4, pots=6, pot_litres=30), metric)


def test_every_plant_and_mulch_has_a_label(metric: Speaker) -> None:
    known = metric.knowledge
    for kind, plants in (("crop", known.crops), ("cover", known.covers), ("mulch", known.mulches)):
        for plant in plants:
            made = label((plant,), kind, metric)
            assert made.name
            assert 0 < len(made.short) <= len(made.name) + 2
            assert made.code
    assert label((), "bare", metric).name
    assert label(("residue",), "mulch", metric).code == "~"

"""Advice in words: one line a reason for refusals, no keys, no repeats; and what would change the answer."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen.cli import main
from calgen.command.load import desk_of, template_bytes
from calgen.command.words import sections
from calgen.knowledge.read import read_knowledge
from calgen.planner.choice.what_if import changes
from calgen.planner.model import Reason
from calgen.schedule.advice import advice
from calgen.schedule.wording import Speaker
from calgen.schedule.wording_file import read_wording

if TYPE_CHECKING:
    from calgen.command.load import Desk

SITE = """
site: Ash corner
latitude: 52.5
frost: {last: 22 April, first: 4 November}
winter-low: -6
warmest-month: 16.9
units: @
chart-starts: September 2026
beds:
  One:
    size: 1.2 x 6 m
    order:
      - {crop: maincrop potato, planted: 2026-04-11, cleared: 2026-10-10}
      - cover: choose
      - crop: lettuce
  Two:
    size: 1.2 x 6 m
    order:
      - {crop: parsnip, sown: 2026-03-28, cleared: 2026-12-19}
      - cover: choose
      - crop: lettuce
  Three:
    size: 1.2 x 6 m
    order:
      - {crop: onion sets, planted: 2026-03-25, cleared: 2026-08-22}
      - cover: choose
      - crop: courgette
"""


def garden(units: str = "metric") -> Desk:
    return desk_of(SITE.replace("@", units).encode(), Path("ash.yaml"))


@pytest.mark.parametrize("units", ["metric", "us"])
def test_advice_has_no_keys_no_repeats_and_the_sites_units(units: str) -> None:
    found = garden(units)
    for bed in found.plan.beds:
        for choice in bed.choices:
            told = advice(choice, found.speaker, changes(choice, found.climate, found.knowledge))
            lines = [told.headline, *told.reasons, told.runner_up, *told.would_change, *told.rejected,
                     *told.uncertain]
            assert len(set(lines)) == len(lines)
            text = " ".join(lines)
            assert not re.search(r"\(\w+_\w+\)|[{}]|\bkg/ha\b|\bt/ha\b", text)
            assert not re.search(r"\b(gives|change|refused|tried|took|together)-[a-z]", text)
            assert not re.search(r"\bg/m²|\bmm\b|°C", text) or units == "metric"


def test_covers_refused_for_one_reason_are_told_together() -> None:
    found = garden()
    choice = found.plan.beds[1].choices[0]
    told = advice(choice, found.speaker)
    late = next(line for line in told.rejected if line.startswith("Too late"))
    assert "buckwheat" in late
    assert "crimson clover" in late
    singles = {entry.covers[0] for entry in choice.ranking.rejected if len(entry.covers) == 1}
    names = [name for line in told.rejected for name in line.rpartition(": ")[2].rstrip(".").split(", ")]
    assert len(names) == len(singles)


def test_an_earlier_day_would_spare_the_mulch() -> None:
    """Common practice: rye and its like still go in in late autumn, nothing in December."""
    found = garden()
    choice = found.plan.beds[1].choices[0]
    assert choice.chosen is None
    told = [reason for reason in changes(choice, found.climate, found.knowledge) if reason.key == "change-earlier"]
    assert len(told) == 1
    assert told[0].facts["date"] < choice.slot.free_from


def test_only_other_answers_are_told() -> None:
    found = garden()
    for bed in found.plan.beds:
        for choice in bed.choices:
            for reason in changes(choice, found.climate, found.knowledge):
                assert choice.chosen is None or reason.facts.get("covers") != choice.chosen.ids


def test_what_the_grower_named_is_not_questioned() -> None:
    found = desk_of(SITE.replace("@", "metric").replace("cover: choose", "cover: cereal rye").encode(),
                    Path("ash.yaml"))
    assert not any(changes(choice, found.climate, found.knowledge) for bed in found.plan.beds
                   for choice in bed.choices)


def test_why_tells_it_in_json_and_in_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "ash.yaml"
    path.write_text(SITE.replace("@", "metric"), "utf-8")
    assert main(["why", str(path), "Two", "--json"]) == 0
    slot = json.loads(capsys.readouterr().out)["slots"][0]
    assert [entry["if"] for entry in slot["would_change"]] == ["earlier"]
    assert slot["would_change"][0]["covers"]
    assert slot["preferred"] == []
    assert main(["why", str(path), "Two"]) == 0
    text = capsys.readouterr().out
    assert "What would change this:" in text
    assert max(map(len, text.splitlines())) <= 96


def test_a_range_names_its_unit_once_and_a_small_purpose_is_told_as_small() -> None:
    """Common practice of writing: 5 to 14 g/m²; and a bed covered a tenth of the time does not leave weeds little room.
    """
    words = read_wording(*template_bytes("wording-en.yaml", None), fixed=sections())
    speaker = Speaker(words, read_knowledge(), "metric")
    facts = {"low_kg_ha": 53.0, "high_kg_ha": 142.0, "covered_share": 0.1}
    assert "5.3 to 14 g/m²" in speaker.reason(Reason("gives-nitrogen", {**facts, "share": 0.8}))
    assert "little room" in speaker.reason(Reason("gives-weeds", {**facts, "share": 0.8}))
    assert speaker.reason(Reason("gives-weeds", {**facts, "share": 0.1})).startswith("Does little")

"""Covers for all beds together, against every combination on small random gardens."""

from __future__ import annotations

import random
from itertools import product
from pathlib import Path

import pytest
from calgen.command.load import desk_of
from calgen.planner import together as module
from calgen.planner.together import Candidate, Terms, together, total

KINDS = ("rye", "oats", "vetch", "clover", "phacelia", "radish")
PLAIN = Terms({}, 6.0, 1.5, 3.0, 2)


def garden(seed: int, slots: int) -> tuple[list[list[Candidate]], Terms]:
    """Slots with two to four near-equal options, some of them mixtures, and a tin of one or two covers."""
    chance = random.Random(seed)
    found = []
    for _ in range(slots):
        top = chance.uniform(30, 80)
        kinds = chance.sample([(kind,) for kind in KINDS] + [("rye", "vetch"), ("oats", "vetch")], chance.randint(2, 4))
        options = [Candidate(kind, top - chance.uniform(0, 8) * bool(index), {
            cover: chance.uniform(10, 100) for cover in kind}) for index, kind in enumerate(kinds)]
        found.append(options)
    tin = {kind: chance.uniform(20, 300) for kind in chance.sample(KINDS, chance.randint(0, 2))}
    return found, Terms(tin, 6.0, 1.5, 3.0, max(2, slots // 3))


def best(slots: list[list[Candidate]], terms: Terms) -> float:
    """The value of the best of all combinations."""
    return max(total(slots, picked, terms) for picked in product(*(range(len(slot)) for slot in slots)))


@pytest.mark.parametrize("seed", range(25))
def test_small_gardens_are_solved_exactly(seed: int) -> None:
    slots, terms = garden(seed, 3 + seed % 5)
    assert total(slots, together(slots, terms), terms) == pytest.approx(best(slots, terms))


def test_large_gardens_come_near_the_best(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the way of large gardens loses on small ones: under half a point a garden, no garden over five points."""
    monkeypatch.setattr(module, "EXACT_UP_TO", 0)
    lost = []
    for seed in range(40):
        slots, terms = garden(seed, 3 + seed % 5)
        lost.append(best(slots, terms) - total(slots, together(slots, terms), terms))
    assert min(lost) > -1e-6
    assert sum(lost) / len(lost) < 0.5
    assert max(lost) < 5


def option(kind: str, score: float, grams: float = 50.0) -> Candidate:
    return Candidate((kind,), score, {kind: grams})


def test_alone_a_slot_takes_its_own_best() -> None:
    assert together([[option("rye", 60), option("oats", 58)]], PLAIN) == (0,)


def test_seed_in_the_tin_goes_first() -> None:
    tin = Terms({"oats": 60.0}, 6.0, 1.5, 3.0, 2)
    assert together([[option("rye", 60), option("oats", 56)]], tin) == (1,)


def test_one_more_kind_is_not_bought_for_a_little() -> None:
    assert together([[option("rye", 60)], [option("oats", 60), option("rye", 59)]], PLAIN) == (0, 1)


def test_no_cover_fills_the_garden() -> None:
    slots = [[option("rye", 60), option("oats", 59), option("vetch", 59)] for _ in range(6)]
    picked = together(slots, PLAIN)
    assert sorted(picked) == [0, 0, 1, 1, 2, 2]


SITE = """
site: Ash corner
latitude: 52.5
frost: {last: 22 April, first: 4 November}
winter-low: -6
warmest-month: 16.9
chart-starts: September 2026
@
beds:
  Bed one:
    size: 1.2 x 6 m
    needs: [weeds, biomass]
    order:
      - {crop: onion sets, planted: 2026-03-25, cleared: 2026-08-22}
      - cover: choose
      - crop: Brussels sprouts
"""


def test_the_tin_decides_between_near_equals_and_the_reason_is_told() -> None:
    def choice(more: str):  # type: ignore[no-untyped-def]
        found = desk_of(SITE.replace("@", more).encode(), Path("ash.yaml"))
        return found, found.plan.beds[0].choices[0]

    _, alone = choice("")
    first, second = alone.ranking.options[:2]
    assert first.score - second.score < 6
    assert alone.chosen == first
    assert not alone.preferred
    tin = ", ".join(f"{cover.names.name}: 2 kg" for cover in second.covers)
    found, with_tin = choice(f"seed-in-hand: {{{tin}}}")
    assert with_tin.chosen.ids == second.ids
    assert with_tin.chosen.score >= first.score - 8
    assert "tin" in found.speaker.reason(with_tin.preferred[0])



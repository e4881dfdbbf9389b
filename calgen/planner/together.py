"""Covers for all beds together: each bed's near-equal options weighed against the seed tin, the shopping and variety.

Every slot keeps its own ranking; only options within a few points of its best take part. What is best together is the
sum of scores, and

    + points where the seed is in the tin, by the share of it that the tin holds
    - points for every cover of which seed has to be bought
    - points for every slot beyond the most that one cover should have

all of them practice numbers (``choice.yaml``). Small sites are solved exactly by branch and bound, larger ones by
improving on every slot's own best, one slot and one cover at a time. Known error of the latter: see
``tests/planner/test_together.py``, which holds it against an exact solver.
"""

from __future__ import annotations

from math import prod
from typing import TYPE_CHECKING

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

EXACT_UP_TO = 20_000
"""Combinations up to which all of them are searched (most are pruned): some hundredths of a second."""
ROUNDS = 20


class Candidate(Struct, frozen=True):
    """An option of a slot: its covers, score and seed. [0-100; g by cover]"""

    covers: tuple[str, ...]
    score: float
    seed_g: Mapping[str, float]


class Terms(Struct, frozen=True):
    """What counts besides the scores: seed in the tin [g by cover], and points. ``same_most`` in slots."""

    tin: Mapping[str, float]
    tin_points: float
    buy_points: float
    same_points: float
    same_most: int


class _Use(Struct):
    """How much of one cover is used so far: seed, slots, and slots by its part in them."""

    grams: float = 0.0
    slots: int = 0
    parts: float = 0.0


class _Sum(Struct):
    """The value of a choice, kept up to date as slots change."""

    terms: Terms
    value: float = 0.0
    uses: dict[str, _Use] = field(default_factory=dict)

    def take(self, candidate: Candidate, sign: int) -> None:
        """Add a slot's candidate, or take it away (``sign`` -1)."""
        self.value += sign * candidate.score
        for cover in candidate.covers:
            use = self.uses.setdefault(cover, _Use())
            self.value -= self._term(cover, use)
            use.grams += sign * candidate.seed_g.get(cover, 0.0)
            use.slots += sign
            use.parts += sign / len(candidate.covers)
            self.value += self._term(cover, use)

    def _term(self, cover: str, use: _Use) -> float:
        if not use.slots:
            return 0.0
        tin, terms = self.terms.tin.get(cover, 0.0), self.terms
        bought = use.grams > tin + 0.05
        held = min(1.0, tin / use.grams) if use.grams > 0 else 0.0
        return (terms.tin_points * use.parts * held - terms.buy_points * bought
                - terms.same_points * max(0, use.slots - terms.same_most))


def together(slots: Sequence[Sequence[Candidate]], terms: Terms) -> tuple[int, ...]:
    """For every slot the place of its candidate, so that all of them are best together.

    Args:
        slots: candidates of each slot, its own best first; none may be empty.
    """
    picked = _improved(slots, terms)
    if prod(len(slot) for slot in slots) <= EXACT_UP_TO:
        return _searched(slots, terms, picked)
    return picked


def total(slots: Sequence[Sequence[Candidate]], picked: Sequence[int], terms: Terms) -> float:
    """The value of a choice. [points]"""
    found = _Sum(terms)
    for slot, place in zip(slots, picked, strict=True):
        found.take(slot[place], 1)
    return found.value


def _improved(slots: Sequence[Sequence[Candidate]], terms: Terms) -> tuple[int, ...]:
    """Better and better from every slot's own best: one slot at a time, and one cover for all slots that offer it."""
    picked = [0] * len(slots)
    offers: dict[tuple[str, ...], list[tuple[int, int]]] = {}
    for number, slot in enumerate(slots):
        for place, candidate in enumerate(slot):
            offers.setdefault(candidate.covers, []).append((number, place))
    now = _Sum(terms)
    for slot in slots:
        now.take(slot[0], 1)
    for _ in range(ROUNDS):
        before = now.value
        for number, slot in enumerate(slots):
            for place in range(len(slot)):
                _tried(now, slots, picked, [(number, place)])
        for kind in sorted(offers):
            if len(offers[kind]) > 1:
                _tried(now, slots, picked, offers[kind])
                _tried(now, slots, picked, offers[kind][:terms.same_most])
        if now.value <= before + 1e-9:
            break
    return tuple(picked)


def _tried(now: _Sum, slots: Sequence[Sequence[Candidate]], picked: list[int],
           moves: Sequence[tuple[int, int]]) -> None:
    """Make moves (slot, place), and take them back where they do not help."""
    back = [(number, picked[number]) for number, _ in moves]
    before = now.value
    for moved in (moves, back):
        for number, place in moved:
            now.take(slots[number][picked[number]], -1)
            picked[number] = place
            now.take(slots[number][place], 1)
        if now.value > before + 1e-9:
            return


def _searched(slots: Sequence[Sequence[Candidate]], terms: Terms, start: tuple[int, ...]) -> tuple[int, ...]:
    """Branch and bound: the rest of the slots can at most add their best scores and the points of a full tin."""
    order = sorted(range(len(slots)), key=lambda number: (len(slots[number]), number))
    rest = [0.0] * (len(slots) + 1)
    for depth in range(len(slots) - 1, -1, -1):
        rest[depth] = rest[depth + 1] + max(
            candidate.score + terms.tin_points * sum(terms.tin.get(cover, 0.0) > 0 for cover in candidate.covers)
            / len(candidate.covers) for candidate in slots[order[depth]])
    best = [total(slots, start, terms), list(start)]
    picked = list(start)
    now = _Sum(terms)

    def deeper(depth: int) -> None:
        if depth == len(order):
            if now.value > best[0] + 1e-9:  # type: ignore[operator]
                best[:] = [now.value, list(picked)]
            return
        number = order[depth]
        for place, candidate in enumerate(slots[number]):
            now.take(candidate, 1)
            if now.value + rest[depth + 1] > best[0] + 1e-9:  # type: ignore[operator]
                picked[number] = place
                deeper(depth + 1)
            now.take(candidate, -1)

    deeper(0)
    return tuple(best[1])  # type: ignore[arg-type]

"""What a bed needs from its cover: the grower's purposes in order, or what follows from crops, soil and season."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Crop, Knowledge
    from calgen.planner.model import Slot
    from calgen.site.model import Purpose

DERIVED: Final[dict[str, tuple[tuple[Purpose, float], ...]]] = {
    "next-heavy": (("nitrogen", 1.0),),
    "after-heavy": (("nitrogen", 0.5), ("hold-nutrients", 0.3)),
    "after-corn": (("nitrogen", 1.0),),
    "winter": (("cover", 0.8), ("hold-nutrients", 0.4)),
    "summer": (("weeds", 0.8), ("cover", 0.4)),
    "compacted": (("structure", 1.0),),
    "clay": (("structure", 0.5),),
    "sand": (("hold-nutrients", 0.4), ("biomass", 0.3)),
    "companion": (("weeds", 0.6), ("cover", 0.6), ("nitrogen", 0.4)),
}
"""Weights of the purposes that a circumstance calls for. Judgement: WSU FS119E, MSU and Minnesota name the purposes
(legume before heavy feeders, cereals to hold nitrate over winter, winter cover, loosening for tight soil); none gives
numbers."""
SOIL_TYPES: Final = frozenset({"sand", "loam", "clay", "chalk", "peat"})

NEUTRAL_HURRY: Final = 0.6
"""Where it is not known when or among what frosts the next crop starts. Judgement."""


class Need(Struct, frozen=True):
    """A purpose, its share of all that is wanted [0-1], and the circumstance behind it ("stated" if given)."""

    purpose: Purpose
    share: float
    because: str


def needs(slot: Slot, climate: Climate, knowledge: Knowledge) -> tuple[Need, ...]:
    """What is wanted in this slot, weightiest first; the shares add up to 1."""
    if slot.needs:
        step = knowledge.practice["choice-need-step"].mid
        found = [Need(purpose, step**rank, "stated") for rank, purpose in enumerate(slot.needs)]
    else:
        found = _derived(slot, climate)
    total = sum(need.share for need in found)
    return tuple(Need(need.purpose, need.share / total, need.because)
                 for need in sorted(found, key=lambda need: -need.share))


def _derived(slot: Slot, climate: Climate) -> list[Need]:
    weights: dict[Purpose, float] = {}
    because: dict[Purpose, str] = {}
    for circumstance in circumstances(slot, climate):
        for purpose, weight in DERIVED[circumstance]:
            if weight > weights.get(purpose, 0.0):
                because[purpose] = circumstance
            weights[purpose] = max(weight, weights.get(purpose, 0.0))
    return [Need(purpose, weight, because[purpose]) for purpose, weight in weights.items()]


def circumstances(slot: Slot, climate: Climate) -> tuple[str, ...]:
    """What about a slot calls for a purpose, in the words of ``DERIVED``."""
    if slot.companion:
        return ("companion",)
    season = climate.season_at(slot.earliest_sow)
    due = slot.next_start or slot.until
    found = ["winter" if due > season.end else "summer"]
    if slot.next_crop and slot.next_crop.feeding == "heavy":
        found.append("next-heavy")
    previous = predecessor(slot)
    if previous and previous.feeding == "heavy":
        found.append("after-corn" if previous.family == "Poaceae" else "after-heavy")
    soil = ground(slot)
    found += [name for name in ("compacted", "clay", "sand") if name in soil]
    return tuple(found)


def predecessor(slot: Slot) -> Crop | None:
    """The crop that leaves the ground to the cover."""
    return slot.standing or (slot.before[-1] if slot.before else None)


def ground(slot: Slot) -> tuple[str, ...]:
    """The bed's soil words; the site's soil type where the bed names none. Pots are filled: only their own words hold.
    """
    own = slot.bed.soil
    if slot.bed.size.pots:
        return own
    return (slot.site.soil, *own) if SOIL_TYPES.isdisjoint(own) else own


def hurry(slot: Slot, climate: Climate) -> float:
    """How much it matters that the ground is ready early: fully up to two weeks after last frost, no more from six on.

    Source: Cornell and WSU FS119E keep living covers for what is planted late. The bounds are our judgement. [0-1]
    """
    start = slot.next_start
    if start is None:
        return NEUTRAL_HURRY
    last_frost = climate.season_at(start).last_frost
    if last_frost is None:
        return NEUTRAL_HURRY
    return min(1.0, max(0.0, (42 - (start - last_frost).days) / 28))

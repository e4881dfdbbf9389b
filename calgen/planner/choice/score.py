"""What a dated cover is worth in its slot, 0-100: five parts by editable weights, and the points of the rules.

    part        from
    purpose     how much of each wanted purpose is attained here on this date, times the cover's potential (0-4)
    next        whether the ground is ready in time, and what is left in it for the next crop
    ending      ease of ending it with the tools at hand, in the way and at the stage that the dates allow
    soil        fit with the bed's soil
    establish   warmth before winter against what a safe stand needs, and fit with the way of sowing
"""

from __future__ import annotations

from functools import lru_cache
from math import prod
from typing import TYPE_CHECKING, Final

from calgen.planner.choice.attain import DEAD_NITROGEN
from calgen.planner.model import Reason

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.knowledge.model import Cover, Knowledge
    from calgen.planner.choice.case import Dated
    from calgen.planner.model import Attained, Slot
    from calgen.site.model import Purpose

PARTS: Final = ("purpose", "next", "ending", "soil", "establish")
REST: Final = tuple(part for part in PARTS if part != "purpose")
NEUTRAL: Final = 0.6
"""Fit where nothing is known. Judgement."""
WAY_EASE: Final = {"winter-kill": 1.0, "leave": 1.0, "snip": 0.9, "pull": 0.7, "cut-at-ground": 0.7,
                   "cut-at-flowering": 0.8, "cut-young": 0.7, "tarp": 0.6}
"""How easy each way is by hand beside the cover's own ease. Judgement: MDA and WSU call winter-killed covers easiest,
living grasses hardest without a tiller."""
WAY_READY: Final = {"winter-kill": 1.0, "leave": 0.8, "snip": 0.9, "pull": 0.75, "cut-at-ground": 0.75,
                    "cut-at-flowering": 0.7, "cut-young": 0.65, "tarp": 0.5}
"""How ready each way leaves the ground for what starts early. Judgement."""
ENOUGH: Final = 0.5
LEAST_WORTH: Final = 0.25
"""Half of what is wanted lets the other merits count in full, nothing of it a quarter. Judgement."""
LEAST_TOLD: Final = 0.05
LEAST_TOLD_KG_HA: Final = 5.0
"""Less of a purpose than this is not told as a merit: it is within the error of the estimate. Judgement."""
GOOD_CREDIT_KG_HA: Final = 60.0
"""Credit that counts as a full answer for a hungry crop: PNW 636's worked example for vetch, 60 lb/acre, about this."""


def part_weights(slot: Slot, knowledge: Knowledge) -> Mapping[str, float]:
    """Points of each part, 100 together; by hand, ease of ending takes some from purpose."""
    weights = {part: knowledge.practice[f"choice-{part}"].mid for part in PARTS}
    if slot.site.tools == "hand":
        shift = knowledge.practice["choice-hand-shift"].mid
        weights["purpose"] -= shift
        weights["ending"] += shift
    return weights


def purposes(dated: Dated) -> Mapping[Purpose, float]:
    """How much of each wanted purpose the cover gives here. [0-1]"""
    soil = soil_growth(dated.case.cover, dated.case.soil)
    return {need.purpose: _potential(dated.case.cover, need.purpose) * _share(dated, need.purpose) * soil
            for need in dated.case.wants}


def _potential(cover: Cover, wanted: Purpose) -> float:
    """What the cover can give of a purpose at its best: rating/4. [0-1]

    For plain cover it counts half: what the ground cover is here is computed, the rating says how surely.
    """
    rating = cover.ratings.get(wanted)
    potential = rating.mid / 4 if rating else 0.0
    return 0.5 + 0.5 * potential if wanted == "cover" else potential


def _share(dated: Dated, wanted: Purpose) -> float:  # noqa: PLR0911  one for each purpose
    """The share of a potential that is attained here on this date. [0-1]"""
    cover, got = dated.case.cover, dated.attained
    grown = got.biomass_t_ha[1] / max(0.1, cover.biomass_t_ha.high)
    held = got.nitrogen_kg_ha[1] / max(0.1, cover.n_total_kg_ha.high)
    match wanted:
        case "nitrogen":
            return held * (1 - (1 - DEAD_NITROGEN) * dated.lost)
        case "hold-nutrients":
            return (0.5 * got.ground_cover_winter + 0.5 * held) * (1 - (1 - DEAD_NITROGEN) * dated.lost)
        case "biomass" | "phosphorus":
            return grown
        case "structure":
            return min(1.0, got.root_cm / max(1.0, cover.root_depth_cm.mid))
        case "weeds":
            return 0.4 * got.ground_cover_winter + 0.6 * dated.kept
        case "soil-pests":
            return grown * (0.5 if cover.kind == "brassica" and got.flowers is None else 1.0)
        case "pollinators":
            return 1.0 if got.flowers and got.flowers < dated.ending.last else 0.0
        case "cover":
            return dated.kept


def next_fit(dated: Dated) -> float:
    """How well the cover leaves the ground to what follows. [0-1]"""
    crop = dated.case.slot.next_crop
    ready = 1 - (1 - WAY_READY[dated.ending.way]) * dated.case.hurry
    if crop is None:
        return 0.5 * NEUTRAL + 0.5 * ready
    middle = sum(dated.attained.pan_kg_ha) / 2
    if crop.feeding in ("heavy", "medium"):
        credit = min(1.0, max(0.0, 0.4 + 0.6 * middle / GOOD_CREDIT_KG_HA))
    else:
        credit = min(1.0, max(0.0, 1.0 - max(0.0, middle - 20) / GOOD_CREDIT_KG_HA))
    return 0.5 * ready + 0.5 * credit


def ending_ease(dated: Dated) -> float:
    """Ease of ending with the tools at hand: a tarp, or a cut in flower, does most of the killing. [0-1]"""
    case = dated.case
    way = WAY_EASE[dated.ending.way]
    if dated.ending.way in ("winter-kill", "leave", "snip", "pull"):
        return way
    own = case.cover.hand_ease.mid / 4
    if case.slot.site.tools == "tiller":
        return min(1.0, 0.5 + 0.5 * own)
    if dated.ending.way in ("tarp", "cut-at-flowering"):
        return 0.3 * own + 0.7 * way
    return 0.6 * own + 0.4 * way


@lru_cache(maxsize=1024)
def soil_growth(cover: Cover, soil: tuple[str, ...]) -> float:
    """Share of its growth that a cover makes on this soil: 0.6 for each rating of 1, all from 3 on. [0-1]

    Judgement: buckwheat "grows weakly on hard soil" (Cornell); no figures.
    """
    return prod(0.4 + 0.6 * min(1.0, fit.mid / 3) for word in soil if (fit := cover.soil_fit.get(word)) is not None)


@lru_cache(maxsize=1024)
def soil_fit(cover: Cover, soil: tuple[str, ...]) -> float:
    """Fit with the bed's soil: the mean of what is known. [0-1]"""
    found = [fit.mid / 4 for word in soil if (fit := cover.soil_fit.get(word)) is not None]
    return sum(found) / len(found) if found else NEUTRAL


def establish_ease(dated: Dated) -> float:
    """Warmth for a safe stand, and fit with the way of sowing. [0-1]"""
    case = dated.case
    way = {"cleared": 1.0, "undersown": case.cover.undersow_fit.mid / 4,
           "between-rows": case.cover.between_rows_fit.mid / 4}[case.how]
    if case.slot.bed.size.pots:
        way = min(way, case.cover.pot_fit.mid / 4)
    return dated.attained.establish_share * way


def parts(dated: Dated, reached: Mapping[Purpose, float]) -> Mapping[str, float]:
    """Every part of the score but the rules', from what is reached of each purpose. [0-1]"""
    return {
        "purpose": sum([need.share * reached[need.purpose] for need in dated.case.wants]),
        "next": next_fit(dated),
        "ending": ending_ease(dated),
        "soil": soil_fit(dated.case.cover, dated.case.soil),
        "establish": establish_ease(dated),
    }


def total(shares: Mapping[str, float], weights: Mapping[str, float], points: float) -> float:
    """The score [0-100]. What is easy but attains little is worth little: the other parts count by what is attained."""
    worth = LEAST_WORTH + (1 - LEAST_WORTH) * min(1.0, shares["purpose"] / ENOUGH)
    rest = sum([weights[part] * shares[part] for part in REST])
    return round(min(100.0, max(0.0, weights["purpose"] * shares["purpose"] + worth * rest + points)), 2)


def purpose_facts(purpose: Purpose, got: Attained, kept: float) -> Mapping[str, float]:
    """The figures that a grower can check for a purpose. ``kept``: share of the slot's ground covered [0-1]"""
    match purpose:
        case "nitrogen" | "hold-nutrients":
            return {"covered_share": kept, "low_kg_ha": got.nitrogen_kg_ha[0], "high_kg_ha": got.nitrogen_kg_ha[1]}
        case "biomass":
            return {"covered_share": kept, "low_t_ha": got.biomass_t_ha[0], "high_t_ha": got.biomass_t_ha[1]}
        case "structure":
            return {"covered_share": kept, "root_cm": got.root_cm}
        case _:
            return {"covered_share": kept}


def worth_telling(purpose: Purpose, value: float, got: Attained, *, fixes: bool) -> str | None:
    """The key of the reason for a purpose; None where too little comes of it to be told.

    What fixes none takes nitrogen up all the same, which is told whatever its worth. Of what a legume holds most is
    fixed from the air, and would not have been washed out: that is not told as kept.
    """
    if purpose == "hold-nutrients" and fixes:
        return None
    if purpose == "nitrogen" and not fixes:
        return "gives-nitrogen-taken" if got.nitrogen_kg_ha[1] >= LEAST_TOLD_KG_HA else None
    return f"gives-{purpose}" if value >= LEAST_TOLD else None


def purpose_reasons(dated: Dated, reached: Mapping[Purpose, float], weight: float) -> tuple[Reason, ...]:
    """One reason for each wanted purpose of which something is reached, with its figures."""
    found = []
    for need in dated.case.wants:
        rating = dated.case.cover.ratings.get(need.purpose)
        value = reached[need.purpose]
        key = worth_telling(need.purpose, value, dated.attained, fixes=dated.case.cover.fixes_nitrogen)
        if key is None:
            continue
        found.append(Reason(key,
                            {"share": value, "because": need.because,
                             **purpose_facts(need.purpose, dated.attained, dated.kept)},
                            rating.sources if rating else (), good=value >= 0.25,
                            weight=round(weight * need.share * value, 2)))
    return tuple(found)

"""Two or more covers sown together: what they reach, how they are ended, what they are worth.

Each grows as its share of the full seed rate; no purpose comes out above the better member's own
(mixtures overyield little: common finding, from memory), and none is lost that one member gives.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.knowledge.model import Mixture, Words, quantity_of
from calgen.planner.choice.nitrogen import LEAST_KG_HA, MOST_KG_HA
from calgen.planner.choice.score import parts, purpose_facts, purposes, worth_telling
from calgen.planner.model import Attained, Ending, Reason

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from calgen.knowledge.model import Quantity
    from calgen.planner.choice.case import Dated
    from calgen.planner.choice.need import Need
    from calgen.planner.model import Slot
    from calgen.site.model import Purpose

OVERYIELD: Final = 1.0
TWO_SPECIES_SHARE: Final = 0.6
"""Two covers together: about 60 % of each full rate. Source: University of Maryland Extension."""
ALL_SHARE: Final = 1.2
WAYS: Final = ("leave", "winter-kill", "snip", "pull", "cut-at-ground", "cut-at-flowering", "cut-young", "tarp")
"""From the least work to the most; the mixture is ended in the way of its most demanding member."""
WAYS_TOLD: Final = frozenset({"end-snip", "end-pull", "end-cut-at-ground", "end-at-flowering", "end-cut-young",
                              "end-tarp"})
"""Reasons that tell a way of cutting; those of the other members would contradict it."""


class Together(Struct, frozen=True):
    """A mixture on its day."""

    mixture: Mixture
    attained: Attained
    ending: Ending
    shares: Mapping[str, float]
    reached: Mapping[Purpose, float]
    kept: float

    def reasons(self, members: Sequence[tuple[Reason, ...]], weight: float, wants: Sequence[Need],
                cost: Quantity) -> tuple[Reason, ...]:
        """Reasons of the members, each once with its points halved between them, and what the mixture gives."""
        found: dict[str, Reason] = {}
        for reasons in members:
            for reason in reasons:
                if reason.key.startswith("gives-"):
                    continue
                name = f"{reason.key}{reason.facts.get('text', '')}{reason.facts.get('crop', '')}"
                points = reason.weight / len(members)
                before = found.get(name)
                found[name] = Reason(reason.key, reason.facts, reason.sources, reason.good,
                                     points + (before.weight if before else 0.0))
        fixes = any(reason.key == "gives-nitrogen" for reasons in members for reason in reasons)
        gives = [Reason(key, {"share": self.reached[need.purpose], "because": need.because,
                                                         **purpose_facts(need.purpose, self.attained, self.kept)},
                        self.mixture.why.sources, good=self.reached[need.purpose] >= 0.25,
                        weight=round(weight * need.share * self.reached[need.purpose], 2)) for need in wants
                 if (key := worth_telling(need.purpose, self.reached[need.purpose], self.attained, fixes=fixes))]
        why = Reason("mixture-why", {"text": self.mixture.why.text}, self.mixture.why.sources)
        more = Reason("mixture-more-work", {}, (), good=False, weight=cost.mid)
        return tuple(sorted([*gives, *found.values(), why, more], key=lambda reason: (-abs(reason.weight), reason.key)))


def named_mixture(covers: tuple[str, ...]) -> Mixture:
    """A mixture the grower named that is not among the known ones: equal parts."""
    share = TWO_SPECIES_SHARE if len(covers) == 2 else ALL_SHARE / len(covers)
    why = "Equal parts, so that neither smothers the other; 60 % of each rate for two, as Maryland gives it."
    part = quantity_of(share, share, "share", ("own",), "judgement", why=why)
    return Mixture(covers, tuple(part for _ in covers), Words("as you named it", ("own",), "judgement"))


def together(mixture: Mixture, members: Sequence[Dated], slot: Slot) -> Together:
    """What a mixture reaches and how it is ended, from its members sown on the same day."""
    rates = [share.mid for share in mixture.shares]
    alone = [purposes(member) for member in members]
    each = [parts(member, got) for member, got in zip(members, alone, strict=True)]
    reached: dict[Purpose, float] = {}
    for need in members[0].case.wants:
        own = [got[need.purpose] for got in alone]
        reached[need.purpose] = min(sum(rate * value for rate, value in zip(rates, own, strict=True)),
                                    OVERYIELD * max(own), 1.0)
    whole = sum(rates)
    shares = {part: sum(rate * one[part] for rate, one in zip(rates, each, strict=True)) / whole for part in each[0]}
    shares["ending"] = min(one["ending"] for one in each)
    shares["purpose"] = sum(need.share * reached[need.purpose] for need in members[0].case.wants)
    return Together(mixture, _attained(rates, [member.attained for member in members]),
                    _ending([member.ending for member in members]), shares, reached,
                    max(member.kept for member in members))


def _attained(rates: Sequence[float], all_of: Sequence[Attained]) -> Attained:
    def added(values: Sequence[tuple[float, float]]) -> tuple[float, float]:
        return (sum(rate * low for rate, (low, _) in zip(rates, values, strict=True)),
                sum(rate * high for rate, (_, high) in zip(rates, values, strict=True)))

    def joint(values: Sequence[float]) -> float:
        return min(1.0, sum(rate * value for rate, value in zip(rates, values, strict=True)), OVERYIELD * max(values))

    pan = added([one.pan_kg_ha for one in all_of])
    dry = [rate * max(0.01, sum(one.biomass_t_ha)) for rate, one in zip(rates, all_of, strict=True)]
    c_to_n = [sum(weight * one.c_to_n[end] for weight, one in zip(dry, all_of, strict=True)) / sum(dry)
              for end in (0, 1)]
    emerged = [one.emerges for one in all_of if one.emerges]
    flowers = [one.flowers for one in all_of if one.flowers]
    return Attained(
        emerges=min(emerged) if emerged else None,
        ground_cover_winter=joint([one.ground_cover_winter for one in all_of]),
        ground_cover_end=joint([one.ground_cover_end for one in all_of]),
        biomass_t_ha=added([one.biomass_t_ha for one in all_of]),
        nitrogen_kg_ha=added([one.nitrogen_kg_ha for one in all_of]),
        pan_kg_ha=(max(LEAST_KG_HA, pan[0]), min(MOST_KG_HA, pan[1])),
        c_to_n=(c_to_n[0], c_to_n[1]),
        root_cm=max(one.root_cm for one in all_of),
        flowers=min(flowers) if flowers else None,
        kill_chance=min(one.kill_chance for one in all_of),
        degree_days_winter=min(one.degree_days_winter for one in all_of),
        establish_share=max(one.establish_share for one in all_of),
        killed=None if any(one.killed is None for one in all_of) else max(one.killed for one in all_of if one.killed),
        meets_winter=any(one.meets_winter for one in all_of),
    )


def _ending(endings: Sequence[Ending]) -> Ending:
    hardest = max(endings, key=lambda one: (WAYS.index(one.way), one.best))
    living = [one for one in endings if one.way != "winter-kill"] or list(endings)
    reasons: list[Reason] = []
    milder = WAYS_TOLD - {reason.key for reason in hardest.reasons}
    for one in endings:
        reasons += [reason for reason in one.reasons
                    if reason.key not in milder and reason.key not in {known.key for known in reasons}]
    last = min(one.last for one in living)
    best = min(max(hardest.best, hardest.first), last)
    wait = (max(one.wait_days[0] for one in living), max(one.wait_days[1] for one in living))
    return Ending(hardest.way, min(hardest.first, best), best, last, wait, tuple(reasons))

"""What goes with what: the rows of ``pairings.yaml`` asked about one cover and the crops around it."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from calgen.knowledge.model import Cover
from calgen.planner.choice.case import Neighbours
from calgen.planner.choice.ending import next_kind
from calgen.planner.choice.need import predecessor
from calgen.planner.choice.verdict import REFUSAL_POINTS, Verdict
from calgen.planner.model import Reason

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.knowledge.model import Crop, Knowledge, Pairing, Relation
    from calgen.planner.choice.case import Case
    from calgen.planner.model import Slot
    from calgen.site.model import How


def pairing_verdicts(case: Case) -> tuple[Verdict, ...]:
    """Every row that speaks about this cover and a crop before, after, among it or near it in the rotation."""
    said: list[Verdict] = []
    spoken = False
    for pairing in _rows(case.cover, case.knowledge):
        found = case.neighbours.met.get(pairing)
        if "always" in pairing.when and pairing.points:
            said.append(Verdict(Reason(pairing.key, {}, pairing.points.sources, good=pairing.points.mid > 0,
                                       weight=pairing.points.mid)))
        elif found:
            spoken = True
            relation, crop = found
            points = REFUSAL_POINTS if pairing.points is None else pairing.points.mid
            sources = pairing.sources if pairing.points is None else pairing.points.sources
            said.append(Verdict(Reason(pairing.key, {"crop": crop.id, "when": relation}, sources, good=points > 0,
                                       weight=points), refuses=pairing.points is None))
    return tuple(said) if spoken else (*said, *_same_family(case))


def rows_on(cover: Cover, crop: Crop, when: Relation, knowledge: Knowledge) -> tuple[Pairing, ...]:
    """The rows that speak about a cover that grows before or after a crop."""
    return tuple(pairing for pairing in _rows(cover, knowledge)
                 if when in pairing.when and not _words(crop).isdisjoint(pairing.crops))


def named_among(case: Case) -> bool:
    """Whether a row speaks for this very cover among the standing crop (vetch over dying gourds)."""
    return any(pairing.points is not None and pairing.points.mid > 0
               and case.neighbours.met.get(pairing, ("",))[0] == "among"
               for pairing in _rows(case.cover, case.knowledge))


@lru_cache(maxsize=512)
def _rows(cover: Cover, knowledge: Knowledge) -> tuple[Pairing, ...]:
    return tuple(pairing for pairing in knowledge.pairings
                 if not _words(cover).isdisjoint(pairing.covers))


def _same_family(case: Case) -> tuple[Verdict, ...]:
    """One family shares pests and diseases. Source: ISU rotation page, 2-3 years between crops of a family."""
    own = case.cover.family.split()[0]
    for relation, crop, family in case.neighbours.families:
        if family == own and crop.id != case.cover.id:
            points = case.knowledge.practice["points-same-family"]
            return (Verdict(Reason("same-family", {"crop": crop.id, "when": relation, "family": own}, points.sources,
                                   good=False, weight=points.mid)),)
    return ()


def neighbours(slot: Slot, how: How, knowledge: Knowledge) -> Neighbours:
    """The plants around a cover in a slot, and which rows speak about them."""
    previous = predecessor(slot)
    among = how != "cleared" or slot.companion
    year = slot.earliest_sow.year
    near: list[tuple[int, Crop | Cover]] = [(years, crop) for years, crop in slot.later_crops]
    near += [(1, crop) for crop in slot.before if previous is None or crop is not previous]
    for grown, names in slot.history:
        near += [(year - grown, plant) for name in names if (plant := knowledge.plant(name)) is not None]
    reach = knowledge.practice["choice-rotation-years"].mid
    around: Mapping[Relation, tuple[Crop | Cover, ...]] = {
        "before": (slot.next_crop,) if slot.next_crop else (),
        "after": (previous,) if previous and not slot.companion else (),
        "among": (slot.standing,) if slot.standing and among else (),
        "rotation": tuple(plant for years, plant in sorted(near, key=lambda pair: (pair[0], pair[1].id))
                          if 0 <= years <= reach),
    }
    transplanted = next_kind(slot) == "transplant"
    met = {pairing: found for pairing in knowledge.pairings if (found := _met(pairing, around, transplanted))}
    beside: tuple[Relation, ...] = ("before", "after", "among")
    return Neighbours(met, tuple((relation, plant, _family(plant)) for relation in beside
                                 for plant in around[relation]))


def _met(pairing: Pairing, around: Mapping[Relation, tuple[Crop | Cover, ...]],
         transplanted: bool) -> tuple[Relation, Crop | Cover] | None:
    for relation in pairing.when:
        for plant in around.get(relation, ()):
            found = _words(plant).intersection(pairing.crops)
            if any(not (word.startswith("seed ") and relation == "before" and transplanted) for word in found):
                return relation, plant
    return None


def _family(plant: Crop | Cover) -> str:
    return plant.family.split()[0]


@lru_cache(maxsize=512)
def _words(plant: Crop | Cover) -> frozenset[str]:
    """The words of rows that mean this plant: its id, ``family X``, ``kind X``, ``feeding X``, ``seed X``.

    ``seed small`` before a crop that is planted out means nothing: see ``_met``.
    """
    words = {plant.id, f"family {_family(plant)}"}
    if isinstance(plant, Cover):
        fixes = {"fixes nitrogen"} if plant.fixes_nitrogen else set()
        return frozenset({*words, f"kind {plant.kind}", *fixes})
    return frozenset({*words, f"feeding {plant.feeding}", f"seed {plant.seed_size}"})

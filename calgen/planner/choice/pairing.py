"""What goes with what: the rows of ``pairings.yaml`` asked about one cover and the crops around it."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from calgen.knowledge.model import Cover
from calgen.planner.choice.ending import next_kind
from calgen.planner.choice.need import predecessor
from calgen.planner.choice.verdict import REFUSAL_POINTS, Verdict
from calgen.planner.model import Reason

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.knowledge.model import Crop, Knowledge, Pairing, Relation
    from calgen.planner.choice.case import Case, Neighbours
    from calgen.planner.model import Slot
    from calgen.site.model import How


def pairing_verdicts(case: Case) -> Iterator[Verdict]:
    """Every row that speaks about this cover and a crop before, after, among it or near it in the rotation."""
    spoken = False
    for pairing in _rows(case.cover, case.knowledge):
        found = _met(pairing, case)
        if "always" in pairing.when and pairing.points:
            yield Verdict(Reason(pairing.key, {}, pairing.points.sources, good=pairing.points.mid > 0,
                                 weight=pairing.points.mid))
        elif found:
            spoken = True
            relation, crop = found
            points = REFUSAL_POINTS if pairing.points is None else pairing.points.mid
            sources = pairing.sources if pairing.points is None else pairing.points.sources
            yield Verdict(Reason(pairing.key, {"crop": crop.id, "when": relation}, sources, good=points > 0,
                                 weight=points), refuses=pairing.points is None)
    if not spoken:
        yield from _same_family(case)


def rows_on(cover: Cover, crop: Crop, when: Relation, knowledge: Knowledge) -> tuple[Pairing, ...]:
    """The rows that speak about a cover that grows before or after a crop."""
    return tuple(pairing for pairing in _rows(cover, knowledge)
                 if when in pairing.when and any(_matches(word, crop) for word in pairing.crops))


def named_among(case: Case) -> bool:
    """Whether a row speaks for this very cover among the standing crop (vetch over dying gourds)."""
    return any(pairing.points is not None and pairing.points.mid > 0 and "among" in pairing.when
               and (found := _met(pairing, case)) is not None and found[0] == "among"
               for pairing in _rows(case.cover, case.knowledge))


@lru_cache(maxsize=512)
def _rows(cover: Cover, knowledge: Knowledge) -> tuple[Pairing, ...]:
    return tuple(pairing for pairing in knowledge.pairings
                 if any(_matches(word, cover) for word in pairing.covers))


def _same_family(case: Case) -> Iterator[Verdict]:
    """One family shares pests and diseases. Source: ISU rotation page, 2-3 years between crops of a family."""
    points = case.knowledge.practice["points-same-family"]
    for relation in ("before", "after", "among"):
        for crop in case.neighbours[relation]:
            if _family(crop) == _family(case.cover) and crop.id != case.cover.id:
                yield Verdict(Reason("same-family", {"crop": crop.id, "when": relation, "family": _family(crop)},
                                     points.sources, good=False, weight=points.mid))
                return


def neighbours(slot: Slot, how: How, knowledge: Knowledge) -> Neighbours:
    """The plants around a cover by where it stands to them; ``rotation`` are those up to a step or two away."""
    previous = predecessor(slot)
    among = how != "cleared" or slot.companion
    year = slot.earliest_sow.year
    near: list[tuple[int, Crop | Cover]] = [(years, crop) for years, crop in slot.later_crops]
    near += [(1, crop) for crop in slot.before if previous is None or crop is not previous]
    for grown, names in slot.history:
        near += [(year - grown, plant) for name in names if (plant := knowledge.plant(name)) is not None]
    reach = knowledge.practice["choice-rotation-years"].mid
    return {
        "before": (slot.next_crop,) if slot.next_crop else (),
        "after": (previous,) if previous and not slot.companion else (),
        "among": (slot.standing,) if slot.standing and among else (),
        "rotation": tuple(plant for years, plant in sorted(near, key=lambda pair: (pair[0], pair[1].id))
                          if 0 <= years <= reach),
    }


def _met(pairing: Pairing, case: Case) -> tuple[Relation, Crop | Cover] | None:
    for relation in pairing.when:
        for plant in case.neighbours.get(relation, ()):
            if any(_matches(word, plant) and not (word.startswith("seed ") and relation == "before"
                                                  and next_kind(case.slot) == "transplant") for word in pairing.crops):
                return relation, plant
    return None


def _family(plant: Crop | Cover) -> str:
    return plant.family.split()[0]


@lru_cache(maxsize=8192)
def _matches(word: str, plant: Crop | Cover) -> bool:
    """Whether a word of a row means this plant: an id, or ``family X``, ``kind X``, ``feeding X``, ``seed X``.

    ``seed small`` before a crop that is planted out means nothing: see ``_met``.
    """
    what, _, which = word.partition(" ")
    if not which:
        return word == plant.id
    if what == "family":
        return _family(plant) == which
    if isinstance(plant, Cover):
        return (what == "kind" and plant.kind == which) or (word == "fixes nitrogen" and plant.fixes_nitrogen)
    return (what == "feeding" and plant.feeding == which) or (what == "seed" and plant.seed_size == which)

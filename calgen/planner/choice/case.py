"""What a rule may look at: one cover in one slot, first without dates, then dated; and what a rule answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Cover, Crop, Knowledge, Relation
    from calgen.planner.choice.course import Course
    from calgen.planner.choice.need import Need
    from calgen.planner.model import Attained, Ending, Reason, Slot
    from calgen.site.model import How

    Neighbours = Mapping[Relation, tuple[Crop | Cover, ...]]


@dataclass(frozen=True, slots=True)
class Case:
    """A cover in a slot, sown in a certain way."""

    cover: Cover
    slot: Slot
    how: How
    climate: Climate
    knowledge: Knowledge
    wants: tuple[Need, ...]
    neighbours: Neighbours


@dataclass(frozen=True, slots=True)
class Dated:
    """The same with a sowing day and all that follows from it. ``late`` is the factor on the seed rate."""

    case: Case
    sow: date
    life: Course
    ending: Ending
    attained: Attained
    late: float
    kept: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """A rule's answer: a reason, whose weight is in points, and whether it shuts the cover out."""

    reason: Reason
    refuses: bool = False

"""What a rule may look at: one cover in one slot, first without dates, then dated."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Cover, Crop, Knowledge, Pairing, Relation
    from calgen.planner.choice.course import Course
    from calgen.planner.choice.need import Need
    from calgen.planner.model import Attained, Ending, Slot, Window
    from calgen.site.model import How

class Neighbours(Struct, frozen=True):
    """The plants around a cover, whatever cover it is.

    ``met`` are the pairings that speak about one of them, with the first they speak about and how it stands to the
    cover; ``families`` those before, after and among it, each with its family.
    """

    met: Mapping[Pairing, tuple[Relation, Crop | Cover]]
    families: tuple[tuple[Relation, Crop | Cover, str], ...]


class Case(Struct, frozen=True):
    """A cover in a slot, sown in a certain way.

    ``soil`` are the words for the bed's ground, ``hurry`` how much it matters that the ground is ready early [0-1].
    """

    cover: Cover
    slot: Slot
    how: How
    climate: Climate
    knowledge: Knowledge
    wants: tuple[Need, ...]
    neighbours: Neighbours
    soil: tuple[str, ...]
    hurry: float


class Dated(Struct, frozen=True):
    """The same with a sowing day and all that follows from it.

    ``late`` is the factor on the seed rate; ``kept`` the share of ground covered over the slot [0-1]; ``crosses``
    whether a winter lies between the sowing and what comes next; ``safe_last`` the last safe day where it
    is sown behind it.
    """

    case: Case
    sow: date
    life: Course
    ending: Ending
    attained: Attained
    late: float
    kept: float
    window: Window
    crosses: bool
    safe_last: date | None

    @property
    def lost(self) -> float:
        """Chance that the cover is not alive when winter ends, if one lies before what comes next. [0-1]"""
        if not self.crosses:
            return 0.0
        ended_before = self.ending.way != "winter-kill" and self.ending.best <= self.life.season.end
        return 1.0 if ended_before else self.life.kill_chance

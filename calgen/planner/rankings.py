"""Rankings that were asked for, kept while a plan is made: a bed that is planned again does not rank again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field

from calgen.planner.choice.rank import rank

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import Ranking, Slot
    from calgen.problems import Place


class Rankings(Struct):
    """Answers of ``rank`` by slot, and the covers to be preferred in a step of a bed's order, by the step's place."""

    climate: Climate
    knowledge: Knowledge
    prefer: Mapping[tuple[str, Place], tuple[str, ...]] = field(default_factory=dict)
    known: dict[tuple[object, ...], list[tuple[Slot, Ranking]]] = field(default_factory=dict)

    def of(self, slot: Slot) -> Ranking:
        """The ranking for a slot."""
        key = (slot.bed.name, slot.earliest_sow, slot.free_from, slot.next_start, slot.hows, slot.fixed)
        kept = self.known.setdefault(key, [])
        for same, ranking in kept:
            if same == slot:
                return ranking
        ranking = rank(slot, self.climate, self.knowledge)
        kept.append((slot, ranking))
        return ranking

    def preferring(self, prefer: Mapping[tuple[str, Place], tuple[str, ...]]) -> Rankings:
        """The same answers, with other preferences."""
        return Rankings(self.climate, self.knowledge, prefer, self.known)

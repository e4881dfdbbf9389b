"""The second pass over a plan: where a bed's best covers are nearly equal, the whole garden decides between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from calgen.planner.model import Reason
from calgen.planner.together import Candidate, Terms, together

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import BedPlan, Choice, Fact, Option
    from calgen.planner.rankings import Rankings
    from calgen.site.model import Bed, Site

MOST_OPTIONS = 6
"""Near-equal options of a slot that are weighed; more would change little."""


class _Place(Struct, frozen=True):
    """A slot: number of its bed, number of the choice in the bed, and its options as candidates."""

    bed: int
    choice: int
    options: tuple[Option, ...]

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """The options for ``together``; seed with the tenth kept for topping up."""
        return tuple(Candidate(option.ids, option.score, {plant: 1.1 * grams for plant, grams in
                                                          option.seed_g.items()}) for option in self.options)


def shared(beds: tuple[BedPlan, ...], site: Site, knowledge: Knowledge, rankings: Rankings,
           planned: Callable[[Bed, Rankings], BedPlan]) -> tuple[BedPlan, ...]:
    """The beds' plans, those planned again for which another cover is better in the whole garden.

    Args:
        planned: plans one bed with the preferences of ``rankings``.
    """
    within = knowledge.practice["together-within"].mid
    places = [_Place(number, index, _near_equals(choice, within)) for number, bed in enumerate(beds)
              for index, choice in enumerate(bed.choices) if choice.chosen]
    if not any(len(place.options) > 1 for place in places):
        return beds
    terms = _terms(site, knowledge, len(places))
    picked = together([place.candidates for place in places], terms)
    wanted: dict[int, dict[int, Option]] = {}
    for place, taken in zip(places, picked, strict=True):
        if taken:
            wanted.setdefault(place.bed, {})[place.choice] = place.options[taken]
    own = [place.options[0] for place in places]
    counts = {cover: sum(cover in option.ids for option in own) for option in own for cover in option.ids}
    found = list(beds)
    for number, options in wanted.items():
        bed = beds[number]
        prefer = {(bed.bed.name, step.place): option.ids for index, option in options.items()
                  if (step := bed.choices[index].step)}
        again = planned(bed.bed, rankings.preferring(prefer))
        if _as_good(bed, again, options, within):
            found[number] = replace(again, choices=tuple(
                replace(choice, preferred=_why(bed.choices[index], options[index], terms, counts))
                if index in options else choice for index, choice in enumerate(again.choices)))
    return tuple(found)


def _terms(site: Site, knowledge: Knowledge, slots: int) -> Terms:
    practice = knowledge.practice
    return Terms(dict(site.seed_in_hand), practice["together-tin-points"].mid, practice["together-buy-points"].mid,
                 practice["together-same-points"].mid, max(2, round(practice["together-same-share"].mid * slots)))


def _near_equals(choice: Choice, within: float) -> tuple[Option, ...]:
    """The chosen option, and those nearly as good where the choice was calgen's."""
    chosen = choice.chosen
    assert chosen is not None
    if choice.step is None or choice.slot.fixed or choice.slot.fixed_sown or choice.slot.companion:
        return (chosen,)
    others = [option for option in choice.ranking.options
              if option.ids != chosen.ids and option.how == chosen.how and option.score >= chosen.score - within]
    return (chosen, *others[:MOST_OPTIONS - 1])


def _as_good(bed: BedPlan, again: BedPlan, options: Mapping[int, Option], within: float) -> bool:
    """Whether the bed planned again took the preferred covers, in the same way, and lost nothing else."""
    return (len(again.choices) == len(bed.choices) and len(again.notes) <= len(bed.notes)
            and all(new.chosen is not None and old.chosen is not None and new.chosen.how == old.chosen.how
                    and new.slot.free_from == old.slot.free_from and new.chosen.score >= old.chosen.score - within
                    and (index not in options or new.chosen.ids == options[index].ids)
                    for index, (old, new) in enumerate(zip(bed.choices, again.choices, strict=True))
                    if old.chosen or new.chosen))


def _why(choice: Choice, taken: Option, terms: Terms, counts: Mapping[str, int]) -> tuple[Reason, ...]:
    own = choice.chosen
    assert own is not None
    facts: dict[str, Fact] = {"covers": taken.ids, "other": own.ids}
    if _held(taken, terms) > _held(own, terms):
        key = "together-tin"
    elif any(counts[cover] > terms.same_most for cover in own.ids if cover not in taken.ids):
        key = "together-vary"
    else:
        key = "together-fewer"
    return (Reason(key, facts, ("own",), weight=own.score - taken.score),)


def _held(option: Option, terms: Terms) -> float:
    """Part of an option's seed that is in the tin. [0-1]"""
    parts = [min(1.0, terms.tin.get(cover, 0.0) / grams) for cover, grams in option.seed_g.items() if grams > 0]
    return sum(parts) / len(parts) if parts else 0.0

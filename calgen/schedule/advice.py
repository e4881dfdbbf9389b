"""The choice for a gap -> words: what was taken and why, the runner-up, what was refused, what is uncertain."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.planner.model import Reason
from calgen.schedule.crop_advice import crop_advice
from calgen.schedule.model import Advice
from calgen.schedule.refusal import refusals

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.planner.model import BedPlan, Choice, Option
    from calgen.schedule.wording import Speaker

REASONS_SHOWN: Final = 7
REFUSALS_SHOWN: Final = 12
LEAST_SHARE: Final = 0.05
"""A purpose of which less than this is given is not worth a sentence."""
UNTOLD: Final = frozenset({"caution", "took-cleared"})
"""Reasons told elsewhere: cautions stand with the jobs, sowing on cleared ground in the headline."""


def bed_advice(bed: BedPlan, speaker: Speaker) -> tuple[Advice, ...]:
    """Advice for each crop that was left to choose in a bed, then for each cover."""
    return (*(crop_advice(choice, speaker) for choice in bed.crops),
            *(advice(choice, speaker) for choice in bed.choices))


def advice(choice: Choice, speaker: Speaker, changes: tuple[Reason, ...] = ()) -> Advice:
    """One gap's advice in words.

    Args:
        changes: what would change the answer (``planner.choice.what_if``).
    """
    chosen = choice.chosen
    tried = [speaker.reason(reason) for reason in _joined(choice.tried)]
    rejected = refusals(choice.ranking.rejected, speaker)[:REFUSALS_SHOWN]
    would = tuple(speaker.reason(reason) for reason in changes)
    if chosen is None:
        return Advice(speaker.wording.word("headline-mulch"), tuple(tried), "", rejected, (), would_change=would)
    how = "companion" if choice.slot.companion else chosen.how
    headline = speaker.phrase(f"headline-{how}", {"covers": chosen.ids, "sow": chosen.sow})
    preferred = [speaker.reason(reason) for reason in choice.preferred]
    reasons = (*preferred, *sentences(_worth_telling(chosen.reasons), speaker)[:REASONS_SHOWN], *tried)
    others = [option for option in choice.ranking.options if option.ids != chosen.ids]
    runner_up = _runner_up(others[0], chosen, speaker, told=bool(choice.preferred)) \
        if others and not choice.slot.companion else ""
    return Advice(headline, tuple(dict.fromkeys(reasons)), runner_up, rejected, _uncertain(choice, chosen, speaker),
                  tuple(speaker.reason(reason) for reason in choice.years), would)


def sentences(reasons: Iterable[Reason], speaker: Speaker) -> tuple[str, ...]:
    """Reasons as sentences, the weightiest first, each once."""
    ordered = sorted((reason for reason in reasons if reason.key not in UNTOLD), key=lambda reason: -abs(reason.weight))
    return tuple(dict.fromkeys(speaker.reason(reason) for reason in ordered))


def _worth_telling(reasons: Iterable[Reason]) -> list[Reason]:
    """Without the purposes of which next to nothing is given."""
    return [reason for reason in reasons if not _gives_nothing(reason)]


def _gives_nothing(reason: Reason) -> bool:
    share = reason.facts.get("share")
    return reason.key.startswith("gives-") and isinstance(share, float) and share < LEAST_SHARE


def _joined(tried: tuple[Reason, ...]) -> list[Reason]:
    """What was tried, with the two ways of sowing under a crop in one sentence."""
    keys = {reason.key for reason in tried}
    both = {"tried-undersown", "tried-between-rows"}
    found = [reason for reason in tried if reason.key not in UNTOLD]
    if not both <= keys:
        return found
    place = next(index for index, reason in enumerate(found) if reason.key in both)
    rest = [reason for reason in found if reason.key not in both]
    return [*rest[:place], Reason("tried-among", good=False), *rest[place:]]


def _runner_up(option: Option, chosen: Option, speaker: Speaker, *, told: bool) -> str:
    """The next best and why it is not taken: what speaks against it alone, else the purpose of which it gives less.

    Where the garden as a whole took the other (``told``), that is why.
    """
    own = {reason.key for reason in chosen.reasons}
    against = [reason for reason in option.reasons
               if not reason.good and reason.key not in own | UNTOLD and not reason.key.startswith("gives-")]
    gives = {reason.key: reason for reason in option.reasons if reason.key.startswith("gives-")}
    less = [(reason.weight - gives[reason.key].weight, gives[reason.key]) for reason in chosen.reasons
            if reason.key in gives and reason.weight > gives[reason.key].weight
            and not _gives_nothing(gives[reason.key])]
    why = ""
    if told and option.score >= chosen.score:
        return speaker.phrase("runner-up-ahead", {"covers": option.ids, "score": round(option.score),
                                                  "best": round(chosen.score)})
    if against:
        why = speaker.reason(max(against, key=lambda reason: abs(reason.weight)))
    elif less:
        why = speaker.phrase("does-less", {"reason": speaker.reason(max(less, key=lambda pair: pair[0])[1])})
    return speaker.phrase("runner-up", {"covers": option.ids, "score": round(option.score),
                                        "best": round(chosen.score), "why": why}).strip()


def _uncertain(choice: Choice, chosen: Option, speaker: Speaker) -> tuple[str, ...]:
    words = [speaker.wording.word("uncertain-dates"), speaker.wording.word("uncertain-growth")]
    chance = chosen.attained.kill_chance
    too_early = any(reason.key == "sown-too-early" for reason in chosen.reasons)
    if chance > 0.02 and chosen.attained.meets_winter and not too_early:
        words.insert(1, speaker.phrase("uncertain-kill", {"kill_chance": chance, "covers": chosen.ids}))
    if choice.slot.bed.size.pots and chosen.attained.meets_winter:
        words.append(speaker.wording.word("uncertain-pots"))
    return tuple(words)

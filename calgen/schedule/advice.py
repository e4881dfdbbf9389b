"""The choice for a gap -> words: what was taken and why, the runner-up, what was refused, what is uncertain."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.schedule.model import Advice

if TYPE_CHECKING:
    from calgen.planner.model import BedPlan, Choice, Option, Reason, Rejected
    from calgen.schedule.wording import Speaker

REASONS_SHOWN: Final = 7
REJECTED_SHOWN: Final = 12


def bed_advice(bed: BedPlan, speaker: Speaker) -> tuple[Advice, ...]:
    """Advice for each cover of a bed."""
    return tuple(advice(choice, speaker) for choice in bed.choices)


def advice(choice: Choice, speaker: Speaker) -> Advice:
    """One gap's advice in words."""
    chosen = choice.chosen
    tried = [speaker.reason(reason) for reason in choice.tried]
    rejected = tuple(_refused(entry, speaker) for entry in choice.ranking.rejected if len(entry.covers) == 1)
    if chosen is None:
        return Advice(speaker.wording.word("headline-mulch"), tuple(tried), "", rejected[:REJECTED_SHOWN], ())
    how = "companion" if choice.slot.companion else chosen.how
    headline = speaker.phrase(f"headline-{how}", {"covers": chosen.ids, "sow": chosen.sow})
    reasons = (*sentences(chosen.reasons, speaker), *tried)
    others = [option for option in choice.ranking.options if option.ids != chosen.ids]
    runner_up = _runner_up(others[0], chosen, speaker) if others else ""
    return Advice(headline, reasons[:REASONS_SHOWN + len(tried)], runner_up, rejected[:REJECTED_SHOWN],
                  _uncertain(chosen, speaker), tuple(speaker.reason(reason) for reason in choice.years))


def sentences(reasons: tuple[Reason, ...], speaker: Speaker) -> tuple[str, ...]:
    """Reasons as sentences, the weightiest first, each once."""
    ordered = sorted((reason for reason in reasons if reason.key != "caution"), key=lambda reason: -abs(reason.weight))
    return tuple(dict.fromkeys(speaker.reason(reason) for reason in ordered))


def _refused(entry: Rejected, speaker: Speaker) -> str:
    why = speaker.reason(entry.reasons[0]) if entry.reasons else ""
    return speaker.phrase("not-this", {"covers": entry.covers, "why": why})


def _runner_up(option: Option, chosen: Option, speaker: Speaker) -> str:
    against = [reason for reason in option.reasons if not reason.good]
    weakest = max(against, key=lambda reason: abs(reason.weight)) if against else None
    return speaker.phrase("runner-up", {
        "covers": option.ids, "score": round(option.score), "best": round(chosen.score),
        "why": speaker.reason(weakest) if weakest else ""}).strip()


def _uncertain(chosen: Option, speaker: Speaker) -> tuple[str, ...]:
    words = [speaker.wording.word("uncertain-dates"), speaker.wording.word("uncertain-growth")]
    chance = chosen.attained.kill_chance
    if chance > 0.02:
        words.insert(1, speaker.phrase("uncertain-kill", {"kill_chance": chance, "covers": chosen.ids}))
    return tuple(words)

"""The choice of a crop for a bed -> words: why it stands there, what came next, which bed would have suited next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.schedule.model import Advice

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.planner.model import BedOffer, CropChoice, LeftOver, Reason
    from calgen.schedule.wording import Speaker


def crop_advice(choice: CropChoice, speaker: Speaker) -> Advice:
    """One place's advice in words; of the crops not chosen, those that cannot start are told as rejected."""
    rejected = tuple(speaker.phrase("crop-refused", {"crop": offer.plant, "why": _why(offer.reasons, (), speaker)})
                     for offer in choice.offers if offer.refused)
    if choice.plant is None or choice.start is None:
        return Advice(speaker.wording.word("headline-no-crop"), (), "", rejected, ())
    own = next(offer for offer in choice.offers if offer.plant == choice.plant)
    headline = speaker.phrase("headline-crop", {"crop": choice.plant, "date": choice.start})
    next_best = (runner_up(choice, speaker), elsewhere(choice, speaker))
    return Advice(headline, crop_reasons(own.reasons, speaker), " ".join(text for text in next_best if text), rejected,
                  ())


def crop_reasons(reasons: Iterable[Reason], speaker: Speaker) -> tuple[str, ...]:
    """Reasons as sentences, the weightiest first."""
    ordered = sorted(reasons, key=lambda reason: -abs(reason.weight))
    return tuple(dict.fromkeys(speaker.reason(reason) for reason in ordered))


def runner_up(choice: CropChoice, speaker: Speaker) -> str:
    """The crop that would have come next in this bed, and what spoke against it."""
    others = [offer for offer in choice.offers if offer.plant != choice.plant and not offer.refused]
    own = next((offer for offer in choice.offers if offer.plant == choice.plant), None)
    if not others or own is None:
        return ""
    best = others[0]
    taken = speaker.phrase("crop-taken", {"bed": ", ".join(dict.fromkeys(best.taken))}) if best.taken else ""
    why = _why(best.reasons, own.reasons, speaker)
    return speaker.phrase("crop-runner-up", {"crop": best.plant, "points": best.points, "best": own.points,
                                             "why": f"{taken} {why}".strip()}).strip()


def elsewhere(choice: CropChoice, speaker: Speaker) -> str:
    """The bed that would have suited the crop next, and what spoke against it there."""
    own = next((offer for offer in choice.offers if offer.plant == choice.plant), None)
    return _in_bed("crop-elsewhere", choice.plant, choice.elsewhere, own.reasons, speaker) \
        if choice.plant and own else ""


def left_over(left: LeftOver, speaker: Speaker) -> str:
    """A crop without a bed, and which bed left to choose would suit it best."""
    return _in_bed("crop-left", left.plant, left.offers, (), speaker)


def _in_bed(key: str, plant: str, offers: tuple[BedOffer, ...], own: Iterable[Reason], speaker: Speaker) -> str:
    if not offers:
        return ""
    best = offers[0]
    held = speaker.phrase("crop-held", {"other": best.holds}) if best.holds else ""
    why = f"{held} {_why(best.reasons, own, speaker)}".strip()
    return speaker.phrase(key, {"crop": plant, "bed": best.bed, "points": best.points, "why": why}).strip()


def _why(reasons: Iterable[Reason], but: Iterable[Reason], speaker: Speaker) -> str:
    """What speaks most against it, beyond what holds for the other as well."""
    known = {reason.key for reason in but}
    against = [reason for reason in reasons if not reason.good and reason.key not in known]
    return speaker.reason(min(against, key=lambda reason: reason.weight)) if against else ""

"""``calgen why``: what was chosen for a bed, and why, like advice from a neighbour who knows."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import argparse

    from calgen.command.load import Desk
    from calgen.planner.model import BedOffer, BedPlan, Choice, CropChoice, Option, Reason
    from calgen.schedule.wording import Speaker

HELP = "tell why a cover or crop was chosen for a bed, what came next and what was refused"
EXAMPLE = "calgen why sites/my-plot.yaml 'Long bed'"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("site", type=Path, metavar="SITE.yaml")
    parser.add_argument("bed", metavar="BED", help="a bed's name or its number")
    parser.add_argument("--json", action="store_true", help="print JSON only")
    parser.add_argument("--templates", type=Path, metavar="DIR", help="folder with your own wording")


def run(args: argparse.Namespace) -> int:
    """Print the reasons."""
    from calgen.command.load import desk, show_problems
    from calgen.problems import InputError

    try:
        found = desk(args.site, args.templates)
        bed = planned_bed(args.bed, found)
        told = _json(bed, found) if args.json else _text(bed, found)
    except InputError as error:
        return show_problems(error)
    print(told)
    return 0


def planned_bed(word: str, found: Desk) -> BedPlan:
    """The plan of a bed by its name or number.

    Raises:
        InputError: no bed has that name or number.
    """
    from calgen.problems import InputError, Place, Problem
    from calgen.yamlfile import nearest

    beds = {plan.bed.name.casefold(): plan for plan in found.plan.beds}
    numbers = {str(number): plan for number, plan in enumerate(found.plan.beds, 1)}
    plan = beds.get(word.casefold()) or numbers.get(word)
    if plan is None:
        near = nearest(word, beds)
        names = ", ".join(entry.bed.name for entry in found.plan.beds)
        advice = f'did you mean "{beds[near].bed.name}"?' if near else f"beds here: {names}"
        raise InputError([Problem(Place(str(found.path)), "", f'"{word}" is no bed here; {advice}')])
    return plan


def _json(bed: BedPlan, found: Desk) -> str:
    import json

    slots = [_slot(choice, found) for choice in bed.choices]
    told = {"format": 1, "bed": bed.bed.name, "slots": slots, "years": _years(bed.years, found)}
    if found.site.wanted:
        told["crops"] = [_crop(choice, found) for choice in bed.crops]
        told["left"] = [{"crop": left.plant, "beds": left.beds, "in": _beds(left.offers, found)}
                        for left in found.plan.left]
    return json.dumps(told, ensure_ascii=False, indent=1)


def _crop(choice: CropChoice, found: Desk) -> dict[str, Any]:
    from calgen.schedule.crop_advice import crop_reasons

    return {
        "chosen": choice.plant, "start": choice.start.isoformat() if choice.start else None,
        "ranking": [{"crop": offer.plant, "points": offer.points, "in": list(dict.fromkeys(offer.taken)),
                     "reasons": list(crop_reasons(offer.reasons, found.speaker))}
                    for offer in choice.offers if not offer.refused],
        "rejected": [{"crop": offer.plant, "reasons": list(crop_reasons(offer.reasons, found.speaker))}
                     for offer in choice.offers if offer.refused],
        "elsewhere": _beds(choice.elsewhere, found),
    }


def _beds(offers: tuple[BedOffer, ...], found: Desk) -> list[dict[str, Any]]:
    from calgen.schedule.crop_advice import crop_reasons

    return [{"bed": offer.bed, "points": offer.points, "holds": offer.holds or None,
             "reasons": list(crop_reasons(offer.reasons, found.speaker))} for offer in offers]


def _years(reasons: tuple[Reason, ...], found: Desk) -> list[dict[str, Any]]:
    return [{"plants": list(facts["plants"]), "what": reason.key.removeprefix("years-").rpartition("-")[0],
             "date": facts["date"].isoformat(), "hits": facts["hits"], "of": facts["of"],
             "from_record": facts["from_record"], "text": found.speaker.reason(reason)}
            for reason in reasons for facts in (dict[str, Any](reason.facts),)]


def _slot(choice: Choice, found: Desk) -> dict[str, Any]:
    from calgen.planner.choice.what_if import changes
    from calgen.schedule.advice import sentences

    slot, chosen = choice.slot, choice.chosen
    speaker = found.speaker
    return {
        "after": slot.before[-1].id if slot.before else None,
        "before": slot.next_crop.id if slot.next_crop else None,
        "chosen": {"covers": list(chosen.ids), "how": chosen.how, "sow": chosen.sow.isoformat(),
                   "sow_from": chosen.sow_first.isoformat(), "sow_last": chosen.sow_last.isoformat(),
                   "cut": chosen.ending.best.isoformat(), "way": chosen.ending.way,
                   "seed_g": {plant: round(grams, 1) for plant, grams in chosen.seed_g.items()}}
        if chosen else {"covers": [], "how": "mulch", "sow": None},
        "ranking": [{"covers": list(option.ids), "score": round(option.score, 1), "how": option.how,
                     "sow": option.sow.isoformat(), "reasons": list(sentences(option.reasons, speaker))}
                    for option in choice.ranking.options],
        "rejected": [{"covers": list(entry.covers), "reasons": list(sentences(entry.reasons, speaker))}
                     for entry in choice.ranking.rejected],
        "years": _years(choice.years, found),
        "preferred": [speaker.reason(reason) for reason in choice.preferred],
        "would_change": [{"if": reason.key.removeprefix("change-"), "covers": list(facts.get("covers", ())),
                          "date": facts["date"].isoformat() if "date" in facts else None,
                          "text": speaker.reason(reason)}
                         for reason in changes(choice, found.climate, found.knowledge)
                         for facts in (dict[str, Any](reason.facts),)],
        "tried": [speaker.reason(reason) for reason in choice.tried],
    }


def _seed_and_days(option: Option, speaker: Speaker) -> str:
    from calgen.schedule.job import seed_words

    told = speaker.phrase("why-seed", {"seed": seed_words(option.seed_g, speaker), "first": option.sow,
                                       "last": option.sow_last})
    if option.ending.way in ("winter-kill", "leave"):
        return told
    return f"{told} {speaker.phrase('why-cut', {'cut': option.ending.best})}"


def _text(bed: BedPlan, found: Desk) -> str:
    from textwrap import fill

    from calgen.planner.choice.what_if import changes
    from calgen.schedule.advice import advice

    speaker = found.speaker
    lines = [bed.bed.name, *_crop_lines(bed, found)]
    for choice in bed.choices:
        slot = choice.slot
        between = [speaker.listed((slot.before[-1].id,))] if slot.before else ["bare ground"]
        between.append(speaker.listed((slot.next_crop.id,)) if slot.next_crop else "what is still open")
        told = advice(choice, speaker, changes(choice, found.climate, found.knowledge))
        lines += ["", fill(f"Between {between[0]} and {between[1]}: {told.headline}", 96)]
        if choice.chosen:
            lines.append(fill(_seed_and_days(choice.chosen, speaker), 96))
        lines += [fill(f"- {sentence}", 96, subsequent_indent="  ") for sentence in told.reasons]
        if told.years:
            lines.append("Year by year:")
            lines += [fill(f"- {sentence}", 96, subsequent_indent="  ") for sentence in told.years]
        if told.runner_up:
            lines.append(fill(told.runner_up, 96))
        if told.would_change:
            lines.append("What would change this:")
            lines += [fill(f"- {sentence}", 96, subsequent_indent="  ") for sentence in told.would_change]
        if told.rejected:
            lines.append("Not here:")
            lines += [fill(f"- {sentence}", 96, subsequent_indent="  ") for sentence in told.rejected]
        if told.uncertain:
            lines.append("Uncertain:")
            lines += [fill(f"- {sentence}", 96, subsequent_indent="  ") for sentence in told.uncertain]
    if not bed.choices and not bed.crops:
        lines.append("No cover stands in this bed's order; add \"- cover: choose\" where one may grow.")
    if bed.years:
        lines += ["", "Tender crops, year by year:"]
        lines += [fill(f"- {speaker.reason(reason)}", 96, subsequent_indent="  ") for reason in bed.years]
    lines += [fill(f"note: {speaker.reason(note.reason)}", 96) for note in bed.notes]
    return "\n".join(lines)


def _crop_lines(bed: BedPlan, found: Desk) -> list[str]:
    """What was left to choose here and why it fell so; crops that found no bed, with the best for them."""
    from textwrap import fill

    from calgen.schedule.crop_advice import crop_advice, left_over

    lines: list[str] = []
    for choice in bed.crops:
        told = crop_advice(choice, found.speaker)
        lines += ["", fill(told.headline, 96)]
        lines += [fill(f"- {sentence}", 96, subsequent_indent="  ") for sentence in told.reasons]
        lines += [fill(told.runner_up, 96)] if told.runner_up else []
        if told.rejected:
            lines.append("Not here:")
            lines += [fill(f"- {sentence}", 96, subsequent_indent="  ") for sentence in told.rejected]
    left = [text for one in found.plan.left if (text := left_over(one, found.speaker))] if bed.crops else []
    return [*lines, *([""] if left else []), *(fill(text, 96) for text in left)]

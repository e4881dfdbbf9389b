"""Tasks of the plan -> jobs on garden days, with their words."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final, cast

from msgspec.structs import replace

from calgen.schedule.job_day import SOWN
from calgen.schedule.model import Job
from calgen.schedule.wording import tidy_mm

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from calgen.knowledge.model import Cover
    from calgen.planner.model import BedPlan, Fact, Plan, Reason, Timed
    from calgen.schedule.job_day import JobDays
    from calgen.schedule.model import Kind, SeedLine
    from calgen.schedule.wording import Speaker

DAY: Final = timedelta(1)
SHEET: Final = ("tarp",)
"""The mulch that is laid as a sheet, not by depth and volume."""
REASONS_IN_A_JOB: Final = 3
TASK_BEFORE_YEAR_TURN: Final = timedelta(183)


def jobs(plan: Plan, days: JobDays, speaker: Speaker) -> list[Job]:
    """Every job of every bed whose day lies within the chart."""
    found: list[Job] = []
    for number, bed in enumerate(plan.beds):
        counts: dict[str, int] = defaultdict(int)
        for place, timed in enumerate(bed.tasks):
            job = _job(plan, bed, timed, days.days[number, place], speaker, counts)
            if plan.start <= job.on < plan.end:
                found.append(job)
    return found


def _job(plan: Plan, bed: BedPlan, timed: Timed, on: date, speaker: Speaker, counts: dict[str, int]) -> Job:
    season_year = (timed.best - TASK_BEFORE_YEAR_TURN).year if plan.site.south else timed.best.year
    variant = _variant(timed)
    base = f"{bed.bed.name}|{timed.kind}{'-fallback' if variant == 'mulch-fallback' else ''}|" \
           f"{'+'.join(timed.plants)}|{season_year}"
    counts[base] += 1
    act = _act(timed, variant)
    facts = _facts(bed, timed, on, speaker)
    reasons = sorted(_why(timed, on), key=lambda reason: -abs(reason.weight))
    told = [reason for reason in reasons if reason.good or timed.kind not in SOWN] or reasons
    why = " ".join(speaker.reason(reason) for reason in told[:REASONS_IN_A_JOB])
    cautions = _cautions(timed, speaker)

    def said(key: str) -> str:
        return _said(bed, key, facts, speaker)

    return Job(
        key=f"{base}|{counts[base]}", uid="", bed=bed.bed.name, kind=cast("Kind", timed.kind), plants=timed.plants,
        on=on, first=timed.first, last=timed.last, latest=timed.last, slack_days=max((timed.last - on).days, 0),
        title=said(f"{act}.title"), text=said(f"{variant}.text"), why=why,
        next_step=said("look-late.next" if variant == "look" and _too_late(timed) else f"{variant}.next"),
        how=_first(timed, facts, speaker) + said(f"{act}.how"),
        caution=cautions, seed_g={plant: round(grams, 1) for plant, grams in timed.seed_g.items()},
        quantity=cast("str", facts.get("seed", "") or facts.get("volume", "")),
        last_call=timed.frost_closes and timed.kind != "top-up" and timed.last > on, done=timed.done,
    )


def _variant(timed: Timed) -> str:
    """The key of a task's texts."""
    facts = timed.facts
    if timed.kind == "cut-down":
        return f"cut-down.{facts.get('way', 'cut-at-ground')}"
    if timed.kind == "clear":
        return timed.why[0].key.replace("clear-for-", "clear.") if timed.why else "clear.nothing"
    return {
        "mulch": "mulch-fallback" if "fallback" in facts else "mulch-sheet" if timed.plants == SHEET else "mulch",
        "look": "look-tarp" if "tarp" in facts else "look",
        "plant": "plant-piece" if facts.get("method") == "plant" else "plant-transplant",
        "sow": "sow-crop" if "crop" in facts else "sow-cover",
    }.get(timed.kind, timed.kind)


def _too_late(timed: Timed) -> bool:
    """Whether a new sowing is looked at only after the last day on which gaps could be sown."""
    last = timed.facts.get("sow_last")
    return isinstance(last, date) and timed.first > last


def _why(timed: Timed, on: date) -> tuple[Reason, ...]:
    """Why a task is done; a mulch instead of a cover may have moved past the last day on which that can be sown."""
    last = timed.facts.get("sow_last")
    if "fallback" not in timed.facts or not isinstance(last, date) or on <= last:
        return timed.why
    return tuple(replace(why, key="mulch-fallback") if why.key == "mulch-meanwhile" else why for why in timed.why)


def _act(timed: Timed, variant: str) -> str:
    """The wording of title and how, where that differs from the rest: what is lifted, and what piece is planted."""
    if timed.kind == "clear" and timed.facts.get("lifted") == "yes":
        lifting = timed.facts["lifting"]
        return "lift" if lifting == "roots" else f"lift.{lifting}"
    return f"{variant}.{timed.facts['piece']}" if variant == "plant-piece" else variant


def _said(bed: BedPlan, key: str, facts: Mapping[str, Fact], speaker: Speaker) -> str:
    """A text of a job; in pots the words for pots, where the wording has some (``sow-cover.how-in-pots``)."""
    own = speaker.job(f"{key}-in-pots", facts) if bed.bed.size.pots else ""
    return own or speaker.job(key, facts)


def _first(timed: Timed, facts: Mapping[str, Fact], speaker: Speaker) -> str:
    """What comes before a sowing where a standing crop is to be opened up for it."""
    if timed.kind in ("undersow", "drill") and "before_sowing" in timed.facts:
        return speaker.phrase(f"first-{timed.facts['before_sowing']}", facts) + " "
    return ""


def _facts(bed: BedPlan, timed: Timed, on: date, speaker: Speaker) -> dict[str, Fact]:
    given = timed.facts
    facts: dict[str, Fact] = {**given, "bed": bed.bed.name, "area_m2": bed.bed.size.area_m2, "latest": timed.last,
                              "first": timed.first, "last": timed.last, "plants": timed.plants}
    if timed.seed_g:
        facts["seed"] = seed_words(timed.seed_g, speaker)
    if "depth_low_mm" in given:
        facts["depth"] = _range(given, "depth_low_mm", "depth_high_mm", speaker)
    if "litres_low" in given and timed.plants != SHEET:
        facts["volume"] = _range(given, "litres_low", "litres_high", speaker)
    if "covers" in given:
        facts["cover_words"] = speaker.phrase("covers-by-winter", {"ground_cover_share": given["ground_cover"]}) \
            if "ground_cover" in given else ""
    if isinstance(given.get("plant"), date):
        facts["plant_on"] = given["plant"]
    if "fallback" in given:
        still = on <= cast("date", given["sow_last"])
        facts["still_words"] = speaker.phrase("still-sown" if still else "past-sowing", {"sow_last": given["sow_last"]})
    if "wait_high" in given:
        low, high = given["wait_low"], given["wait_high"]
        facts["wait"] = speaker.wording.word("wait-none") if not high else speaker.phrase("wait-one", {"days": high}) \
            if low == high else speaker.phrase("wait", {"low": low, "high": high})
    if "in_row_cm" in given and "rows_cm" in given:
        facts["spacing"] = _spacing(bed, float(cast("float", given["in_row_cm"])),
                                    float(cast("float", given["rows_cm"])), speaker)
    if isinstance(given.get("ready"), date):
        lifted = given.get("lifted") == "yes"
        facts["ready_words"] = speaker.phrase("ready-lift" if lifted else "ready-pick", {"ready": given["ready"]})
    return facts


def _spacing(bed: BedPlan, in_row_cm: float, rows_cm: float, speaker: Speaker) -> str:
    """Distances and how many plants the ground takes; in pots, how many to a pot."""
    size = bed.bed.size
    each_m2 = in_row_cm * rows_cm / 10_000
    if size.pots:
        return speaker.phrase("spacing-pots", {"count": max(1, round(size.area_m2 / size.pots / each_m2))})
    if size.width_m is not None and rows_cm > size.width_m * 100:
        row_cm = size.area_m2 / size.width_m * 100
        return speaker.phrase("spacing-one-row", {"in_row_cm": in_row_cm, "count": max(1, round(row_cm / in_row_cm))})
    return speaker.phrase("spacing", {
        "in_row_cm": in_row_cm, "rows_cm": rows_cm, "count": max(1, round(size.area_m2 / each_m2))})


def _range(facts: Mapping[str, Fact], low: str, high: str, speaker: Speaker) -> str:
    first, second = speaker.shown(low.replace("_low", ""), facts[low]), speaker.shown(high.replace("_high", ""),
                                                                                     facts[high])
    if first == second:
        return first
    number, _, unit = first.partition(" ")
    if unit == speaker.wording.word("unit-mm") and not second.endswith(f" {unit}"):
        cm = tidy_mm(float(cast("float", facts[low]))) / 10
        first = speaker.unit(cm, 0 if cm == int(cm) else 1, "cm")
        number, _, unit = first.partition(" ")
    same = second.endswith(" " + unit)
    return speaker.phrase("range", {"low": number if same else first, "high": second})


def seed_words(seed_g: Mapping[str, float], speaker: Speaker) -> str:
    """Seed by plant, heaviest first: ``cereal rye 96 g, hairy vetch 20 g``."""
    parts = [f"{speaker.wording.plant(plant, speaker.knowledge)} {speaker.shown('seed_g', grams)}"
             for plant, grams in sorted(seed_g.items(), key=lambda entry: (-entry[1], entry[0]))]
    return speaker.wording.word("list-between").join(parts)


def _cautions(timed: Timed, speaker: Speaker) -> str:
    """The cautions of the plants a job handles: at sowing and cutting for covers, at planting for crops."""
    if timed.kind in ("look", "top-up", "mulch", "clear", "harden-off"):
        return ""
    found: list[str] = []
    for plant in timed.plants:
        known: Cover | None = speaker.knowledge.covers.get(plant)
        crop = speaker.knowledge.crops.get(plant)
        for caution in (known.cautions if known else crop.cautions if crop else ()):
            text = speaker.wording.said(caution.text)
            if text not in found:
                found.append(text)
    return " ".join(f"{text[:1].upper()}{text[1:].removesuffix('.')}." for text in found[:3])


def order_jobs(plan: Plan, seeds: Iterable[SeedLine], speaker: Speaker) -> list[Job]:
    """Ordering the cover seed the tin lacks: one job for what is first sown within six weeks, three weeks ahead."""
    lines = sorted((line for line in seeds if line.to_order_g > 0), key=lambda line: (line.by, line.plant))
    batches: list[list[SeedLine]] = []
    for line in lines:
        if batches and line.by - batches[-1][0].by <= timedelta(42):
            batches[-1].append(line)
        else:
            batches.append([line])
    found = []
    for batch in batches:
        by = batch[0].by
        best = max(by - timedelta(21), plan.start)
        if not plan.start <= best < plan.end:
            continue
        plants = tuple(line.plant for line in batch)
        seed = {line.plant: line.to_order_g for line in batch}
        tin = {line.plant: line.in_hand_g for line in batch if line.in_hand_g > 0}
        facts: dict[str, Fact] = {"covers": plants, "by": by, "seed": seed_words(seed, speaker)}
        text = speaker.job("order-seed.text", facts)
        if tin:
            text += " " + speaker.phrase("seed-besides-tin", {"seed": seed_words(tin, speaker)})
        found.append(Job(
            key=f"|order-seed|{plants[0]}|{by.year}|1", uid="", bed="", kind="order-seed", plants=plants, on=best,
            first=best, last=max(by - DAY, best), latest=max(by - DAY, best), slack_days=max((by - best).days - 1, 0),
            title=speaker.job("order-seed.title", facts), text=text, why="",
            next_step=speaker.job("order-seed.next", facts), how=speaker.job("order-seed.how", facts), seed_g=seed,
            quantity=cast("str", facts["seed"])))
    return found

"""Tasks of crops, covers and mulches with their windows. Nothing is put on garden days yet: that is the schedule's.

    days            meaning                                                     from practice.yaml, with its source
    harden-off      before planting out                                         harden-off-days
    look            after sowing a cover: emergence and bare patches            look-after-days
    top-up          re-sowing thin patches while the window lasts               top-up-days
    look            under the tarp that lies on a cut cover                     tarp-days
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from msgspec.structs import replace

from calgen.planner.choice.pot import pot_way
from calgen.planner.model import Reason, Timed
from calgen.site.model import CoverStep

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.knowledge.model import Knowledge, Mulch
    from calgen.planner.model import Choice, Fact, Option
    from calgen.planner.stand import Stand
    from calgen.site.model import Size

DAY = timedelta(1)
MISSED_AFTER = timedelta(21)
"""A cover not sown three weeks after its day leaves the ground bare for too long: mulch meanwhile. Judgement."""
CLEAR_WITHIN = timedelta(28)
"""A crop that is over is cleared within four weeks, whatever follows: old plants keep pests and disease. Judgement."""

PAST_SAFE = frozenset({"past-safe-sowing", "past-safe-and-killed"})
"""Reasons of a sowing that comes too late to be called safe: its last day is told without that word."""


def _days(count: float) -> timedelta:
    return timedelta(round(count))


def crop_start_tasks(stand: Stand, knowledge: Knowledge) -> tuple[Timed, ...]:
    """Sowing indoors, hardening off, and sowing or planting out; a start the grower wrote is one dated task."""
    crop, start = stand.crop, stand.start
    why = (start.window.why,) if start.window else (Reason("own-date", {"date": start.best}),)
    facts: dict[str, Fact] = {"crop": crop.id, "depth_mm": crop.depth_mm.mid if crop.depth_mm else 0.0,
                              "in_row_cm": crop.in_row_cm.mid, "rows_cm": crop.rows_cm.mid, "method": start.method,
                              "ready": stand.ready, "lifted": "yes" if crop.lifted else "no", "piece": crop.piece}
    if start.method == "direct":
        return (Timed("sow", (crop.id,), start.first, start.best, start.last, why, facts,
                      frost_closes=start.season in ("autumn", "overwinter")),)
    plant = Timed("plant", (crop.id,), start.first, start.best, start.last, why, facts)
    if start.method == "plant" or crop.indoors_weeks is None:
        return (plant,)
    weeks = crop.indoors_weeks
    sown = stand.step.sown
    if sown:
        indoors = Timed("sow-indoors", (crop.id,), sown, sown, sown, why, facts)
    else:
        best = start.best - _days((weeks.high if stand.large_plants else weeks.mid) * 7)
        indoors = Timed("sow-indoors", (crop.id,), min(best, start.first - _days(weeks.high * 7)), best,
                        max(best, start.last - _days(weeks.low * 7)), why, {**facts, "plant": start.best})
    harden = knowledge.practice["harden-off-days"]
    hardening = Timed("harden-off", (crop.id,), start.best - _days(harden.high), start.best - _days(harden.mid),
                      start.best - _days(harden.low), (Reason("harden-off", {"date": start.best}, harden.sources),),
                      {**facts, "plant": start.best})
    return indoors, hardening, plant


def clear_task(stand: Stand, last: date, next_kind: str, next_plants: tuple[str, ...], next_on: date) -> Timed:
    """Clearing the crop: from a fair harvest to the last day that what follows allows; ``next_on`` is its day.

    For mulch it is cleared no sooner than that is laid, so that both are done on the same garden day.
    """
    best = min(stand.end, max(last, stand.end_first))
    last = min(last, best + CLEAR_WITHIN)
    why = Reason(f"clear-for-{next_kind}", {"plants": next_plants, "date": next_on})
    first = best if next_kind == "mulch" else min(stand.end_first, best)
    return Timed("clear", (stand.crop.id,), first, best, max(last, best), (why,),
                 {"crop": stand.crop.id, "next": next_plants, "next_on": next_on,
                  "lifted": "yes" if stand.crop.lifted else "no", "lifting": stand.crop.lifting})


def gather_task(stand: Stand) -> Timed:
    """Gathering seed of a crop marked ``save-seed``."""
    assert stand.crop.save_seed_days is not None
    wait = stand.crop.save_seed_days
    best = stand.ready + _days(wait.mid)
    return Timed("gather-seed", (stand.crop.id,), stand.ready + _days(wait.low), best, stand.ready + _days(wait.high),
                 (Reason("gather-seed", {"date": best}, wait.sources),), {"crop": stand.crop.id})


def cover_tasks(choice: Choice, option: Option, knowledge: Knowledge) -> tuple[Timed, ...]:
    """Sowing, the look, topping up, cutting down, and the mulch that is the fallback after the last safe day."""
    kind = {"cleared": "sow", "undersown": "undersow", "between-rows": "drill"}[option.how]
    facts = cover_facts(choice, option)
    first, last = (option.sow, option.sow) if choice.slot.fixed_sown else (option.sow_first, option.sow_last)
    safe = not any(reason.key in PAST_SAFE for reason in option.reasons)
    tasks = [Timed(kind, option.ids, first, option.sow, last, option.reasons, facts, option.seed_g,
                   frost_closes=safe)]
    look = knowledge.practice["look-after-days"]
    top_up = knowledge.practice["top-up-days"]
    looked = Reason("look-why", {}, look.sources)
    tasks.append(Timed("look", option.ids, option.sow + _days(look.low), option.sow + _days(look.mid),
                       option.sow + _days(look.high), (looked,), facts))
    top_last = min(option.sow + _days(top_up.high), option.sow_last)
    top_first = option.sow + _days(max(top_up.low, look.mid + 1))
    if top_first <= top_last:
        best = max(top_first, min(option.sow + _days(top_up.mid), top_last))
        tasks.append(Timed("top-up", option.ids, top_first, best, top_last,
                           (Reason("top-up-why", {"last": option.sow_last}, top_up.sources),), facts,
                           {plant: grams * 0.2 for plant, grams in option.seed_g.items()}, frost_closes=safe))
    ending = option.ending
    own = choice.step.cut if isinstance(choice.step, CoverStep) else None
    cut = Timed("cut-down", option.ids, own or ending.first, own or ending.best, own or ending.last, ending.reasons,
                facts)
    if ending.way != "leave":
        tasks.append(cut)
    if ending.way == "tarp":
        tarp = knowledge.practice["tarp-days"]
        tasks.append(lifted_by(Timed(
            "look", option.ids, cut.best + _days(tarp.low), cut.best + _days(tarp.mid), cut.best + _days(tarp.high),
            (Reason("tarp-why", {}, tarp.sources),), {**facts, "tarp": "yes"})))
    return tuple(tasks)


def lifted_by(look: Timed) -> Timed:
    """The look under a tarp, which is lifted by the day the next crop starts."""
    start = look.facts.get("next_start")
    if not isinstance(start, date) or look.last <= start:
        return look
    return replace(look, first=min(look.first, start), best=min(look.best, start), last=start)


def companion_cut_task(choice: Choice, option: Option, day: date, wait: timedelta, size: Size) -> Timed:
    """Cutting a companion that covered the ground after its crop, a wait before the next one."""
    facts: dict[str, Fact] = {**cover_facts(choice, option), "cut": day, "wait_low": wait.days, "wait_high": wait.days,
                              "way": pot_way(option.covers) if size.pots else "cut-at-ground"}
    return Timed("cut-down", option.ids, day - timedelta(14), day, day + timedelta(7),
                 (Reason("companion-stays", {"covers": option.ids}),), facts)


def fallback_task(choice: Choice, option: Option, mulch: Mulch, size: Size) -> Timed:
    """The mulch that takes the place of a cover not sown in time: from the day after its last safe sowing."""
    first = min(option.sow_last + DAY, option.sow + MISSED_AFTER)
    key = "mulch-fallback" if first > option.sow_last else "mulch-meanwhile"
    return Timed("mulch", (mulch.names.id,), first, first, first + timedelta(14),
                 (Reason(key, {"covers": option.ids, "last": option.sow_last}),),
                 {**mulch_facts(mulch, size), "fallback": "yes", "covers": option.ids, "sow_last": option.sow_last})


def mulch_task(mulch: Mulch, size: Size, day: date, last: date, why: tuple[Reason, ...]) -> Timed:
    """Laying a mulch on bare ground."""
    return Timed("mulch", (mulch.names.id,), day, day, max(last, day), why, mulch_facts(mulch, size))


def mulch_facts(mulch: Mulch, size: Size) -> Mapping[str, Fact]:
    """Depth and volume: area times depth. [mm, litres]"""
    return {"depth_low_mm": mulch.depth_mm.low, "depth_high_mm": mulch.depth_mm.high,
            "litres_low": size.area_m2 * mulch.depth_mm.low, "litres_high": size.area_m2 * mulch.depth_mm.high}


def cover_facts(choice: Choice, option: Option) -> dict[str, Fact]:
    """What the wording needs to say about a cover."""
    attained = option.attained
    facts: dict[str, Fact] = {
        "covers": option.ids, "how": option.how, "sow": option.sow, "sow_last": option.sow_last,
        "depth_low_mm": min(cover.depth_mm.low for cover in option.covers),
        "depth_high_mm": max(cover.depth_mm.high for cover in option.covers),
        "way": option.ending.way, "cut": option.ending.best,
        "cut_last": option.ending.last, "wait_low": option.ending.wait_days[0],
        "wait_high": option.ending.wait_days[1], "kill_chance": attained.kill_chance,
        "seed_factor": option.seed_factor, "area_m2": choice.slot.bed.size.area_m2,
    }
    if attained.meets_winter:
        facts["ground_cover"] = attained.ground_cover_winter
    if choice.slot.standing:
        facts["standing"] = choice.slot.standing.id
        if option.how != "cleared" and not choice.slot.companion and choice.slot.standing.undersow.before:
            facts["before_sowing"] = choice.slot.standing.undersow.before
    if choice.slot.next_crop:
        facts["next"] = choice.slot.next_crop.id
        if option.next_start or choice.slot.next_start:
            facts["next_start"] = option.next_start or choice.slot.next_start or option.ending.best
    return facts

"""How and when a cover is ended, with the tools at hand, and how long the ground then waits.

    way               when it is chosen
    winter-kill       winter is likely to kill it; a cutting is kept in hand for the winter that does not
    cut-at-flowering  it flowers in time: then it dies when cut low, and has done its work
    cut-at-ground     it does not flower in time but does not grow again from its roots: cut at soil level, roots stay
    cut-young         with a tiller: cut and turned in before it flowers
    tarp              it would grow again: cut, then kept dark for weeks
    snip              in pots: cut off at soil level, roots stay
    pull              in pots, what would grow again: out with its crown
    leave             a companion: nothing to do but keep it from seeding

The numbers (days under a tarp, days to seed, cold soil, stiff residue) are among the practice numbers, with sources.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Final, Literal

from calgen.planner.choice.attain import contents
from calgen.planner.choice.course import LIKELY, course
from calgen.planner.choice.pot import pot_way, regrows
from calgen.planner.model import Ending, Reason

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Cover, Quantity
    from calgen.planner.choice.course import Course
    from calgen.planner.model import Slot

    Practice = Mapping[str, Quantity]

RIPE_WITHIN_DAYS: Final = 300
NextKind = Literal["small-seed", "large-seed", "transplant"]
CutWay = Literal["cut-at-ground", "cut-at-flowering", "cut-young", "tarp", "snip", "pull"]


def next_kind(slot: Slot) -> NextKind:
    """What the next crop is started from, as it bears on the wait."""
    crop = slot.next_crop
    if crop is None or slot.next_method in ("transplant", "plant"):
        return "transplant"
    if slot.next_method is None and "direct" not in crop.methods:
        return "transplant"
    return "small-seed" if crop.seed_size == "small" else "large-seed"


def wait_days(cover: Cover, kind: NextKind, c_to_n: float, soil_c: float, practice: Practice) -> tuple[int, int]:
    """Days between cutting and the next start [low, high]: the published range, longer for stiff residue and cold.

    The sources disagree (rye: one week before transplants to four before small seed); both ends are kept.
    """
    weeks = _wait(cover, kind)
    high = round(weeks.high * 7)
    if c_to_n > practice["ties-up-c-to-n"].mid:
        high += round(practice["wait-longer-days"].mid)
    if soil_c < practice["cold-soil-c"].mid:
        high += round(practice["wait-longer-days"].mid)
    return round(weeks.low * 7), high


def _wait(cover: Cover, kind: NextKind) -> Quantity:
    return cover.wait_weeks.get(kind) or next(iter(cover.wait_weeks.values()))


def ending(cover: Cover, climate: Climate, slot: Slot, sow: date, practice: Practice) -> Ending | None:
    """How a cover sown on a day is ended in this slot; None when there is no time for it.

    ``last`` is the last day that leaves the shorter wait before the planned start, ``best`` leaves the longer one. For
    what winter kills they date the cutting that is kept in hand, before the next crop; it is killed about ``killed``.
    """
    life = course(cover, climate, sow)
    if slot.companion:
        stop = slot.until
        return Ending("leave", stop, stop, stop, (0, 0), (Reason("end-companion", {"date": stop}),))
    killed = life.killed if life.killed and life.killed < slot.due else None
    if killed and life.kill_chance >= LIKELY:
        return _winter_killed(cover, climate, slot, life, practice)
    return _cut(cover, climate, slot, life, practice)


def cut_short(cover: Cover, slot: Slot, sow: date) -> Ending:
    """The end of a cover that is in the ground with too little time before what comes next: cut when that is due."""
    due = slot.due
    low = round(_wait(cover, next_kind(slot)).low * 7) if slot.next_crop else 0
    day = max(due - timedelta(low), sow + timedelta(1))
    way = pot_way((cover,)) if slot.bed.size.pots else "cut-at-ground"
    return Ending(way, day, day, day, (min(low, max(0, (due - day).days)), low),
                  (Reason("end-cut-short", {"date": day}, good=False),))


def _winter_killed(cover: Cover, climate: Climate, slot: Slot, life: Course, practice: Practice) -> Ending | None:
    due, kind, killed = slot.due, next_kind(slot), life.killed
    if killed is None or life.emerges is None or killed <= life.emerges:
        return None
    seeding = _seeding(cover, climate, life, practice)
    if seeding and seeding < killed and cover.kind != "grass":
        return _cut(cover, climate, slot, life, practice)
    low, high = wait_days(cover, kind, 0.0, 99.0, practice) if slot.next_start else (0, 0)
    last = max(killed, due - timedelta(low))
    best = max(killed, due - timedelta(high))
    reasons = [Reason("end-winter-kill", {"date": killed, "chance": life.kill_chance}, cover.kill_c.sources),
               Reason("end-if-it-survives", {"date": last}, cover.kill_c.sources, good=False)]
    if kind == "small-seed" and slot.next_crop:
        reasons.append(Reason("end-rake-off", {"crop": slot.next_crop.id}))
    return Ending("winter-kill", max(killed, best - timedelta(10)), best, last, (low, high), tuple(reasons))


def _cut(cover: Cover, climate: Climate, slot: Slot, life: Course, practice: Practice) -> Ending | None:
    if life.emerges is None:
        return None
    due, kind = slot.due, next_kind(slot)
    least = timedelta(round(practice["cut-after-days"].mid))
    in_bloom = practice["cut-in-flower-days"].mid
    rough = due - least
    stiff = sum(contents(cover.c_to_n, life, rough)) / 2
    low, high = wait_days(cover, kind, stiff, climate.soil_c(rough), practice) if slot.next_crop else (0, 0)
    way = _way(cover, slot, life, due - timedelta(low))
    if way == "tarp" and slot.next_crop:
        tarp = practice["tarp-days"]
        low, high = max(low, round(tarp.low)), max(high, round(tarp.high))
    last, best = due - timedelta(low), due - timedelta(high)
    seeding = _seeding(cover, climate, life, practice)
    reasons: list[Reason] = []
    words = cover.ends.get("cut-at-ground" if way == "snip" else way) or cover.cut_stage
    if way == "cut-at-flowering" and life.flowers:
        last = min(last, seeding or last)
        first = life.flowers
        best = min(max(first, min(best, first + timedelta(round(in_bloom)))), last)
        reasons.append(Reason("end-at-flowering", {"date": best, "seeds": seeding or last}, words.sources))
    else:
        if seeding and seeding < last:
            last, best = seeding, min(best, seeding - timedelta(round(in_bloom) // 2))
        if best < life.emerges + least:
            best = min(last, life.emerges + least)
        first = best - timedelta(10)
        reasons.append(Reason(f"end-{way}", {"date": best}, words.sources))
    if last < life.emerges + least:
        return None
    if slot.next_crop and high:
        reasons.append(Reason("end-wait", {"low": low, "high": high, "crop": slot.next_crop.id},
                              _wait(cover, kind).sources))
    first = max(min(first, best), life.emerges + least)
    return Ending(way, min(first, best), best, last, (low, high), tuple(reasons))


def _way(cover: Cover, slot: Slot, life: Course, last: date) -> CutWay:
    """The least work that the dates, the tools and the cover's own data allow."""
    if slot.bed.size.pots:
        return pot_way((cover,))
    lasting = cover.life in ("perennial", "biennial")
    if life.flowers and life.flowers <= last and "cut-at-flowering" in cover.ends and not lasting:
        return "cut-at-flowering"
    if slot.site.tools == "tiller" and "cut-young" in cover.ends:
        return "cut-young"
    return "tarp" if regrows(cover) else "cut-at-ground"


def _seeding(cover: Cover, climate: Climate, life: Course, practice: Practice) -> date | None:
    """The day of the first ripe seed, counted from first flower in summer days: seed that sets in autumn ripens late.

    What flowers on for weeks and drops seed as it goes, as buckwheat does, is faster.
    """
    if life.flowers is None:
        return None
    quick = cover.life == "annual" and cover.kind == "other" and cover.hurt_by_first_frost
    days = practice["quick-seed-days" if quick else "seed-set-days"].mid
    base = cover.base_c.mid
    ripe = climate.day_reached(life.flowers, days * (practice["summer-day-c"].mid - base), base, RIPE_WITHIN_DAYS)
    return max(ripe, life.flowers + timedelta(round(days))) if ripe else None

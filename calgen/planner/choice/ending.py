"""How and when a cover is ended, with the tools at hand, and how long the ground then waits.

    way               when it is chosen
    winter-kill       winter is likely to kill it; a cutting is kept in hand for the winter that does not
    cut-at-flowering  it flowers in time: then it dies when cut low, and has done its work
    cut-at-ground     it does not flower in time but does not grow again from its roots: cut at soil level, roots stay
    cut-young         a grass before stem extension, or anything where a tiller is at hand: cut and turned in
    tarp              it would grow again: cut, then kept dark for weeks
    pull              in pots: pulled or snipped
    leave             a companion or a cover with nothing after it: nothing to do but keep it from seeding
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final, Literal

from calgen.planner.choice.attain import contents
from calgen.planner.choice.course import course
from calgen.planner.model import Ending, Reason

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Cover
    from calgen.planner.choice.course import Course
    from calgen.planner.model import Slot

TARP_DAYS: Final = (21, 28)
"""Rye under an opaque tarp: 3-4 weeks sure, 2 weeks nearly so, 1 week fails. Source: Practical Farmers of Iowa 2023."""
SEED_SET_DAYS: Final = 21
"""From first flower to the first ripe seed. Judgement; shorter covers say so by ``QUICK_SEED_DAYS``."""
QUICK_SEED_DAYS: Final = 10
"""Buckwheat and its like: cut within 10 days of first flower. Source: Cornell buckwheat sheet; Iowa State."""
COLD_SOIL_C: Final = 10.0
COLD_EXTRA_DAYS: Final = 7
"""Cold soil lengthens every wait; no source gives by how much. A week at the long end below 10 °C: judgement."""
TIES_UP_C_TO_N: Final = 30.0
"""Residue above about 30 parts of carbon to one of nitrogen ties nitrogen up. Source: Purdue Vegetable Crops."""
TIED_EXTRA_DAYS: Final = 7
AT_LEAST_DAYS: Final = 21
"""A cover that would be cut sooner after emergence is not worth its seed. Judgement."""
NextKind = Literal["small-seed", "large-seed", "transplant"]


@dataclass(frozen=True, slots=True)
class Deadline:
    """When the ground must be ready: the planned and the last day of the next start, or the end of the slot."""

    planned: date
    latest: date


def deadline(slot: Slot) -> Deadline:
    """The day by which the ground must be ready."""
    planned = slot.next_start or slot.until
    return Deadline(planned, max(planned, slot.next_latest or planned))


def next_kind(slot: Slot) -> NextKind:
    """What the next crop is started from, as it bears on the wait."""
    crop = slot.next_crop
    if crop is None or slot.next_method in ("transplant", "plant"):
        return "transplant"
    if slot.next_method is None and "direct" not in crop.methods:
        return "transplant"
    return "small-seed" if crop.seed_size == "small" else "large-seed"


def wait_days(cover: Cover, kind: NextKind, c_to_n: float, soil_c: float) -> tuple[int, int]:
    """Days between cutting and the next start [low, high]: the published range, longer for stiff residue and cold.

    The sources disagree (rye: one week before transplants to four before small seed); both ends are kept.
    """
    weeks = cover.wait_weeks.get(kind) or cover.wait_weeks.get("transplant") or next(iter(cover.wait_weeks.values()))
    high = round(weeks.high * 7)
    if c_to_n > TIES_UP_C_TO_N:
        high += TIED_EXTRA_DAYS
    if soil_c < COLD_SOIL_C:
        high += COLD_EXTRA_DAYS
    return round(weeks.low * 7), high


def regrows(cover: Cover) -> bool:
    """Whether it grows again from crown or creeping stem when cut before it has flowered."""
    return cover.kind == "grass" or cover.life in ("perennial", "biennial")


def ending(cover: Cover, climate: Climate, slot: Slot, sow: date) -> Ending | None:
    """How a cover sown on a day is ended in this slot; None when there is no time for it.

    ``last`` is the last day that leaves the shorter wait before the planned start, ``best`` leaves the longer one.
    """
    life = course(cover, climate, sow)
    if slot.companion:
        stop = slot.until
        return Ending("leave", stop, stop, stop, (0, 0), (Reason("end-companion", {"date": stop}),))
    due = deadline(slot)
    killed = life.killed if life.killed and life.killed < due.planned else None
    if killed and life.likelihood == "likely":
        return _winter_killed(cover, climate, slot, life, killed)
    return _cut(cover, climate, slot, life)


def _winter_killed(cover: Cover, climate: Climate, slot: Slot, life: Course, killed: date) -> Ending | None:
    due, kind = deadline(slot), next_kind(slot)
    if life.emerges is None or killed <= life.emerges:
        return None
    seeding = _seeding(cover, life)
    if seeding and seeding < killed and cover.kind != "grass":
        return _cut(cover, climate, slot, life)
    low, _high = wait_days(cover, kind, 0.0, 99.0)
    last = max(killed, due.planned - timedelta(low)) if slot.next_start else due.planned
    reasons = [Reason("end-winter-kill", {"date": killed, "chance": life.kill_chance}, cover.kill_c.sources),
               Reason("end-if-it-survives", {"date": last}, cover.kill_c.sources, good=False)]
    if kind == "small-seed" and slot.next_crop:
        reasons.append(Reason("end-rake-off", {"crop": slot.next_crop.id}))
    return Ending("winter-kill", killed, killed, last, (0, 0), tuple(reasons))


def _cut(cover: Cover, climate: Climate, slot: Slot, life: Course) -> Ending | None:
    due, kind = deadline(slot), next_kind(slot)
    rough = due.planned - timedelta(21)
    c_to_n = sum(contents(cover.c_to_n, life, rough)) / 2
    low, high = wait_days(cover, kind, c_to_n, climate.soil_c(rough)) if slot.next_crop else (0, 0)
    way, tarp = _way(cover, slot, life, due.planned - timedelta(low))
    if tarp and slot.next_crop:
        low, high = max(low, TARP_DAYS[0]), max(high, TARP_DAYS[1])
    last, best = due.planned - timedelta(low), due.planned - timedelta(high)
    reasons: list[Reason] = []
    if way == "cut-at-flowering" and life.flowers:
        ripe = _seeding(cover, life) or last
        first = life.flowers
        last = min(last, ripe)
        best = min(max(first, min(best, first + timedelta(7))), last)
        reasons.append(Reason("end-at-flowering", {"date": best, "seeds": ripe}, cover.cut_stage.sources))
    else:
        seeding = _seeding(cover, life)
        if seeding and seeding < last:
            last, best = seeding, min(best, seeding - timedelta(4))
        if life.emerges and best < life.emerges + timedelta(AT_LEAST_DAYS):
            best = min(last, life.emerges + timedelta(AT_LEAST_DAYS))
        first = best - timedelta(10)
        reasons.append(Reason(f"end-{way}", {"date": best}, cover.cut_stage.sources))
    if life.emerges is None or last < life.emerges + timedelta(AT_LEAST_DAYS):
        return None
    if slot.next_crop and (low or high):
        sources = (cover.wait_weeks.get(kind) or next(iter(cover.wait_weeks.values()))).sources
        reasons.append(Reason("end-wait", {"low": low, "high": high, "crop": slot.next_crop.id}, sources))
    first = max(min(first, best), life.emerges + timedelta(AT_LEAST_DAYS))
    return Ending(way, min(first, best), best, last, (low, high), tuple(reasons))


def _way(cover: Cover, slot: Slot, life: Course, last: date) -> tuple[
        Literal["cut-at-ground", "cut-at-flowering", "cut-young", "tarp", "pull"], bool]:
    if slot.bed.size.pots:
        return "pull", False
    if life.flowers and life.flowers <= last and cover.life not in ("perennial", "biennial"):
        return "cut-at-flowering", False
    if slot.site.tools == "tiller":
        return "cut-young", False
    if regrows(cover):
        return "tarp", True
    return "cut-at-ground", False


def _seeding(cover: Cover, life: Course) -> date | None:
    if life.flowers is None:
        return None
    quick = cover.life == "annual" and cover.kind in ("other", "brassica")
    return life.flowers + timedelta(QUICK_SEED_DAYS if quick else SEED_SET_DAYS)

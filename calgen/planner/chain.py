"""A bed's order as a chain: forwards from what stands there, backwards from what the next crop needs.

Forwards, each crop starts when the ground is free and its window is open. Backwards, the next crop's last start, less
the wait after cutting, gives the last cutting; the cover's establishment gives its last sowing; and that the last day
for clearing the crop before. Where the two do not meet, ``gap`` tries the remedies.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from msgspec.structs import replace

from calgen.planner import task
from calgen.planner.choice.course import likelihood
from calgen.planner.doing import with_doings
from calgen.planner.gap import Gap, companion, filled, moved
from calgen.planner.main_lane import end_to_end
from calgen.planner.model import BedPlan, Piece, Reason
from calgen.planner.rotation import rotation_notes
from calgen.planner.stand import Start, first_start, planned_start, stand, standing_start
from calgen.planner.walk import Walk
from calgen.site.model import CoverStep, CropStep, MulchStep

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.knowledge.model import Crop
    from calgen.planner.model import Choice, Option
    from calgen.planner.rankings import Rankings
    from calgen.planner.stand import Stand
    from calgen.site.model import Bed, Site, Step

DAY = timedelta(1)
COVER_AT_LEAST = timedelta(35)
BARE_TOLERATED = timedelta(14)
OFFERED_BEFORE = timedelta(14)
"""Starting among a crop is worth a word where it gains two weeks. Judgement."""
FALLBACK_MULCH = "straw"
RESIDUE = "residue"


def planned_bed(site: Site, bed: Bed, rankings: Rankings, start: date, end: date) -> BedPlan:
    """Plan one bed.

    Args:
        rankings: answers for its slots, with climate and knowledge; covers it prefers are taken where they pass.
        start, end: first day of the chart and the day after its last.
    """
    knowledge = rankings.knowledge
    walk = Walk(site, bed, rankings, start, end, history=list(bed.grew))
    waiting: CoverStep | MulchStep | None = None
    for index, step in enumerate(bed.order):
        if isinstance(step, CropStep):
            _crop(walk, step, waiting, bed.order[index + 1:])
            waiting = None
        else:
            if waiting is not None:
                _tail(walk, waiting)
            waiting = step
    if waiting is not None:
        _tail(walk, waiting)
    _close(walk)
    notes = (*walk.notes, *rotation_notes(bed, walk.pieces, knowledge))
    tasks = with_doings(walk.tasks, [doing for doing in site.diary if doing.bed == bed.name])
    return BedPlan(bed, end_to_end(walk.pieces),
                   tuple(sorted(tasks, key=lambda timed: (timed.best, timed.kind, timed.plants))),
                   tuple(walk.choices), notes)


def _crop(walk: Walk, step: CropStep, waiting: CoverStep | MulchStep | None, rest: Sequence[Step]) -> None:
    crop = walk.knowledge.crops[step.plant]
    if step.among and walk.standing:
        _among(walk, step, crop)
        return
    walk.wait_for_chart(waiting or step)
    standing = standing_start(step, crop, walk.climate, walk.start) \
        if walk.free is None and waiting is None and not step.choose else None
    if standing:
        walk.note(step, "taken-as-standing", crop=crop.id, date=standing.best)
    start = standing or _start(walk, step, crop, waiting)
    if start is None:
        if waiting is not None:
            _tail(walk, waiting)
        return
    if isinstance(waiting, MulchStep) and (waiting.laid or walk.ground_free) >= start.best:
        walk.note(waiting, "mulch-no-gap", plants=(waiting.material,), crop=crop.id, date=start.best)
        waiting = None
    if isinstance(waiting, CoverStep):
        start = _covered(walk, waiting, step, crop, start, rest)
    elif isinstance(waiting, MulchStep):
        _clear(walk, start.last, "mulch", (waiting.material,), waiting.laid or walk.ground_free)
        _mulched(walk, waiting.material, waiting.laid or walk.ground_free, start.best,
                 (Reason("mulch-own"),), waiting)
    else:
        _offer_among(walk, step, crop, start)
        _between(walk, step, crop, start)
    if start.best >= walk.end:
        walk.note(step, "after-chart", crop=crop.id, date=start.best)
    walk.companion = None
    _take(walk, stand(step, crop, walk.climate, start, walk.start))


def _start(walk: Walk, step: CropStep, crop: Crop, waiting: CoverStep | MulchStep | None) -> Start | None:
    """The start after what comes before it, or, where that is too late, from when what stands there could go."""
    begun = (waiting.sown if isinstance(waiting, CoverStep) else waiting.laid) if waiting else None
    if waiting and begun and begun < walk.ground_free and not (walk.standing and walk.standing[-1].start.best < begun):
        _give_way(walk, waiting, waiting.covers if isinstance(waiting, CoverStep) else (waiting.material,), begun)
    last = walk.standing[-1] if walk.standing else None
    soonest = max(walk.ground_free, begun + DAY) if begun else walk.ground_free
    days = [soonest]
    if isinstance(waiting, CoverStep):
        days.insert(0, max(walk.ground_free, begun + COVER_AT_LEAST) if begun else walk.ground_free + COVER_AT_LEAST)
    if last and not last.end_fixed and not begun:
        days += [day for day in (last.end_first, last.ready) if day < walk.ground_free]
    start, how = planned_start(step, crop, walk.climate, days[0], after_cover=isinstance(waiting, CoverStep))
    for day in days[1:]:
        if start is None:
            start, how = planned_start(step, crop, walk.climate, day)
    if start is None:
        deadline = step.plant_by or step.sow_by
        if deadline:
            open_ = first_start(crop, walk.climate, walk.ground_free, step.method)
            if walk.ground_free < deadline and open_ and open_.first > deadline:
                walk.note(step, "deadline-too-early", crop=crop.id, deadline=deadline, opens=open_.first)
            else:
                walk.note(step, "deadline-missed", crop=crop.id, deadline=deadline, free=walk.ground_free)
            return _start(walk, replace(step, plant_by=None, sow_by=None), crop, waiting)
        walk.note(step, "never-starts", crop=crop.id, free=walk.ground_free)
        return None
    if how == "other-method":
        walk.note(step, f"started-{start.method}", crop=crop.id)
    if start.best < walk.ground_free:
        _make_way(walk, step, (crop.id,), start.best)
    return start


def _make_way(walk: Walk, step: Step, plants: tuple[str, ...], day: date) -> None:
    """What stands goes early so that the next can start; the order cannot work where it is not even ready."""
    last = walk.standing[-1] if walk.standing else None
    if last and last.start.best < day:
        if last.end_fixed:
            walk.note(step, "overlap-cleared", crop=plants, date=day, standing=last.crop.id, end=last.end)
        elif day < last.ready:
            walk.note(step, "overlap-unready", crop=plants, date=day, standing=last.crop.id, ready=last.ready)
        else:
            walk.note(step, "cleared-early", crop=plants, date=day, standing=last.crop.id)
    _give_way(walk, step, plants, day)


def _give_way(walk: Walk, step: Step, plants: tuple[str, ...], day: date) -> None:
    gone = walk.give_way(day)
    if gone:
        walk.note(step, "falls-out", crop=plants, date=day, plants=gone)


def _offer_among(walk: Walk, step: CropStep, crop: Crop, start: Start) -> None:
    """Garlic, onions and the like could go in among a crop that is finishing and leaves light at its foot."""
    host, window = walk.standing[-1] if walk.standing else None, start.window
    if host and window and start.method == "plant" and window.season == "overwinter" and not step.planted \
            and host.crop.undersow.possible and not host.crop.lifted and window.first + OFFERED_BEFORE <= host.end:
        walk.note(step, "among-offer", crop=crop.id, standing=host.crop.id, date=window.first)


def _among(walk: Walk, step: CropStep, crop: Crop) -> None:
    """A crop sown or planted among one that still stands."""
    host = walk.standing[-1]
    start, _how = planned_start(step, crop, walk.climate, max(walk.start, host.start.best + timedelta(14)))
    if start is None:
        walk.note(step, "among-no-window", crop=crop.id, standing=host.crop.id)
        return
    if start.best >= host.end:
        walk.note(step, "among-too-late", crop=crop.id, standing=host.crop.id, date=start.best)
        _between(walk, step, crop, start)
        _take(walk, stand(step, crop, walk.climate, start, walk.start))
        return
    grown = stand(step, crop, walk.climate, start, walk.start)
    walk.tasks.extend(task.crop_start_tasks(grown, walk.knowledge))
    walk.history.append((grown.end.year, (crop.id,)))
    if grown.end <= host.end:
        walk.pieces.append(Piece("crop", (crop.id,), start.best, grown.end, "under", step))
        walk.tasks.append(task.clear_task(grown, grown.end, "among", (host.crop.id,), grown.end))
        walk.standing.insert(-1, grown)
        return
    walk.tasks.append(task.clear_task(host, max(host.end, host.end_first), "among", (crop.id,), host.end))
    walk.pieces.append(Piece("crop", (crop.id,), start.best, host.end, "under", step))
    walk.pieces.append(Piece("crop", (crop.id,), host.end, grown.end, "main", step))
    walk.standing = [grown]
    walk.free = grown.end


def _take(walk: Walk, grown: Stand) -> None:
    crop, step = grown.crop, grown.step
    walk.pieces.append(Piece("crop", (crop.id,), grown.start.best, grown.end, "main", step))
    walk.tasks.extend(task.crop_start_tasks(grown, walk.knowledge))
    if step.save_seed:
        if crop.save_seed_days:
            walk.tasks.append(task.gather_task(grown))
            walk.note(step, "stands-for-seed", crop=crop.id, date=grown.end)
        else:
            walk.note(step, "no-seed-dates", crop=crop.id)
    walk.history.append((grown.end.year, (crop.id,)))
    walk.standing, walk.free = [grown], grown.end
    if step.companion:
        _companion(walk, grown)


def _companion(walk: Walk, grown: Stand) -> None:
    choice = companion(walk.site, walk.bed, grown, tuple(walk.history), walk.rankings)
    walk.choices.append(choice)
    if choice.chosen is None:
        walk.note(grown.step, "no-companion", covers=(grown.step.companion or "",), crop=grown.crop.id)
        return
    option = choice.chosen
    walk.pieces.append(Piece("cover", option.ids, option.sow, max(grown.end, option.sow + DAY), "under", grown.step,
                             how="undersown"))
    walk.tasks.extend(timed for timed in task.cover_tasks(choice, option, walk.knowledge) if timed.kind != "cut-down")
    walk.companion = choice


def _companion_stays(walk: Walk, start: Start | None, step: Step) -> None:
    """A living companion keeps the ground covered after its crop, until the next crop needs the bed."""
    choice, walk.companion = walk.companion, None
    if choice is None or choice.chosen is None or likelihood(choice.chosen.attained.kill_chance) == "likely":
        return
    option = choice.chosen
    until = walk.end
    if start:
        wait = max(round(cover.wait_weeks["transplant" if start.method == "transplant" else "small-seed"].mid * 7)
                   for cover in option.covers)
        until = start.best - timedelta(wait)
    if until <= walk.ground_free + BARE_TOLERATED:
        return
    walk.pieces.append(Piece("cover", option.ids, walk.ground_free, until, "main", step, how="undersown"))
    if start:
        walk.tasks.append(task.companion_cut_task(choice, option, until, start.best - until, walk.bed.size))
        walk.pieces.append(Piece("mulch", (RESIDUE,), until, start.best, "main", step))
        until = start.best
    walk.standing, walk.free = [], until


def _covered(walk: Walk, step: CoverStep, next_step: CropStep | None, next_crop: Crop | None, start: Start | None,
             rest: Sequence[Step]) -> Start:
    later = [walk.knowledge.crops[after.plant] for after in rest if isinstance(after, CropStep)]
    if step.not_before and step.not_before > walk.ground_free:
        _bare(walk, walk.ground_free, step.not_before, step)
        walk.free = step.not_before
    gap = Gap(walk.site, walk.bed, step, tuple(walk.standing), walk.ground_free,
              start.last if start else max(walk.end, walk.ground_free + timedelta(240)), next_crop, start,
              tuple(enumerate(later, 1)), tuple(walk.history))
    choice = filled(gap, walk.rankings)
    option = choice.chosen
    if option and choice.slot.free_from < walk.ground_free:
        if walk.standing:
            walk.note(step, "cleared-early", crop=option.ids, date=choice.slot.free_from,
                      standing=walk.standing[-1].crop.id)
        _give_way(walk, step, option.ids, choice.slot.free_from)
    walk.choices.append(choice)
    if option is None:
        return _mulch_instead(walk, step, start)
    if step.covers and set(option.ids) != set(step.covers):
        walk.note(step, "other-cover", wanted=step.covers, covers=option.ids)
    return _sown(walk, step, choice, option, start)


def _sown(walk: Walk, step: CoverStep, choice: Choice, option: Option, start: Start | None) -> Start:
    free = walk.ground_free
    if option.how == "cleared":
        from_day = max(free, walk.start)
        if option.sow - from_day > BARE_TOLERATED and not step.sown:
            _clear(walk, from_day + BARE_TOLERATED, "mulch", (FALLBACK_MULCH,), from_day)
            _mulched(walk, FALLBACK_MULCH, from_day, option.sow,
                     (Reason("mulch-until-cover", {"covers": option.ids, "date": option.sow}),), step)
        else:
            _clear(walk, step.sown or option.sow_last, "cover", option.ids, step.sown or option.sow_last)
        _bare(walk, walk.ground_free, option.sow, step)
        main_from = option.sow
    else:
        _clear(walk, start.last if start else walk.end, "undersown", option.ids, free)
        walk.pieces.append(Piece("cover", option.ids, option.sow, max(free, option.sow + DAY), "under", step,
                                 how=option.how))
        main_from = free
    begin = max(start.best, option.next_start or start.best) if start else None
    if start and begin:
        start = moved(start, begin)
    cut = step.cut or option.ending.best
    attained = option.attained
    killed = likelihood(attained.kill_chance) if attained.meets_winter else None
    stays = option.ending.way == "winter-kill"
    until = (start.best if start else max(walk.end, cut)) if stays or option.ending.way == "leave" else cut
    until = max(until, main_from)
    if until > main_from:
        killed_from = attained.killed if killed in ("likely", "unsure") else None
        killed_from = min(max(killed_from, main_from + DAY), until) if killed_from else None
        walk.pieces.append(Piece("cover", option.ids, main_from, until, "main", step, killed, killed_from, option.how))
    walk.tasks.extend(task.cover_tasks(choice, option, walk.knowledge))
    if not step.sown and option.how == "cleared":
        walk.tasks.append(task.fallback_task(choice, option, walk.mulch(FALLBACK_MULCH), walk.bed.size))
    if start and until < start.best:
        walk.pieces.append(Piece("mulch", (RESIDUE,), until, start.best, "main", step))
    walk.standing = []
    walk.free = until
    walk.history.append((option.sow.year, option.ids))
    return start  # type: ignore[return-value]


def _mulch_instead(walk: Walk, step: CoverStep, start: Start | None) -> Start:
    day = walk.ground_free
    until = start.best if start else walk.end
    _clear(walk, until, "mulch", (FALLBACK_MULCH,), day)
    if until > day:
        if step.covers:
            walk.note(step, "named-too-late", covers=step.covers, date=day)
        else:
            walk.note(step, "too-late", date=day)
        _mulched(walk, FALLBACK_MULCH, day, until, (Reason("mulch-too-late", {"date": day}, good=False),), step)
    return start  # type: ignore[return-value]


def _mulched(walk: Walk, material: str, day: date, until: date, why: tuple[Reason, ...], step: Step) -> None:
    """A mulch from a day until another; one that the grower laid earlier than planned ends what stood there."""
    if day < walk.ground_free:
        _make_way(walk, step, (material,), day)
    _bare(walk, walk.ground_free, day, step)
    walk.pieces.append(Piece("mulch", (material,), day, until, "main", step))
    walk.tasks.append(task.mulch_task(walk.mulch(material), walk.bed.size, day, min(day + timedelta(14), until), why))
    walk.standing, walk.free = [], until


def _tail(walk: Walk, step: CoverStep | MulchStep) -> None:
    """A cover or mulch after which no crop follows in the order."""
    walk.wait_for_chart(step)
    if isinstance(step, MulchStep):
        laid = step.laid or walk.ground_free
        if laid < walk.end:
            _clear(walk, walk.end, "mulch", (step.material,), laid)
            _mulched(walk, step.material, laid, walk.end, (Reason("mulch-own"),), step)
    elif walk.ground_free < walk.end or step.sown:
        _covered(walk, step, None, None, None, ())


def _clear(walk: Walk, last: date, next_kind: str, next_plants: tuple[str, ...], next_on: date) -> None:
    """The task of clearing what stands, now that it is known what follows and how late that can be."""
    for grown in walk.standing:
        if grown is walk.standing[-1] and not grown.crop.perennial:
            walk.tasks.append(task.clear_task(grown, max(last, grown.end_first) if not grown.end_fixed else grown.end,
                                              next_kind, next_plants, next_on))


def _between(walk: Walk, step: CropStep, crop: Crop, start: Start) -> None:
    """Ground between two crops with nothing in between in the order: what would lie bare for long is mulched."""
    long = min(start.best, walk.end) - max(walk.ground_free, walk.start) > BARE_TOLERATED
    past = any(doing.bed == walk.bed.name and crop.id in doing.plants for doing in walk.site.diary)
    if not long or past or walk.companion or walk.free is None:
        _clear(walk, start.last, "crop", (crop.id,), start.best)
        _companion_stays(walk, start, step)
        _bare(walk, walk.ground_free, start.best, step)
        return
    day = max(walk.ground_free, walk.start)
    _clear(walk, day + BARE_TOLERATED, "mulch", (FALLBACK_MULCH,), day)
    walk.note(step, "mulched-between", date=day, crop=crop.id, until=start.best)
    why = (Reason("mulch-until-crop", {"crop": crop.id, "date": start.best}),)
    _mulched(walk, FALLBACK_MULCH, day, start.best, why, step)


def _bare(walk: Walk, day: date, until: date, step: Step) -> None:
    """Honest bare ground between two steps; long stretches are told."""
    if until <= day:
        return
    walk.pieces.append(Piece("bare", (), day, until, "main", step))
    visible = min(until, walk.end) - max(day, walk.start)
    if visible > BARE_TOLERATED:
        walk.note(step, "bare", date=day, until=until)


def _close(walk: Walk) -> None:
    """What happens after the last step, to the end of the chart: what would lie bare for long is mulched."""
    if walk.stands_on():
        return
    if walk.standing and walk.ground_free < walk.end:
        long = walk.end - walk.ground_free > BARE_TOLERATED and not walk.companion
        _clear(walk, walk.ground_free + BARE_TOLERATED, "mulch" if long else "nothing",
               (FALLBACK_MULCH,) if long else (), walk.ground_free)
        _companion_stays(walk, None, walk.bed.order[-1])
    if walk.ground_free < walk.end and walk.bed.order:
        last = walk.bed.order[-1]
        covered = bool(walk.pieces) and walk.pieces[-1].kind == "cover"
        if covered:
            walk.pieces.append(Piece("mulch", (RESIDUE,), walk.ground_free, walk.end, "main", last))
            if walk.end - walk.ground_free > BARE_TOLERATED:
                walk.note(last, "nothing-planned", date=walk.ground_free)
            return
        day = max(walk.ground_free, walk.start)
        if walk.end - day <= BARE_TOLERATED:
            walk.pieces.append(Piece("bare", (), walk.ground_free, walk.end, "main", last))
            return
        walk.note(last, "nothing-planned-mulch", date=day)
        _mulched(walk, FALLBACK_MULCH, day, walk.end, (Reason("mulch-nothing-planned", {"date": day}),), last)


"""A gap in a bed's order: which cover fills it, or the mulch that does when none can.

The remedies are tried in the order a grower would try them: sow on cleared ground; undersow the standing crop; drill
between its rows; clear the standing crop a little early; start the next crop later in its window; another cover than
the one named; at last mulch. What was tried and why it failed is kept.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from calgen.planner.model import Choice, Ranking, Reason, Rejected, Slot

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.knowledge.model import Crop
    from calgen.planner.model import Option
    from calgen.planner.rankings import Rankings
    from calgen.planner.stand import Stand, Start
    from calgen.site.model import Bed, CoverStep, How, Site

WEAK_SCORE = 45.0
EARLY_AT_MOST = timedelta(28)
"""A crop is not cleared more than four weeks before its harvest is over. Judgement."""
REMEDY_GAIN = 8.0
"""Points by which a remedy must beat sowing on cleared ground to be worth its trouble. Judgement."""
DAY = timedelta(1)


class Gap(Struct, frozen=True):
    """What lies around a cover step: the stand before, the start of the next, and the bed's story."""

    site: Site
    bed: Bed
    step: CoverStep
    before: tuple[Stand, ...]
    free_from: date
    until: date
    next_crop: Crop | None
    next_start: Start | None
    later: tuple[tuple[int, Crop], ...]
    history: tuple[tuple[int, tuple[str, ...]], ...]

    @property
    def standing(self) -> Stand | None:
        """The crop that stands until the ground is free."""
        return self.before[-1] if self.before else None


class _Try(Struct, frozen=True):
    key: str
    hows: tuple[How, ...]
    free_from: date
    next_start: date | None
    fixed: tuple[str, ...]


def filled(gap: Gap, rankings: Rankings) -> Choice:
    """The cover for a gap with its ranking, or a choice of None: then it is mulch.

    A weak first answer (a score under 45: our judgement, a cover that attains less than half of what is wanted) makes
    calgen look at the remedies too and take the best of all; a strong one is taken as it is.
    """
    tried: list[Reason] = []
    best: tuple[Option, Slot, Ranking, str] | None = None
    first: tuple[Slot, Ranking] | None = None
    for attempt in _tries(gap):
        if best and attempt.key in ("early-clearing", "later-next", "other-cover") and not _cut_short(best[0]):
            break
        if first and attempt.hows in (("undersown",), ("between-rows",)) and gap.standing \
                and not gap.standing.crop.undersow.possible:
            tried.append(Reason(f"tried-{attempt.key}", {"because": "host-too-weak"}, good=False))
            continue
        slot = _slot(gap, attempt)
        ranking = _without(rankings.of(slot), gap.step.failed)
        first = first or (slot, ranking)
        wanted = _wanted(ranking, attempt.fixed, rankings.prefer.get((gap.bed.name, gap.step.place), ()))
        if wanted is None:
            tried.append(Reason(f"tried-{attempt.key}", _why_not(ranking, attempt.fixed), good=False))
            continue
        if best is None or wanted.score > best[0].score + REMEDY_GAIN:
            best = (wanted, slot, ranking, attempt.key)
        if wanted.score >= WEAK_SCORE or ((gap.step.how or gap.step.sown) and not _cut_short(wanted)):
            break
    assert first is not None
    if best is None:
        return Choice(first[0], first[1], None, tuple(tried), step=gap.step)
    option, slot, ranking, key = best
    if tried or key != "cleared":
        tried.append(Reason(f"took-{key}", {"cover": option.ids}, good=True))
    return Choice(slot, ranking, option, tuple(tried), step=gap.step)


def _without(ranking: Ranking, failed: tuple[str, ...]) -> Ranking:
    """The ranking less the covers that were sown here and failed."""
    if not failed:
        return ranking
    out = tuple(Rejected(option.ids, (Reason("failed-before", good=False),)) for option in ranking.options
                if set(option.ids) & set(failed))
    return Ranking(tuple(option for option in ranking.options if not set(option.ids) & set(failed)),
                   (*out, *ranking.rejected))


def _cut_short(option: Option) -> bool:
    """Whether a cover that is in the ground already has too little time before what comes next."""
    return any(reason.key == "end-cut-short" for reason in option.ending.reasons)


def _wanted(ranking: Ranking, fixed: tuple[str, ...], prefer: tuple[str, ...] = ()) -> Option | None:
    """The option named, else the one preferred, else the best."""
    if not ranking.options:
        return None
    if fixed:
        return next((option for option in ranking.options if set(option.ids) == set(fixed)), None)
    return next((option for option in ranking.options if option.ids == prefer), ranking.options[0])


def _why_not(ranking: Ranking, fixed: tuple[str, ...]) -> dict[str, str | tuple[str, ...]]:
    """The commonest reason for refusal, or that of the cover named."""
    counts: dict[str, int] = {}
    for entry in ranking.rejected:
        if fixed and set(entry.covers) != set(fixed):
            continue
        if len(entry.covers) > 1 and not fixed:
            continue
        for reason in entry.reasons[:1]:
            counts[reason.key] = counts.get(reason.key, 0) + 1
    if not counts:
        return {"because": "nothing-fits"}
    return {"because": max(sorted(counts), key=lambda key: counts[key])}


def _tries(gap: Gap) -> Iterator[_Try]:
    fixed = gap.step.covers
    start = gap.next_start.best if gap.next_start else None
    latest = gap.next_start.last if gap.next_start else None
    standing = gap.standing
    under: tuple[How, ...] = ("undersown",) if gap.bed.size.pots else ("undersown", "between-rows")  # pots have no rows
    if gap.step.how:
        yield _Try("undersown" if gap.step.how == "undersown" else gap.step.how, (gap.step.how,), gap.free_from,
                   start, fixed)
    else:
        among = standing is not None and gap.step.sown is not None and gap.step.sown < gap.free_from
        if among and standing and standing.crop.undersow.possible:
            yield _Try("undersown", under, gap.free_from, start, fixed)
        else:
            day = min(gap.free_from, gap.step.sown) if gap.step.sown else gap.free_from
            yield _Try("cleared", ("cleared",), day, start, fixed)
        if standing and not gap.step.sown:
            for how in under:
                yield _Try(how, (how,), gap.free_from, start, fixed)
    if standing and not gap.step.sown and not gap.step.how and not standing.end_fixed \
            and standing.end_first < gap.free_from:
        yield _Try("early-clearing", ("cleared",), max(standing.end_first, gap.free_from - EARLY_AT_MOST), start, fixed)
    if start and latest and latest > start:
        yield _Try("later-next", ("cleared",), gap.free_from, latest, fixed)
    if fixed and not gap.step.sown:
        hows: tuple[How, ...] = (gap.step.how,) if gap.step.how else ("cleared", *under)
        yield _Try("other-cover", hows if standing else ("cleared",), gap.free_from, start, ())


def _slot(gap: Gap, attempt: _Try) -> Slot:
    standing = gap.standing
    earliest = gap.site.chart_starts
    if attempt.hows == ("cleared",):
        earliest = attempt.free_from if gap.step.sown else max(attempt.free_from, gap.site.chart_starts)
    return Slot(
        site=gap.site, bed=gap.bed, earliest_sow=earliest, free_from=attempt.free_from, until=gap.until,
        standing=standing.crop if standing else None,
        standing_since=standing.start.best if standing else None,
        before=tuple(stand.crop for stand in gap.before),
        history=gap.history,
        next_crop=gap.next_crop,
        next_method=gap.next_start.method if gap.next_start else None,
        next_start=attempt.next_start,
        next_latest=gap.next_start.last if gap.next_start else None,
        later_crops=gap.later, hows=attempt.hows, fixed=attempt.fixed, fixed_sown=gap.step.sown,
    )


def companion(site: Site, bed: Bed, stand: Stand, history: tuple[tuple[int, tuple[str, ...]], ...],
              rankings: Rankings) -> Choice:
    """The companion cover that grows with a crop (``with: white clover``), dated; a choice of None when it cannot."""
    fixed = (stand.step.companion,) if stand.step.companion else ()
    slot = Slot(site=site, bed=bed, earliest_sow=stand.start.best, free_from=stand.end, until=stand.end,
                standing=stand.crop, standing_since=stand.start.best, before=(stand.crop,), history=history,
                next_crop=None, next_method=None, next_start=None, next_latest=None, later_crops=(),
                hows=("undersown",), fixed=fixed, companion=True)
    ranking = rankings.of(slot)
    return Choice(slot, ranking, _wanted(ranking, fixed), ())


def moved(start: Start, day: date) -> Start:
    """A start put off to a day, within its window."""
    day = min(max(day, start.first), max(start.last, start.first))
    return replace(start, best=day, first=min(start.first, day))

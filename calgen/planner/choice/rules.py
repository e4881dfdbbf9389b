"""The rules of the trade, one small function each. Add one here and list it, or add a row to ``pairings.yaml``.

``SETTING_RULES`` look at cover, crops, soil and way of sowing; ``DATED_RULES`` also at the day. A rule yields verdicts:
points for or against, or a refusal, each with the sources behind it. The points of a rule are data
(``points-KEY`` among the practice numbers); a rule may give a part of them.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from calgen.planner.choice.case import Verdict
from calgen.planner.choice.ending import next_kind, regrows
from calgen.planner.choice.need import ground
from calgen.planner.choice.pairing import REFUSAL_POINTS, named_among, pairing_verdicts
from calgen.planner.model import Reason

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from calgen.planner.choice.case import Case, Dated
    from calgen.planner.model import Fact

FAIR_FIT: Final = 1.5
"""A rating of 0-4 below which a cover is not used that way. Judgement."""
NO_FIT: Final = 0.5
GOOD_SOIL: Final = 2.5
"""Rating of a soil from which nothing is said against it. Judgement."""
EASY: Final = 2.0
"""Ease of ending by hand from which nothing is said. Judgement."""
LOW_COMPANION_FIT: Final = 2.5
LONG_TOGETHER_DAYS: Final = 42
YOUNG_SHARE: Final = 0.6
"""A winter legume cut with less than this of its full growth has hardly begun to fix. Judgement."""


def _points(case: Case, key: str, part: float, sources: tuple[str, ...], facts: dict[str, Fact]) -> Verdict:
    quantity = case.knowledge.practice[f"points-{key}"]
    points = quantity.mid * min(1.0, max(0.0, part))
    told = tuple(dict.fromkeys((*sources, *(source for source in quantity.sources if source != "own"))))
    return Verdict(Reason(key, facts, told, good=quantity.mid > 0, weight=points))


def _said(case: Case, key: str, sources: tuple[str, ...] = (), part: float = 1.0, **facts: Fact) -> Verdict:
    """A verdict with the points that the practice numbers give this key, or a part of them [0-1]."""
    return _points(case, key, part, sources, facts)


def _refused(key: str, sources: tuple[str, ...] = (), **facts: Fact) -> Verdict:
    return Verdict(Reason(key, facts, sources, good=False, weight=REFUSAL_POINTS), refuses=True)


def fits_way_of_sowing(case: Case) -> Iterator[Verdict]:
    """Undersown, between rows, in pots: only what is rated for it."""
    cover = case.cover
    if case.how == "undersown" and cover.undersow_fit.mid < FAIR_FIT:
        yield _refused("not-for-undersowing", cover.undersow_fit.sources)
    if case.how == "between-rows" and cover.between_rows_fit.mid < FAIR_FIT:
        yield _refused("not-between-rows", cover.between_rows_fit.sources)
    if case.slot.bed.size.pots and cover.pot_fit.mid < FAIR_FIT and not named_among(case):
        yield _refused("not-in-pots", cover.pot_fit.sources)


def needs_a_standing_crop(case: Case) -> Iterator[Verdict]:
    """Undersowing and drilling between rows need a crop that stands and bears it; carrots and onions do not.

    Source: University of Vermont, Observations on Interseeding.
    """
    if case.how == "cleared" or case.slot.companion:
        return
    crop = case.slot.standing
    if crop is None:
        yield _refused("nothing-stands")
    elif not crop.undersow.possible:
        yield _refused("host-too-weak", crop.undersow.sources, crop=crop.id)


def surface_seed(case: Case) -> Iterator[Verdict]:
    """Large seed scattered under a crop lies dry: vetches, peas and beans want burying, cereals manage, clovers strike.

    Source: Cornell, Late-summer legumes for overwintering; Dawling and Michigan on oats in standing crops.
    """
    if case.how != "undersown" or case.cover.seed_size != "large" or case.slot.bed.size.pots:
        return
    if case.cover.kind == "legume" and not named_among(case):
        yield _refused("large-seed-on-surface", case.cover.depth_mm.sources, depth_mm=case.cover.depth_mm.low)
    else:
        yield _said(case, "seed-lies-dry", case.cover.depth_mm.sources)


def bears_the_soil(case: Case) -> Iterator[Verdict]:
    """Wet, dry, acid, shaded or compacted ground that a cover cannot bear, or bears badly."""
    for word in ground(case.slot):
        fit = case.cover.soil_fit.get(word)
        if fit is None:
            continue
        if fit.mid <= NO_FIT:
            yield _refused("soil-refused", fit.sources, soil=word)
        elif fit.mid < GOOD_SOIL:
            yield _said(case, "soil-poor", fit.sources, part=((GOOD_SOIL - fit.mid) / (GOOD_SOIL - NO_FIT)) ** 2,
                        soil=word)


def stays_low_as_companion(case: Case) -> Iterator[Verdict]:
    """A companion stays low and small: clovers and their like, not cereals or tall broadleaves.

    Source: common practice; den Hollander 2007 (competition follows the clover's height).
    """
    if not case.slot.companion:
        return
    cover = case.cover
    if cover.undersow_fit.mid < LOW_COMPANION_FIT or cover.kind in ("grass", "brassica") or cover.seed_size == "large":
        yield _refused("too-strong-a-companion", cover.undersow_fit.sources)
    elif case.slot.standing:
        yield _said(case, "companion-competes", cover.undersow_fit.sources, crop=case.slot.standing.id)


def hard_to_end_by_hand(case: Case) -> Iterator[Verdict]:
    """Some covers come back or will not be turned in without a tiller.

    Source: Maryland Fact Sheet 6; annual ryegrass: Schonbeck, Michigan.
    """
    ease = case.cover.hand_ease
    if case.slot.site.tools == "hand" and not case.slot.bed.size.pots and ease.mid < EASY:
        yield _said(case, "hard-by-hand", ease.sources, part=((EASY - ease.mid) / (EASY - NO_FIT)) ** 2)


def cautions(case: Case) -> Iterator[Verdict]:
    """Poisonous seed, bees, weed lists: said, not scored."""
    for words in case.cover.cautions:
        yield Verdict(Reason("caution", {"text": words.text}, words.sources, good=False))


def bare_before(dated: Dated) -> Iterator[Verdict]:
    """Waiting for a better day leaves the ground bare: for every week past the first."""
    slot = dated.case.slot
    days = (dated.sow - max(slot.earliest_sow, slot.free_from)).days
    if days > 7 and not slot.fixed_sown and not slot.companion:
        yield _said(dated.case, "waits-bare", part=(days - 7) / 7 / 26, days=days, date=dated.sow)


def sown_late(dated: Dated) -> Iterator[Verdict]:
    """Late sowings want more seed and give less. Source: Cornell, rye; Lawson 2015."""
    window = dated.window
    through = (dated.sow - window.best).days / max(1, (window.last - window.best).days)
    closes_for_winter = window.last >= dated.life.season.start + timedelta(180)
    if not closes_for_winter:
        return
    if dated.late > 1.0 or through > 0.25:
        yield _said(dated.case, "sown-late", dated.case.cover.establish_dd.sources, part=max(dated.late - 1, through),
                    factor=dated.late, cover=dated.attained.ground_cover_winter)


def past_safe_sowing(dated: Dated) -> Iterator[Verdict]:
    """After its last safe day a hardy cover comes through winter but does little before spring.

    Source: Minnesota, Michigan and Maryland on rye, which disagree by weeks; Lawson 2015.
    """
    days = (dated.sow - dated.window.last).days
    if days > 0:
        yield _said(dated.case, "past-safe-sowing", dated.case.cover.survive_dd.sources, part=0.5 + days / 60,
                    date=dated.window.last, days=days)


def sown_too_early(dated: Dated) -> Iterator[Verdict]:
    """Flowers, seeds or grows too tall before winter and then dies. Source: Penn State; Ontario."""
    quantity = dated.case.cover.too_early_weeks or dated.case.cover.kill_c
    if dated.life.too_early and dated.crosses:
        yield _said(dated.case, "sown-too-early", quantity.sources, date=dated.life.flowers or dated.sow)


def early_ground(dated: Dated) -> Iterator[Verdict]:
    """What starts early in spring wants winter-killed cover. Source: Minnesota; Maryland; Cornell."""
    slot = dated.case.slot
    if slot.next_crop is None or slot.next_start is None:
        return
    last_frost = dated.case.climate.season_at(slot.next_start).last_frost
    if last_frost and slot.next_start <= last_frost + timedelta(14):
        if dated.ending.way == "winter-kill":
            yield _said(dated.case, "ready-early", dated.case.cover.kill_c.sources, crop=slot.next_crop.id)
        elif dated.ending.way == "tarp":
            yield _said(dated.case, "in-the-way-early", dated.case.cover.hand_ease.sources, crop=slot.next_crop.id)


def legume_cut_young(dated: Dated) -> Iterator[Verdict]:
    """A winter legume fixes most of its nitrogen in its last spring weeks; cut before, it earns little.

    Source: Cornell, winter protection and late-summer legumes; WSU FS119E; PNW 636.
    """
    cover = dated.case.cover
    share = dated.attained.biomass_t_ha[1] / max(0.1, cover.biomass_t_ha.high)
    if cover.fixes_nitrogen and dated.crosses and dated.ending.way != "winter-kill" and share < YOUNG_SHARE:
        yield _said(dated.case, "legume-cut-young", cover.n_total_kg_ha.sources, part=1 - share / YOUNG_SHARE,
                    date=dated.ending.best, kg=dated.attained.nitrogen_kg_ha[1])


def ties_up_nitrogen(dated: Dated) -> Iterator[Verdict]:
    """A stiff cereal before a hungry crop ties nitrogen up when it is wanted. Source: PNW 636."""
    crop, low = dated.case.slot.next_crop, dated.attained.pan_kg_ha[0]
    if crop and crop.feeding == "heavy" and low < -2:
        yield _said(dated.case, "ties-up-nitrogen", dated.case.cover.biomass_t_ha.sources, part=0.25 - low / 50,
                    crop=crop.id, kg=-low)


def feeds_next(dated: Dated) -> Iterator[Verdict]:
    """A hungry crop gains from a legume that had its time. Source: PNW 636; WSU FS119E."""
    crop, (low, high) = dated.case.slot.next_crop, dated.attained.pan_kg_ha
    if crop and crop.feeding == "heavy" and high > 15:
        yield _said(dated.case, "feeds-next", dated.case.cover.n_total_kg_ha.sources, part=(low + high) / 100,
                    crop=crop.id, low=max(0.0, low), high=high)


def fresh_before_small_seed(dated: Dated) -> Iterator[Verdict]:
    """Residue that is not well decayed checks small seed. Source: RHS; NYS IPM on carrots (both from memory)."""
    slot = dated.case.slot
    if not slot.next_crop or next_kind(slot) != "small-seed" or dated.ending.way == "winter-kill":
        return
    stiff = dated.attained.c_to_n[1] > 20 or dated.case.cover.kind == "grass"
    yield _said(dated.case, "fresh-before-small-seed", next(iter(dated.case.cover.wait_weeks.values())).sources,
                part=1.0 if stiff else 0.75, crop=slot.next_crop.id, low=dated.ending.wait_days[0],
                high=dated.ending.wait_days[1])


def grass_by_hand(dated: Dated) -> Iterator[Verdict]:
    """A living grass in spring is tough to kill by hand: flower first, or a tarp. Source: Maryland; Schonbeck; PFI."""
    case = dated.case
    if case.slot.site.tools == "hand" and case.cover.kind == "grass" and not case.slot.bed.size.pots:
        if dated.ending.way == "tarp":
            yield _said(case, "grass-needs-tarp", case.cover.hand_ease.sources, date=dated.ending.last)
        elif dated.life.likelihood == "unsure":
            yield _said(case, "grass-may-live-on", case.cover.kill_c.sources, chance=dated.life.kill_chance)


def clears_roots(dated: Dated) -> Iterator[Verdict]:
    """Creeping or crown-forming covers come back where they were only cut."""
    case = dated.case
    if (not case.slot.companion and case.slot.site.tools == "hand" and case.slot.next_crop
            and regrows(case.cover) and case.cover.kind != "grass" and dated.ending.way == "tarp"):
        yield _said(case, "regrows-from-root", case.cover.hand_ease.sources)


def seeds_itself(dated: Dated) -> Iterator[Verdict]:
    """Covers that seed freely become next year's weed when the cutting slips."""
    cover, flowers = dated.case.cover, dated.life.flowers
    if cover.reseeds.mid >= LOW_COMPANION_FIT and flowers and flowers < dated.ending.last + timedelta(21):
        yield _said(dated.case, "seeds-itself", cover.reseeds.sources, part=cover.reseeds.mid / 4, date=flowers)


def long_together(dated: Dated) -> Iterator[Verdict]:
    """What shares the ground with a crop for many weeks is to be low and bear shade.

    Source: SARE handbook (white clover a top choice for living mulch); den Hollander 2007.
    """
    case = dated.case
    if case.how == "cleared" or (case.slot.free_from - dated.sow).days < LONG_TOGETHER_DAYS or case.slot.companion:
        return
    fit = case.cover.undersow_fit
    yield _said(case, "smothers-standing-crop", fit.sources, part=(4 - fit.mid) / 2.5)


def may_survive(dated: Dated) -> Iterator[Verdict]:
    """A winter that may or may not kill leaves the grower guessing. Source: UMass; Delaware; Southern Cover Crops."""
    if dated.life.likelihood == "unsure" and dated.crosses:
        yield _said(dated.case, "may-survive", dated.case.cover.kill_c.sources, chance=dated.life.kill_chance)


def dies_before_its_time(dated: Dated) -> Iterator[Verdict]:
    """A winter annual makes most of its growth in spring; where winter is likely to kill it, it is out of its place.

    Source: SARE handbook, hardiness zones of the winter legumes.
    """
    cover = dated.case.cover
    if cover.life == "winter-annual" and dated.life.likelihood == "likely" and dated.crosses:
        yield _said(dated.case, "dies-before-its-time", cover.kill_c.sources, chance=dated.life.kill_chance)


def dead_by_frost(dated: Dated) -> Iterator[Verdict]:
    """A cover that the first frost kills leaves little over winter. Source: Cornell, winter protection."""
    cover = dated.case.cover
    if cover.hurt_by_first_frost and dated.life.killed and dated.crosses:
        yield _said(dated.case, "frost-leaves-bare", cover.kill_c.sources, date=dated.life.killed)


def biofumigant_needs_bloom(dated: Dated) -> Iterator[Verdict]:
    """Autumn-sown crucifers do not fumigate: they must be coming into bloom in warm soil. Source: Cornell."""
    cover = dated.case.cover
    wanted = any(need.purpose == "soil-pests" for need in dated.case.wants)
    if wanted and cover.kind == "brassica" and dated.attained.flowers is None:
        yield _said(dated.case, "no-bloom-no-fumigation", cover.establish_dd.sources)


SETTING_RULES: Final[tuple[Callable[[Case], Iterator[Verdict]], ...]] = (
    fits_way_of_sowing, needs_a_standing_crop, pairing_verdicts, bears_the_soil, surface_seed, stays_low_as_companion,
    hard_to_end_by_hand, cautions,
)
DATED_RULES: Final[tuple[Callable[[Dated], Iterator[Verdict]], ...]] = (
    bare_before, sown_late, past_safe_sowing, sown_too_early, early_ground, legume_cut_young, ties_up_nitrogen,
    feeds_next, fresh_before_small_seed, grass_by_hand, clears_roots, seeds_itself, long_together, may_survive,
    dies_before_its_time, dead_by_frost, biofumigant_needs_bloom,
)

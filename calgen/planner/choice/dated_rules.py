"""Rules about a cover sown on a day: how it gets through winter, when it is ended, what it leaves.

One small function a rule, as in ``setting_rules``; a rule may give a part of its points.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from calgen.planner.choice.ending import next_kind
from calgen.planner.choice.nitrogen import older_credit
from calgen.planner.choice.pot import regrows
from calgen.planner.choice.score import LEAST_TOLD_KG_HA
from calgen.planner.choice.verdict import Verdict, said
from calgen.planner.cover_window import cover_windows
from calgen.planner.model import Reason

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.planner.choice.case import Dated

QUICK_COVER: Final = "buckwheat"
KIND_FIT: Final = 3.0
"""Rating for undersowing from which a cover is low and kind enough to share ground for long. Judgement."""
FREE_SEEDER: Final = 2.5
"""Rating of self-seeding from which it is said. Judgement."""


def bare_before(dated: Dated) -> Verdict | None:
    """Waiting for a better day leaves the ground bare: for every week past the first."""
    slot = dated.case.slot
    days = (dated.sow - max(slot.earliest_sow, slot.free_from)).days
    if days > 7 and not slot.fixed_sown and not slot.companion:
        return said(dated.case.knowledge, "waits-bare", part=(days - 7) / 7 / 26, days=days, date=dated.sow)
    return None


def quick_cover_first(dated: Dated) -> Verdict | None:
    """A warm stretch left before a later cover has room for buckwheat: six weeks to flower (Cornell). Not scored."""
    case, slot = dated.case, dated.case.slot
    since = max(slot.earliest_sow, slot.free_from)
    quick = case.knowledge.covers.get(QUICK_COVER)
    room = case.knowledge.practice["quick-cover-days"].mid
    if (quick is None or quick is case.cover or case.how != "cleared" or slot.fixed_sown
            or (dated.sow - since).days < 14 or (dated.window.last - since).days < room):
        return None
    season = case.climate.season_at(since)
    if any(window.first <= since <= window.last for window in cover_windows(quick, case.climate, season)):
        return Verdict(Reason("quick-cover-first", {"cover": quick.id, "date": since, "until": dated.window.last},
                             quick.establish_dd.sources))
    return None


def sown_late(dated: Dated) -> Verdict | None:
    """Late sowings want more seed and give less. Source: Cornell, rye; Lawson 2015."""
    window = dated.window
    if dated.safe_last:
        return None
    through = (dated.sow - window.best).days / max(1, (window.last - window.best).days)
    closes_for_winter = window.last >= dated.life.season.start + timedelta(180)
    if not closes_for_winter:
        return None
    if dated.late > 1.0 or through > 0.25:
        told = said(dated.case.knowledge, "sown-late", dated.case.cover.establish_dd.sources,
                    part=max(dated.late - 1, through), factor=dated.late,
                    covered_share=dated.attained.ground_cover_winter)
        if round(dated.late, 1) <= 1.0:
            told = replace(told, reason=replace(told.reason, key="sown-late-same-seed"))
        return told
    return None


def past_safe_sowing(dated: Dated) -> Verdict | None:
    """After its last safe day a hardy cover comes through winter but does little before spring.

    Source: Minnesota, Michigan and Maryland on rye, which disagree by weeks; Lawson 2015.
    """
    if dated.safe_last:
        days = (dated.sow - dated.safe_last).days
        told = said(dated.case.knowledge, "past-safe-sowing", dated.case.cover.survive_dd.sources, part=0.5 + days / 60,
                    date=dated.safe_last, days=days)
        if dated.crosses and dated.life.likelihood == "likely":
            told = replace(told, reason=replace(told.reason, key="past-safe-and-killed"))
        return told
    return None


def sown_before_window(dated: Dated) -> Verdict | None:
    """A sowing already made before the window opens: cold ground, or too early before winter."""
    if dated.sow < dated.window.first:
        return said(dated.case.knowledge, "sown-before-window", dated.window.why.sources, date=dated.window.first)
    return None


def sown_too_early(dated: Dated) -> Verdict | None:
    """Flowers, seeds or grows too tall before winter and then dies. Source: Penn State; Ontario."""
    quantity = dated.case.cover.too_early_weeks or dated.case.cover.kill_c
    if dated.life.too_early and dated.crosses:
        return said(dated.case.knowledge, "sown-too-early", quantity.sources)
    return None


def early_ground(dated: Dated) -> Verdict | None:
    """What starts early in spring wants winter-killed cover. Source: Minnesota; Maryland; Cornell."""
    slot, cover = dated.case.slot, dated.case.cover
    if slot.next_crop and dated.case.hurry >= 1:
        if dated.ending.way == "winter-kill":
            return said(dated.case.knowledge, "ready-early", cover.kill_c.sources, crop=slot.next_crop.id)
        if dated.ending.way == "tarp":
            return said(dated.case.knowledge, "in-the-way-early", cover.hand_ease.sources, crop=slot.next_crop.id)
    return None


def legume_cut_young(dated: Dated) -> Verdict | None:
    """A winter legume fixes most of its nitrogen in its last spring weeks; cut before, it earns little.

    Source: Cornell, winter protection and late-summer legumes; WSU FS119E; PNW 636.
    """
    cover = dated.case.cover
    share = dated.attained.biomass_t_ha[1] / max(0.1, cover.biomass_t_ha.high)
    young = dated.case.knowledge.practice["legume-young-share"].mid
    if cover.fixes_nitrogen and dated.crosses and dated.ending.way != "winter-kill" and share < young:
        return said(dated.case.knowledge, "legume-cut-young", cover.n_total_kg_ha.sources, part=1 - share / young,
                    date=dated.ending.best, kg_ha=dated.attained.nitrogen_kg_ha[1])
    return None


def _rots_still(dated: Dated) -> bool:
    """Whether the residue is still at work when the next crop starts. Source: PNW 636 (done within ten weeks)."""
    dead = dated.attained.killed if dated.ending.way == "winter-kill" else dated.ending.best
    return dead is None or (dated.case.slot.due - dead).days <= dated.case.knowledge.practice["residue-works-days"].mid


def ties_up_nitrogen(dated: Dated) -> Verdict | None:
    """A stiff cereal before a hungry crop ties nitrogen up when it is wanted. Source: PNW 636."""
    crop, low = dated.case.slot.next_crop, dated.attained.pan_kg_ha[0]
    if crop and crop.feeding == "heavy" and low < -LEAST_TOLD_KG_HA and _rots_still(dated):
        return said(dated.case.knowledge, "ties-up-nitrogen", dated.case.cover.biomass_t_ha.sources,
                    part=0.25 - low / 50, crop=crop.id, kg_ha=-low)
    return None


def feeds_next(dated: Dated) -> Verdict | None:
    """A hungry crop gains from a legume that had its time. Source: PNW 636; WSU FS119E.

    ``older_kg_ha`` is what the halving rule of Santa Cruz would credit, so that the two can be seen side by side.
    """
    crop, (low, high) = dated.case.slot.next_crop, dated.attained.pan_kg_ha
    if crop and crop.feeding == "heavy" and high > 15:
        return said(dated.case.knowledge, "feeds-next", dated.case.cover.n_total_kg_ha.sources, part=(low + high) / 100,
                    crop=crop.id, low_kg_ha=max(0.0, low), high_kg_ha=high, older_kg_ha=_older(dated))
    return None


def _older(dated: Dated) -> float:
    case = dated.case
    warm = case.climate.soil_c(dated.ending.best) >= case.knowledge.practice["wait-soil-warm-c"].mid
    return older_credit(sum(dated.attained.nitrogen_kg_ha) / 2, turned_in=case.slot.site.tools == "tiller", warm=warm)


def fresh_before_small_seed(dated: Dated) -> Verdict | None:
    """Residue that is not well decayed checks small seed. Source: RHS; NYS IPM on carrots (both from memory)."""
    slot = dated.case.slot
    if not slot.next_crop or next_kind(slot) != "small-seed" or dated.ending.way == "winter-kill":
        return None
    if not _rots_still(dated):
        return None
    stiff = dated.attained.c_to_n[1] > 20 or dated.case.cover.kind == "grass"
    sources = next(iter(dated.case.cover.wait_weeks.values())).sources
    return said(dated.case.knowledge, "fresh-before-small-seed", sources, part=1.0 if stiff else 0.75,
                crop=slot.next_crop.id, low=dated.ending.wait_days[0], high=dated.ending.wait_days[1])


def grass_by_hand(dated: Dated) -> Verdict | None:
    """A living grass in spring is tough to kill by hand: flower first, or a tarp. Source: Maryland; Schonbeck; PFI."""
    case = dated.case
    if case.slot.site.tools == "hand" and case.cover.kind == "grass" and not case.slot.bed.size.pots:
        if dated.ending.way == "tarp":
            return said(case.knowledge, "grass-needs-tarp", case.cover.hand_ease.sources, date=dated.ending.last)
        elif dated.life.likelihood == "unsure":
            return said(case.knowledge, "grass-may-live-on", case.cover.kill_c.sources, chance=dated.life.kill_chance)
    return None


def clears_roots(dated: Dated) -> Verdict | None:
    """Creeping or crown-forming covers come back where they were only cut."""
    case = dated.case
    if (not case.slot.companion and case.slot.site.tools == "hand" and case.slot.next_crop
            and regrows(case.cover) and case.cover.kind != "grass" and dated.ending.way == "tarp"):
        return said(case.knowledge, "regrows-from-root", case.cover.hand_ease.sources)
    return None


def seeds_itself(dated: Dated) -> Verdict | None:
    """Covers that seed freely become next year's weed when the cutting slips."""
    cover, flowers = dated.case.cover, dated.life.flowers
    if cover.reseeds.mid >= FREE_SEEDER and flowers and flowers < dated.ending.last + timedelta(21):
        return said(dated.case.knowledge, "seeds-itself", cover.reseeds.sources, part=cover.reseeds.mid / 4,
                    date=flowers)
    return None


def long_together(dated: Dated) -> Verdict | None:
    """What shares the ground with a crop for many weeks is to be low and bear shade.

    Source: SARE handbook (white clover a top choice for living mulch); den Hollander 2007.
    """
    case = dated.case
    days = (case.slot.free_from - dated.sow).days
    if case.how == "cleared" or days < case.knowledge.practice["long-together-days"].mid or case.slot.companion:
        return None
    fit = case.cover.undersow_fit
    if fit.mid < KIND_FIT:
        return said(case.knowledge, "smothers-standing-crop", fit.sources, part=(KIND_FIT - fit.mid) / 1.5)
    return None


def may_survive(dated: Dated) -> Verdict | None:
    """A winter that may or may not kill leaves the grower guessing. Source: UMass; Delaware; Southern Cover Crops."""
    if dated.life.likelihood == "unsure" and dated.crosses:
        return said(dated.case.knowledge, "may-survive", dated.case.cover.kill_c.sources, chance=dated.life.kill_chance)
    return None


def dies_before_its_time(dated: Dated) -> Verdict | None:
    """What is sown in autumn to grow on in spring is out of its place where winter is likely to kill it.

    Source: SARE handbook, hardiness zones of the winter legumes; lupin: "autumn (mild winters)".
    """
    cover = dated.case.cover
    for_spring = cover.life == "winter-annual" or ("autumn" in cover.seasons and "late-summer" not in cover.seasons)
    if for_spring and dated.life.likelihood == "likely" and dated.crosses:
        return said(dated.case.knowledge, "dies-before-its-time", cover.kill_c.sources, chance=dated.life.kill_chance)
    return None


def dead_by_frost(dated: Dated) -> Verdict | None:
    """A cover that the first frost kills leaves little over winter. Source: Cornell, winter protection."""
    cover = dated.case.cover
    if cover.hurt_by_first_frost and dated.life.killed and dated.crosses:
        return said(dated.case.knowledge, "frost-leaves-bare", cover.kill_c.sources, date=dated.life.killed)
    return None


def biofumigant_needs_bloom(dated: Dated) -> Verdict | None:
    """Autumn-sown crucifers do not fumigate: they must be coming into bloom in warm soil. Source: Cornell."""
    cover = dated.case.cover
    wanted = any(need.purpose == "soil-pests" for need in dated.case.wants)
    if wanted and cover.kind == "brassica" and dated.attained.flowers is None:
        return said(dated.case.knowledge, "no-bloom-no-fumigation", cover.establish_dd.sources)
    return None


DATED_RULES: Final[tuple[Callable[[Dated], Verdict | None], ...]] = (
    bare_before, quick_cover_first, sown_late, past_safe_sowing, sown_before_window, sown_too_early, early_ground,
    legume_cut_young,
    ties_up_nitrogen, feeds_next, fresh_before_small_seed, grass_by_hand, clears_roots, seeds_itself, long_together,
    may_survive, dies_before_its_time, dead_by_frost, biofumigant_needs_bloom,
)

"""Rules about a cover, the crops around it, the soil and the way of sowing: what holds whatever the day.

One small function a rule; add one here and list it, or add a row to ``pairings.yaml``. A rule gives verdicts: points
for or against, or a refusal, each with its sources. Points are data (``points-KEY`` among the practice numbers).
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from calgen.planner.choice.pairing import named_among, pairing_verdicts
from calgen.planner.choice.verdict import Verdict, refused, said
from calgen.planner.model import Reason

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.knowledge.model import Cover, Knowledge
    from calgen.planner.choice.case import Case

FAIR_FIT: Final = 1.5
"""A rating of 0-4 below which a cover is not used that way. Judgement."""
NO_FIT: Final = 0.5
GOOD_SOIL: Final = 2.5
"""Rating of a soil from which nothing is said against it. Judgement."""
EASY: Final = 2.0
"""Ease of ending by hand from which nothing is said. Judgement."""
LOW_COMPANION_FIT: Final = 2.5


def fits_way_of_sowing(case: Case) -> tuple[Verdict, ...]:
    """Undersown, between rows, in pots: only what is rated for it."""
    cover = case.cover
    found: tuple[Verdict, ...] = ()
    if case.how == "undersown" and cover.undersow_fit.mid < FAIR_FIT:
        found = (refused("not-for-undersowing", cover.undersow_fit.sources),)
    elif case.how == "between-rows" and cover.between_rows_fit.mid < FAIR_FIT:
        found = (refused("not-between-rows", cover.between_rows_fit.sources),)
    if case.slot.bed.size.pots and cover.pot_fit.mid < FAIR_FIT and not named_among(case):
        found = (*found, refused("not-in-pots", cover.pot_fit.sources))
    return found


def needs_a_standing_crop(case: Case) -> tuple[Verdict, ...]:
    """Undersowing and drilling between rows need a crop that stands and bears it; carrots and onions do not.

    Source: University of Vermont, Observations on Interseeding.
    """
    if case.how == "cleared" or case.slot.companion:
        return ()
    crop = case.slot.standing
    if crop is None:
        return (refused("nothing-stands"),)
    return () if crop.undersow.possible else (refused("host-too-weak", crop.undersow.sources, crop=crop.id),)


def prepares_the_host(case: Case) -> tuple[Verdict, ...]:
    """Some crops are to be opened up before anything comes up beneath them. Not scored."""
    crop = case.slot.standing
    if case.how != "cleared" and crop and crop.undersow.before and not case.slot.companion:
        return (Verdict(Reason(crop.undersow.before, {"crop": crop.id}, crop.undersow.before_sources)),)
    return ()


def surface_seed(case: Case) -> tuple[Verdict, ...]:
    """Large seed scattered under a crop lies dry: vetches, peas and beans want burying, cereals manage, clovers strike.

    Source: Cornell, Late-summer legumes for overwintering; Dawling and Michigan on oats in standing crops.
    """
    if case.how != "undersown" or case.cover.seed_size != "large" or case.slot.bed.size.pots:
        return ()
    if case.cover.kind == "legume" and not named_among(case):
        return (refused("large-seed-on-surface", case.cover.depth_mm.sources, depth_mm=case.cover.depth_mm.low),)
    return (said(case.knowledge, "seed-lies-dry", case.cover.depth_mm.sources),)


def bears_the_soil(case: Case) -> tuple[Verdict, ...]:
    """Wet, dry, acid, shaded or compacted ground that a cover cannot bear, or bears badly."""
    return _soil_verdicts(case.cover, case.soil, case.knowledge)


@lru_cache(maxsize=1024)
def _soil_verdicts(cover: Cover, soil: tuple[str, ...], knowledge: Knowledge) -> tuple[Verdict, ...]:
    poor = [(word, fit) for word in soil if (fit := cover.soil_fit.get(word)) and fit.mid < GOOD_SOIL]
    return tuple(refused("soil-refused", fit.sources, soil=word) if fit.mid <= NO_FIT else
                 said(knowledge, "soil-poor", fit.sources, part=((GOOD_SOIL - fit.mid) / (GOOD_SOIL - NO_FIT)) ** 2,
                      soil=word) for word, fit in poor)


def stays_low_as_companion(case: Case) -> tuple[Verdict, ...]:
    """A companion stays low and small: clovers and their like, not cereals or tall broadleaves.

    Source: common practice; den Hollander 2007 (competition follows the clover's height).
    """
    if not case.slot.companion:
        return ()
    cover = case.cover
    if cover.undersow_fit.mid < LOW_COMPANION_FIT or cover.kind in ("grass", "brassica") or cover.seed_size == "large":
        return (refused("too-strong-a-companion", cover.undersow_fit.sources),)
    if case.slot.standing:
        return (said(case.knowledge, "companion-competes", cover.undersow_fit.sources, crop=case.slot.standing.id),)
    return ()


def hard_to_end_by_hand(case: Case) -> tuple[Verdict, ...]:
    """Some covers come back or will not be turned in without a tiller.

    Source: Maryland Fact Sheet 6; annual ryegrass: Schonbeck, Michigan.
    """
    ease = case.cover.hand_ease
    if ease.mid < EASY and case.slot.site.tools == "hand" and not case.slot.bed.size.pots:
        return (said(case.knowledge, "hard-by-hand", ease.sources, part=((EASY - ease.mid) / (EASY - NO_FIT)) ** 4),)
    return ()


def cautions(case: Case) -> tuple[Verdict, ...]:
    """Poisonous seed, bees, weed lists: said, not scored."""
    return _cautions(case.cover)


@lru_cache(maxsize=512)
def _cautions(cover: Cover) -> tuple[Verdict, ...]:
    return tuple(Verdict(Reason("caution", {"text": words.text}, words.sources, good=False))
                 for words in cover.cautions)


SETTING_RULES: Final[tuple[Callable[[Case], tuple[Verdict, ...]], ...]] = (
    fits_way_of_sowing, needs_a_standing_crop, prepares_the_host, pairing_verdicts, bears_the_soil, surface_seed,
    stays_low_as_companion, hard_to_end_by_hand, cautions,
)

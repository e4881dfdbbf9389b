"""Rules about a cover, the crops around it, the soil and the way of sowing: what holds whatever the day.

One small function a rule; add one here and list it, or add a row to ``pairings.yaml``. A rule yields verdicts: points
for or against, or a refusal, each with its sources. Points are data (``points-KEY`` among the practice numbers).
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from calgen.planner.choice.need import ground
from calgen.planner.choice.pairing import named_among, pairing_verdicts
from calgen.planner.choice.verdict import Verdict, refused, said
from calgen.planner.model import Reason

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from calgen.knowledge.model import Cover
    from calgen.planner.choice.case import Case

FAIR_FIT: Final = 1.5
"""A rating of 0-4 below which a cover is not used that way. Judgement."""
NO_FIT: Final = 0.5
GOOD_SOIL: Final = 2.5
"""Rating of a soil from which nothing is said against it. Judgement."""
EASY: Final = 2.0
"""Ease of ending by hand from which nothing is said. Judgement."""
LOW_COMPANION_FIT: Final = 2.5


def fits_way_of_sowing(case: Case) -> Iterator[Verdict]:
    """Undersown, between rows, in pots: only what is rated for it."""
    cover = case.cover
    if case.how == "undersown" and cover.undersow_fit.mid < FAIR_FIT:
        yield refused("not-for-undersowing", cover.undersow_fit.sources)
    if case.how == "between-rows" and cover.between_rows_fit.mid < FAIR_FIT:
        yield refused("not-between-rows", cover.between_rows_fit.sources)
    if case.slot.bed.size.pots and cover.pot_fit.mid < FAIR_FIT and not named_among(case):
        yield refused("not-in-pots", cover.pot_fit.sources)


def needs_a_standing_crop(case: Case) -> Iterator[Verdict]:
    """Undersowing and drilling between rows need a crop that stands and bears it; carrots and onions do not.

    Source: University of Vermont, Observations on Interseeding.
    """
    if case.how == "cleared" or case.slot.companion:
        return
    crop = case.slot.standing
    if crop is None:
        yield refused("nothing-stands")
    elif not crop.undersow.possible:
        yield refused("host-too-weak", crop.undersow.sources, crop=crop.id)


def prepares_the_host(case: Case) -> Iterator[Verdict]:
    """Some crops are to be opened up before anything comes up beneath them. Not scored."""
    crop = case.slot.standing
    if case.how != "cleared" and crop and crop.undersow.before and not case.slot.companion:
        yield Verdict(Reason(crop.undersow.before, {"crop": crop.id}, crop.undersow.before_sources))


def surface_seed(case: Case) -> Iterator[Verdict]:
    """Large seed scattered under a crop lies dry: vetches, peas and beans want burying, cereals manage, clovers strike.

    Source: Cornell, Late-summer legumes for overwintering; Dawling and Michigan on oats in standing crops.
    """
    if case.how != "undersown" or case.cover.seed_size != "large" or case.slot.bed.size.pots:
        return
    if case.cover.kind == "legume" and not named_among(case):
        yield refused("large-seed-on-surface", case.cover.depth_mm.sources, depth_mm=case.cover.depth_mm.low)
    else:
        yield said(case, "seed-lies-dry", case.cover.depth_mm.sources)


def bears_the_soil(case: Case) -> Iterator[Verdict]:
    """Wet, dry, acid, shaded or compacted ground that a cover cannot bear, or bears badly."""
    for word in ground(case.slot):
        fit = case.cover.soil_fit.get(word)
        if fit is None:
            continue
        if fit.mid <= NO_FIT:
            yield refused("soil-refused", fit.sources, soil=word)
        elif fit.mid < GOOD_SOIL:
            yield said(case, "soil-poor", fit.sources, part=((GOOD_SOIL - fit.mid) / (GOOD_SOIL - NO_FIT)) ** 2,
                        soil=word)


def stays_low_as_companion(case: Case) -> Iterator[Verdict]:
    """A companion stays low and small: clovers and their like, not cereals or tall broadleaves.

    Source: common practice; den Hollander 2007 (competition follows the clover's height).
    """
    if not case.slot.companion:
        return
    cover = case.cover
    if cover.undersow_fit.mid < LOW_COMPANION_FIT or cover.kind in ("grass", "brassica") or cover.seed_size == "large":
        yield refused("too-strong-a-companion", cover.undersow_fit.sources)
    elif case.slot.standing:
        yield said(case, "companion-competes", cover.undersow_fit.sources, crop=case.slot.standing.id)


def hard_to_end_by_hand(case: Case) -> Iterator[Verdict]:
    """Some covers come back or will not be turned in without a tiller.

    Source: Maryland Fact Sheet 6; annual ryegrass: Schonbeck, Michigan.
    """
    ease = case.cover.hand_ease
    if case.slot.site.tools == "hand" and not case.slot.bed.size.pots and ease.mid < EASY:
        yield said(case, "hard-by-hand", ease.sources, part=((EASY - ease.mid) / (EASY - NO_FIT)) ** 4)


def cautions(case: Case) -> Iterator[Verdict]:
    """Poisonous seed, bees, weed lists: said, not scored."""
    yield from _cautions(case.cover)


@lru_cache(maxsize=512)
def _cautions(cover: Cover) -> tuple[Verdict, ...]:
    return tuple(Verdict(Reason("caution", {"text": words.text}, words.sources, good=False))
                 for words in cover.cautions)


SETTING_RULES: Final[tuple[Callable[[Case], Iterator[Verdict]], ...]] = (
    fits_way_of_sowing, needs_a_standing_crop, prepares_the_host, pairing_verdicts, bears_the_soil, surface_seed,
    stays_low_as_companion, hard_to_end_by_hand, cautions,
)

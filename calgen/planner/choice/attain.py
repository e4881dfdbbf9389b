"""What a cover reaches here between sowing and cutting: ground covered, growth, roots, nitrogen.

Seed comes up by degree days; from there all curves rise with lit heat (degree days weighted by daylight):
    ground cover   1 - exp(-2.3 x^1.75),  x = heat/(full cover - emergence); 0.9 at full cover
    growth         1 - exp(-3 x^3),       x = heat/(full growth - emergence); 0.95 at full growth
    roots          x of growth, up to full depth
    nitrogen       growth^0.75, legumes growth: uptake runs ahead of growth, fixing does not

The shapes are ours, the exponents set on western Washington (Lawson 2015: rye 5.1 t/ha and vetch 2.3 t/ha from mid
September to late April; 18 days' delay cost 65 % of winter ground cover, 50 % of growth and 40 % of nitrogen, cutting
in late March about as much): within 15 points of those losses and 0.4 t/ha. Mustard at Geneva, New York (Cornell)
comes out at 2.8 t/ha for 2.2 printed. Known error elsewhere: dry matter ± 40 %, ground cover ± 0.2.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from math import exp, log
from typing import TYPE_CHECKING, Final

from calgen.planner.choice.course import UNLIKELY, Course, course
from calgen.planner.choice.growth import growth_clock
from calgen.planner.choice.nitrogen import nitrogen_credit
from calgen.planner.model import Attained

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Cover, Quantity, Stage

GROWTH_POWER: Final = 3.0
COVER_POWER: Final = 1.75
UPTAKE_POWER: Final = 0.75
"""A stand with half the growth held 0.6 of the nitrogen (Lawson 2015): 0.5^0.75 = 0.59."""
ROSETTE_SHARE: Final = 0.35
"""Most growth that a long-day legume or a lasting grass makes in falling days, of its full growth: it tillers or lies
low until spring lengthens the stem (Cornell: most of a winter legume's nitrogen is fixed in May). Judgement."""
DARKEST_SHADE: Final = 0.2
"""Growth under a standing crop, of that in the open: a fifth for what does not bear shade, 0.7 for what is rated best
for undersowing, straight between. Judgement."""
LIGHTEST_SHADE: Final = 0.7
RESIDUE_COVER: Final = {"grass": 0.7, "legume": 0.5, "brassica": 0.35, "other": 0.35}
TENDER_RESIDUE_COVER: Final = 0.3
"""Ground still covered in spring by what winter killed, of what it covered alive: oats leave a mat (Maryland), soft
stuff rots, and what the first frost kills leaves "little winter cover" (Cornell). The numbers are our judgement."""
FRESH_RESIDUE_COVER: Final = 0.85
RESIDUE_SHRINKS_DAYS: Final = 21
"""What was cut lies thick at first, and loses half of what it will lose in three weeks. Judgement."""
STIFFENING_DAYS: Final = 42
DEAD_NITROGEN: Final = 0.5
"""Nitrogen of a winter-killed stand still there for the next crop. Judgement; the rest is leached or lost."""


def cover_share(cover: Cover, heat: float) -> float:
    """Ground covered after so much lit heat since emergence. [0-1]"""
    x = heat / max(1.0, cover.full_cover_dd.mid - cover.emergence_dd.mid)
    return 1 - exp(-2.3 * min(x, 3.0) ** COVER_POWER)


def growth_share(cover: Cover, heat: float) -> float:
    """Dry matter after so much lit heat since emergence, of that at full growth. [0-1]"""
    x = heat / max(1.0, cover.biomass_full_dd.mid - cover.emergence_dd.mid)
    return 1 - exp(-3.0 * min(x, 3.0) ** GROWTH_POWER)


def lit_heat(cover: Cover, climate: Climate, life: Course, day: date, shaded_until: date | None = None) -> float:
    """Lit heat from emergence to a day, less what a standing crop's shade takes. [°C·day]"""
    if life.emerges is None or day <= life.emerges:
        return 0.0
    clock = growth_clock(climate, cover.base_c.mid)
    heat = clock.between(life.emerges, day)
    if shaded_until and shaded_until > life.emerges:
        shade = DARKEST_SHADE + (LIGHTEST_SHADE - DARKEST_SHADE) * cover.undersow_fit.mid / 4
        heat -= (1 - shade) * clock.between(life.emerges, min(day, shaded_until))
    return heat


def growth_heat(cover: Cover, climate: Climate, life: Course, day: date, shaded_until: date | None = None) -> float:
    """Lit heat that made growth by a day: before winter no more than a rosette can use. [°C·day]"""
    heat = lit_heat(cover, climate, life, day, shaded_until)
    if not (rosette(cover) and life.short_days):
        return heat
    before = lit_heat(cover, climate, life, min(day, life.winter), shaded_until)
    full = cover.biomass_full_dd.mid - cover.emergence_dd.mid
    most: float = full * (-log(1 - ROSETTE_SHARE) / 3.0) ** (1 / GROWTH_POWER)
    return heat - max(0.0, before - most)


def rosette(cover: Cover) -> bool:
    """Whether it lies low or only tillers while days grow shorter: long-day legumes, and grasses that live on."""
    return cover.long_day_flowering and (cover.kind == "legume" or cover.life != "annual")


def covered(cover: Cover, climate: Climate, life: Course, day: date, shaded_until: date | None = None,
            cut: date | None = None) -> float:
    """Ground covered on a day, alive or dead, over good and bad winters; after cutting by what lies there. [0-1]"""
    if day <= life.sow:
        return 0.0
    if cut and day > cut:
        return covered(cover, climate, life, cut, shaded_until) * _left(cover, life, cut, day)
    alive = cover_share(cover, lit_heat(cover, climate, life, day, shaded_until))
    if life.killed is None or day <= life.killed:
        return alive
    at_death = cover_share(cover, lit_heat(cover, climate, life, life.killed, shaded_until))
    return alive * (1 - life.kill_chance) + at_death * _residue(cover) * life.kill_chance


def _residue(cover: Cover) -> float:
    return TENDER_RESIDUE_COVER if cover.hurt_by_first_frost else RESIDUE_COVER[cover.kind]


def _left(cover: Cover, life: Course, cut: date, day: date) -> float:
    """What still covers on a day after cutting, of what did then. [0-1]"""
    if life.killed is not None and life.killed < cut:
        return 1.0
    residue = _residue(cover)
    left: float = residue + (FRESH_RESIDUE_COVER - residue) * 0.5 ** ((day - cut).days / RESIDUE_SHRINKS_DAYS)
    return left


@lru_cache(maxsize=20_000)
def attained(cover: Cover, climate: Climate, sow: date, end: date, shaded_until: date | None = None) -> Attained:
    """What a cover reaches at this place, sown on one day and cut (or dead by) another.

    Args:
        sow: sowing day.
        end: day of cutting; a cover that winter kills before it stops growing then.
        shaded_until: day until which another crop stands over it.
    """
    life = course(cover, climate, sow)
    winter = min(end, life.winter)
    dead = life.killed is not None and life.killed < end
    chance = life.kill_chance if dead else 0.0
    growth = growth_share(cover, growth_heat(cover, climate, life, end, shaded_until))
    if dead and life.killed:
        at_death = growth_share(cover, growth_heat(cover, climate, life, life.killed, shaded_until))
        growth = growth * (1 - chance) + at_death * chance
    heat = lit_heat(cover, climate, life, life.killed if dead and life.killed else end, shaded_until)
    root = min(1.0, heat / max(1.0, cover.biomass_full_dd.mid - cover.emergence_dd.mid))
    uptake = growth if cover.fixes_nitrogen else growth ** UPTAKE_POWER
    dry = (cover.biomass_t_ha.low * growth, cover.biomass_t_ha.high * growth)
    cut = life.killed if dead and life.killed else end
    kept_share = 1 - (1 - DEAD_NITROGEN) * chance
    low, high = nitrogen_credit(dry, contents(cover.n_percent, life, cut))
    return Attained(
        emerges=life.emerges if life.emerges and life.emerges < end else None,
        ground_cover_winter=cover_share(cover, lit_heat(cover, climate, life, winter, shaded_until)) if not dead
        else cover_share(cover, lit_heat(cover, climate, life, min(winter, life.killed or winter), shaded_until)),
        ground_cover_end=covered(cover, climate, life, end, shaded_until),
        biomass_t_ha=dry,
        nitrogen_kg_ha=(cover.n_total_kg_ha.low * uptake, cover.n_total_kg_ha.high * uptake),
        pan_kg_ha=(low * kept_share, high * kept_share),
        c_to_n=contents(cover.c_to_n, life, cut),
        root_cm=cover.root_depth_cm.mid * root,
        flowers=life.flowers if life.flowers and life.flowers < end and not (dead and chance > UNLIKELY
                                                                             and life.flowers > (life.killed or end))
        else None,
        kill_chance=life.kill_chance,
        degree_days_winter=life.degree_days_winter,
        establish_share=life.establish_share,
        killed=life.killed if dead else None,
        meets_winter=end >= life.winter or dead,
    )


def kept_covered(cover: Cover, climate: Climate, sow: date, since: date, until: date,
                 shaded_until: date | None = None, cut: date | None = None) -> float:
    """Mean share of the ground that is covered over a span, bare days before emergence included. [0-1]

    Args:
        since, until: the span.
        cut: day of cutting; from then on dead matter covers a part.
    """
    life = course(cover, climate, sow)
    days = (until - since).days
    if days <= 0:
        return 0.0
    lying: float | None = None
    total = 0.0
    for n in range(6):
        day = since + timedelta(round(days * (n + 0.5) / 6))
        if cut is None or day <= cut or day <= sow:
            total += covered(cover, climate, life, day, shaded_until)
            continue
        if lying is None:
            lying = covered(cover, climate, life, cut, shaded_until)
        total += lying * _left(cover, life, cut, day)
    return total / 6


def contents(table: Mapping[Stage, Quantity], life: Course, day: date) -> tuple[float, float]:
    """A tissue content (nitrogen, C:N) on a day [low, high]: it moves toward the flowering value in the last six weeks.

    Source: PNW 636 (cereals release least if killed late, most at early stem extension); the six weeks are ours.
    """
    young = table.get("vegetative") or next(iter(table.values()))
    grown = table.get("flowering") or young
    old = table.get("mature") or grown
    if life.flowers is None:
        return young.low, young.high
    to_flower = (life.flowers - day).days
    if to_flower >= 0:
        return _between(young, grown, 1 - to_flower / STIFFENING_DAYS)
    return _between(grown, old, -to_flower / STIFFENING_DAYS)


def _between(first: Quantity, second: Quantity, share: float) -> tuple[float, float]:
    part = min(1.0, max(0.0, share))
    return first.low + (second.low - first.low) * part, first.high + (second.high - first.high) * part

"""What a cover reaches here between sowing and cutting: ground covered, growth, roots, nitrogen.

Seed comes up by degree days; from there all curves rise with lit heat (degree days weighted by daylight; what frost
does not hurt grows no faster above 21 °C, as cool-season crops of the same families do):
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

from msgspec import Struct
from msgspec.structs import replace

from calgen.planner.choice.course import UNLIKELY, course
from calgen.planner.choice.growth import growth_clock
from calgen.planner.choice.nitrogen import nitrogen_credit
from calgen.planner.crop_maturity import CAP_COOL_C
from calgen.planner.model import Attained

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Cover, Quantity, Stage
    from calgen.planner.choice.course import Course
    from calgen.planner.choice.growth import GrowthClock

GROWTH_POWER: Final = 3.0
COVER_POWER: Final = 1.75
UPTAKE_POWER: Final = 0.75
"""A stand with half the growth held 0.6 of the nitrogen (Lawson 2015): 0.5^0.75 = 0.59."""
ROSETTE_SHARE: Final = 0.35
"""Most growth that a long-day legume or a lasting grass makes in falling days, of its full growth: it tillers or lies
low until spring lengthens the stem (Cornell: most of a winter legume's nitrogen is fixed in May). Judgement."""
ROSETTE_HEAT: Final[float] = (-log(1 - ROSETTE_SHARE) / 3.0) ** (1 / GROWTH_POWER)
"""Its heat, of that to full growth: the curve of growth turned round."""
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


class Growing(Struct, frozen=True, eq=False):
    """A cover where it stands, from its emergence on.

    ``dimmed`` is the part of its growth that a standing crop's shade takes until ``shaded_until`` [0-1]; ``to_cover``
    and ``to_grow`` the lit heat from emergence to full cover and full growth; ``lying`` the share of the ground that it
    covers once winter has killed it [°C·day, 0-1].
    """

    cover: Cover
    life: Course
    clock: GrowthClock
    shaded_until: date | None
    dimmed: float
    to_cover: float
    to_grow: float
    lying: float = 0.0

    def heat(self, day: date) -> float:
        """Lit heat from emergence to a day, less what a standing crop's shade takes. [°C·day]"""
        emerges, shaded_until, clock = self.life.emerges, self.shaded_until, self.clock
        if emerges is None or day <= emerges:
            return 0.0
        begun = clock[emerges]
        heat = clock[day] - begun
        if shaded_until and shaded_until > emerges:
            heat -= self.dimmed * (clock[min(day, shaded_until)] - begun)
        return max(0.0, heat)  # rounding leaves days without heat a hair below nothing

    def growth(self, day: date) -> float:
        """Dry matter by a day, of that at full growth; before winter no more than a rosette makes. [0-1]"""
        heat = self.heat(day)
        if self.life.short_days and rosette(self.cover):
            before = heat if day <= self.life.winter else self.heat(self.life.winter)
            heat -= max(0.0, before - ROSETTE_HEAT * self.to_grow)
        return 1 - exp(-3.0 * min(heat / self.to_grow, 3.0) ** GROWTH_POWER)

    def alive(self, day: date) -> float:
        """Ground that it covers on a day if no winter has killed it. [0-1]"""
        x = self.heat(day) / self.to_cover
        return 1 - exp(-2.3 * (x if x < 3.0 else 3.0) ** COVER_POWER)

    def covered(self, day: date) -> float:
        """Ground covered on a day, alive or dead, over good and bad winters. [0-1]"""
        life = self.life
        if day <= life.sow:
            return 0.0
        if life.killed is None or day <= life.killed:
            return self.alive(day)
        return self.alive(day) * (1 - life.kill_chance) + self.lying * life.kill_chance

    def left(self, cut: date, day: date) -> float:
        """What still covers on a day after cutting, of what did then. [0-1]"""
        if self.life.killed is not None and self.life.killed < cut:
            return 1.0
        residue = _residue(self.cover)
        still: float = residue + (FRESH_RESIDUE_COVER - residue) * 0.5 ** ((day - cut).days / RESIDUE_SHRINKS_DAYS)
        return still


@lru_cache(maxsize=20_000)
def growing(cover: Cover, climate: Climate, sow: date, shaded_until: date | None = None) -> Growing:
    """A cover sown on a day at a place; ``shaded_until`` is the day until which another crop stands over it."""
    life, emergence = course(cover, climate, sow), cover.emergence_dd.mid
    shade = DARKEST_SHADE + (LIGHTEST_SHADE - DARKEST_SHADE) * cover.undersow_fit.mid / 4
    clock = growth_clock(climate, cover.base_c.mid, None if cover.hurt_by_first_frost else CAP_COOL_C)
    found = Growing(cover, life, clock, shaded_until, 1 - shade,
                    max(1.0, cover.full_cover_dd.mid - emergence), max(1.0, cover.biomass_full_dd.mid - emergence))
    return replace(found, lying=found.alive(life.killed) * _residue(cover)) if life.killed else found


def rosette(cover: Cover) -> bool:
    """Whether it lies low or only tillers while days grow shorter: long-day legumes, and grasses that live on."""
    return cover.long_day_flowering and (cover.kind == "legume" or cover.life != "annual")


def _residue(cover: Cover) -> float:
    return TENDER_RESIDUE_COVER if cover.hurt_by_first_frost else RESIDUE_COVER[cover.kind]


@lru_cache(maxsize=20_000)
def attained(cover: Cover, climate: Climate, sow: date, end: date, shaded_until: date | None = None) -> Attained:
    """What a cover reaches at this place, sown on one day and cut (or dead by) another.

    Args:
        sow: sowing day.
        end: day of cutting; a cover that winter kills before it stops growing then.
        shaded_until: day until which another crop stands over it.
    """
    grows = growing(cover, climate, sow, shaded_until)
    life = grows.life
    killed = life.killed if life.killed is not None and life.killed < end else None
    chance = life.kill_chance if killed else 0.0
    stops = killed or end
    growth = grows.growth(end)
    if killed:
        growth = growth * (1 - chance) + grows.growth(killed) * chance
    root = min(1.0, grows.heat(stops) / grows.to_grow)
    uptake = growth if cover.fixes_nitrogen else growth ** UPTAKE_POWER
    dry = (cover.biomass_t_ha.low * growth, cover.biomass_t_ha.high * growth)
    kept_share = 1 - (1 - DEAD_NITROGEN) * chance
    low, high = nitrogen_credit(dry, contents(cover.n_percent, life, stops))
    flowered = life.flowers is not None and life.flowers < end and not (killed and chance > UNLIKELY
                                                                        and life.flowers > killed)
    return Attained(
        emerges=life.emerges if life.emerges and life.emerges < end else None,
        ground_cover_winter=grows.alive(min(stops, life.winter)),
        ground_cover_end=grows.covered(end),
        biomass_t_ha=dry,
        nitrogen_kg_ha=(cover.n_total_kg_ha.low * uptake, cover.n_total_kg_ha.high * uptake),
        pan_kg_ha=(low * kept_share, high * kept_share),
        c_to_n=contents(cover.c_to_n, life, stops),
        root_cm=cover.root_depth_cm.mid * root,
        flowers=life.flowers if flowered else None,
        kill_chance=life.kill_chance,
        degree_days_winter=life.degree_days_winter,
        establish_share=life.establish_share,
        killed=killed,
        meets_winter=end >= life.winter or killed is not None,
    )


def kept_covered(cover: Cover, climate: Climate, sow: date, since: date, until: date,
                 shaded_until: date | None = None, cut: date | None = None) -> float:
    """Mean share of the ground that is covered over a span, bare days before emergence included. [0-1]

    Args:
        since, until: the span.
        cut: day of cutting; from then on dead matter covers a part.
    """
    grows = growing(cover, climate, sow, shaded_until)
    length = (until - since).days
    if length <= 0:
        return 0.0
    days = [since + timedelta(round(length * (n + 0.5) / 6)) for n in range(6)]
    growing_on = [day for day in days if cut is None or day <= cut or day <= sow]
    total = sum([grows.covered(day) for day in growing_on])
    if cut is not None and len(growing_on) < len(days):
        total += grows.covered(cut) * sum([grows.left(cut, day) for day in days[len(growing_on):]])
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

"""Nitrogen that a cover leaves for the next crop, from its dry matter and the nitrogen in it.

    quantity                   unit
    dry matter                 t/ha
    nitrogen in dry matter     %
    plant-available nitrogen   kg/ha, below nothing where the residue ties nitrogen up
"""

from __future__ import annotations

from typing import Final

PAN_KG_PER_T_PER_PERCENT: Final = 8.75
"""35 lb per US ton at 3.5 % N and nothing at 1.5 %, straight between. Source: PNW 636, Sullivan and Andrews 2012."""
NO_RELEASE_PERCENT: Final = 1.5
FULL_RELEASE_PERCENT: Final = 3.5
MOST_KG_HA: Final = 112.0
"""Legumes give up to 100 lb an acre. Source: PNW 636."""
LEAST_KG_HA: Final = -56.0
"""A cereal cut late ties up as much as 50 lb an acre. Source: PNW 636."""


def pan_kg_per_t(n_percent: float) -> float:
    """Plant-available nitrogen from a tonne of dry matter within about ten weeks of killing. [kg/t]

    Below 1.5 % N the same line is carried on: PNW 636 says "zero or negative" there and gives no figure.
    Measured for winter covers before summer vegetables in western Oregon and Washington; error about ±30 %.
    """
    return PAN_KG_PER_T_PER_PERCENT * (min(n_percent, FULL_RELEASE_PERCENT) - NO_RELEASE_PERCENT)


def nitrogen_credit(dry_matter_t_ha: tuple[float, float], n_percent: tuple[float, float]) -> tuple[float, float]:
    """Plant-available nitrogen for the next crop [low, high]; most of it comes 4-6 weeks after killing. [kg/ha]

    The larger a stand, the thinner its nitrogen, so the little dry matter goes with the high content and the much
    with the low one.

    Args:
        dry_matter_t_ha: above ground at killing, low and high. [t/ha]
        n_percent: nitrogen in the dry matter, low and high. [%]

    Source: PNW 636.
    """
    little, much = dry_matter_t_ha
    thin, rich = n_percent
    ends = little * pan_kg_per_t(rich), much * pan_kg_per_t(thin)
    return _within(min(ends)), _within(max(ends))


def _within(kg_ha: float) -> float:
    return min(MOST_KG_HA, max(LEAST_KG_HA, kg_ha))


def older_credit(total_n: float, *, turned_in: bool, warm: bool) -> float:
    """The older halving rule, in the unit of ``total_n``: half if turned in or in warmth, a quarter on cool ground.

    Kept beside PNW 636 to show how far rules differ: it credits grasses with nitrogen they tie up.
    Source: University of California Santa Cruz, Unit 1.6, after the SARE handbook.
    """
    return total_n / 2 if turned_in or warm else total_n / 4

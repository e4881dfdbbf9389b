"""Seed for a bed. The surface of pots is part of a bed's area (``calgen.site.convert``)."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calgen.knowledge.model import Cover
    from calgen.site.model import How


def rate_g_m2(cover: Cover, how: How) -> float:
    """Seed for a timely sowing: drilled in rows between the crop's, broadcast otherwise. [g/m²]"""
    return (cover.seed_drilled_g_m2 if how == "between-rows" else cover.seed_broadcast_g_m2).mid


def grams(rate: float, area_m2: float, factor: float = 1.0, share: float = 1.0) -> float:
    """Seed for an area. [g]

    Args:
        rate: full rate of the cover alone. [g/m²]
        area_m2: ground to sow. [m²]
        factor: more seed for a late sowing. [1 and up]
        share: part of the full rate in a mixture. [0-1]
    """
    return rate * area_m2 * factor * share


def seed_grams(cover: Cover, area_m2: float, how: How, factor: float = 1.0, share: float = 1.0) -> float:
    """Seed of a cover for an area sown in a certain way. [g]"""
    return grams(rate_g_m2(cover, how), area_m2, factor, share)

"""Walks through everything sourced that a plant or the whole knowledge holds: numbers and statements by their path."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.knowledge.model import Cover, Crop, Quantity, SeedStep, Undersow, Words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.knowledge.model import Knowledge

Sourced = Quantity | Words


def plant_values(plant: Crop | Cover) -> Iterator[tuple[tuple[str, ...], Sourced]]:
    """Every number and statement of a plant with its path: field, then word of a table or place in a list."""
    for name in plant.__struct_fields__:
        yield from _within((name,), getattr(plant, name))


def knowledge_values(knowledge: Knowledge) -> Iterator[tuple[tuple[str, ...], Sourced]]:
    """Every number and statement there is, the path beginning with the kind: crop, cover, mixture, mulch, …"""
    for kind, plants in (("crop", knowledge.crops), ("cover", knowledge.covers)):
        for id_, plant in plants.items():
            yield from (((kind, id_, *path), value) for path, value in plant_values(plant))
    for mixture in knowledge.mixtures:
        for cover, share in zip(mixture.covers, mixture.shares, strict=True):
            yield ("mixture", "+".join(mixture.covers), cover), share
        yield ("mixture", "+".join(mixture.covers), "why"), mixture.why
    for id_, mulch in knowledge.mulches.items():
        yield ("mulch", id_, "depth_mm"), mulch.depth_mm
        yield from ((("mulch", id_, "notes", str(n)), note) for n, note in enumerate(mulch.notes, 1))
    yield from ((("practice", key), value) for key, value in knowledge.practice.items())
    yield from ((("pairing", pairing.key), pairing.points) for pairing in knowledge.pairings if pairing.points)


def used_sources(knowledge: Knowledge) -> set[str]:
    """The ids of all sources that something rests on."""
    used = {source for _, value in knowledge_values(knowledge) for source in value.sources}
    used |= {source for crop in knowledge.crops.values() for source in
             (*crop.undersow.sources, *crop.undersow.before_sources)}
    used |= {source for cover in knowledge.covers.values() for step in cover.seed_steps for source in step.sources}
    return used | {source for pairing in knowledge.pairings for source in pairing.sources}


def _within(path: tuple[str, ...], value: object) -> Iterator[tuple[tuple[str, ...], Sourced]]:
    if isinstance(value, (Quantity, Words)):
        yield path, value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _within((*path, str(key)), inner)
    elif isinstance(value, tuple) and value and not isinstance(value[0], (str, SeedStep)):
        for number, inner in enumerate(value, 1):
            yield from _within((*path, str(number)), inner)
    elif isinstance(value, Undersow):
        yield from _within((*path, "from_days"), value.from_days)

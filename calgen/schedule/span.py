"""Pieces of a bed's plan -> spans within the chart, labelled."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from calgen.schedule.model import Label, Span

if TYPE_CHECKING:
    from datetime import date

    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import BedPlan, Piece
    from calgen.schedule.wording import Speaker
    from calgen.site.model import Size


def spans(bed: BedPlan, start: date, end: date, speaker: Speaker) -> tuple[Span, ...]:
    """The spans of a bed that reach into the chart from ``start`` to ``end`` (exclusive); a bar that crosses the edge
    keeps its true dates."""
    found = [_span(piece, speaker) for piece in bed.pieces if piece.to > start and piece.start < end
             and piece.to > piece.start]
    return tuple(sorted(found, key=lambda span: (span.start, span.lane, span.plants)))


def _span(piece: Piece, speaker: Speaker) -> Span:
    companion = piece.kind == "cover" and piece.step is not None and hasattr(piece.step, "plant")
    return Span(piece.kind, piece.plants, label(piece.plants, piece.kind, speaker), piece.start, piece.to, piece.lane,
                _does(piece, speaker.knowledge), companion, piece.killed, piece.killed_from)


def _does(piece: Piece, knowledge: Knowledge) -> Literal["grass", "legume", "brassica", "other"] | None:
    if piece.kind != "cover":
        return None
    kinds = {knowledge.covers[plant].kind for plant in piece.plants}
    return "legume" if "legume" in kinds else knowledge.covers[piece.plants[0]].kind


def label(plants: tuple[str, ...], kind: str, speaker: Speaker) -> Label:
    """Full, short and coded name of what stands there."""
    if kind == "bare":
        word = speaker.wording.word("bare")
        return Label(word, word, word[:2])
    if plants == ("residue",):
        return Label(speaker.wording.word("residue"), speaker.wording.word("residue-short"), "~")
    knowledge = speaker.knowledge
    names = [(knowledge.crops.get(plant) or knowledge.covers.get(plant) or knowledge.mulches[plant]).names
             for plant in plants]
    codes = [speaker.wording.plant_codes.get(plant, name.code) for plant, name in zip(plants, names, strict=True)]
    if len(names) == 1:
        return Label(speaker.listed(plants), speaker.wording.short_plant(plants[0], names[0]), codes[0])
    short = "+".join(speaker.wording.short_plant(plant, name) for plant, name in zip(plants, names, strict=True))
    return Label(speaker.listed(plants), short, "+".join(codes))


def ground(size: Size, speaker: Speaker) -> str:
    """A bed's ground in words: width by length and area, or pots."""
    if size.pots:
        return speaker.phrase("ground-pots", {"pots": size.pots, "pot_litres": size.pot_litres})
    if size.width_m and size.length_m:
        return speaker.phrase("ground-bed", {"width": size.width_m, "length": size.length_m, "area_m2": size.area_m2}) \
            if speaker.units == "metric" else speaker.phrase("ground-area", {"area_m2": size.area_m2})
    return speaker.phrase("ground-area", {"area_m2": size.area_m2})

"""The main lane of a bed: what stands in full view, one piece after the other.

Dates of the grower's own can contradict each other: a cover sown on cleared ground while the crop is not yet cleared.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from calgen.planner.model import Piece


def end_to_end(pieces: Iterable[Piece]) -> tuple[Piece, ...]:
    """The pieces in order of their first day, those of the main lane without overlap.

    What was there first keeps the lane; what was started meanwhile grows under it until it ends. Mulch and bare soil
    have what crops and covers leave.
    """
    in_order = sorted(pieces, key=lambda piece: (piece.start, piece.lane))
    found = [piece for piece in in_order if piece.lane != "main"]
    taken: list[Piece] = []
    for piece in (piece for piece in in_order if piece.lane == "main" and piece.kind in ("crop", "cover")):
        free_from = max((before.to for before in taken), default=piece.start)
        if piece.start < free_from:
            found.append(replace(piece, to=min(piece.to, free_from), lane="under"))
        if piece.start >= free_from or piece.to > free_from:
            taken.append(replace(piece, start=max(piece.start, free_from)))
    for piece in (piece for piece in in_order if piece.lane == "main" and piece.kind not in ("crop", "cover")):
        taken.extend(_left(piece, taken))
    return tuple(sorted([*found, *taken], key=lambda piece: (piece.start, piece.lane)))


def _left(piece: Piece, taken: Iterable[Piece]) -> Iterator[Piece]:
    """The parts of a piece on days that nothing else takes."""
    start = piece.start
    for other in sorted(taken, key=lambda other: other.start):
        if other.to > start and other.start < piece.to:
            if other.start > start:
                yield replace(piece, start=start, to=other.start)
            start = other.to
    if start < piece.to:
        yield replace(piece, start=start)

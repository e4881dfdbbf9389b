"""Reads ``pairings.yaml``: what speaks for or against a cover before, after, among or near a crop, row by row.

    rows:
    - key: mustard-before-cucurbits
      covers: [white-mustard]          # ids, or: family NAME, kind NAME, fixes nitrogen
      crops: [family Cucurbitaceae]    # ids, or: family NAME, feeding NAME, seed NAME
      when: [before]                   # before, after, among, rotation (one step further away); always: no crops
      source: cornell-early-spring     # refuses; or points: {value, unit: points, source, why}
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, cast, get_args

from calgen.knowledge.model import Pairing, Relation
from calgen.knowledge.quantity import one_of, quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from calgen.knowledge.model import Cover, Crop, Source
    from calgen.yamlfile import Mapping as Keys
    from calgen.yamlfile import Node

MOST_POINTS: Final = 40.0
_GROUPS: Final = {
    "covers": ("family", "kind", "fixes"),
    "crops": ("family", "feeding", "seed"),
}


def pairings(keys: Keys, sources: Mapping[str, Source], crops: Mapping[str, Crop],
             covers: Mapping[str, Cover]) -> tuple[Pairing, ...]:
    """The rows of the file; faults are added to those of ``keys``.

    Args:
        keys: the file's mapping.
        sources: the known sources by id.
        crops, covers: the known plants by id; a row that names another is at fault.
    """
    node = keys.need("rows")
    keys.finish()
    if node is None:
        return ()
    found = [_pairing(element, sources, crops, covers) for element in node.elements(single=False)]
    return tuple(pairing for pairing in found if pairing is not None)


def _pairing(node: Node, sources: Mapping[str, Source], crops: Mapping[str, Crop],
             covers: Mapping[str, Cover]) -> Pairing | None:
    keys = node.mapping()
    if keys.broken:
        return None
    before = len(node.faults.found)
    key = keys.scalar("key", str)
    named = {part: keys.items(part, _word(part, known)) for part, known in (("covers", covers), ("crops", crops))}
    when = keys.items("when", one_of(get_args(Relation), "relation"))
    points = quantity(keys.get("points"), "points", sources, -MOST_POINTS, MOST_POINTS)
    own = keys.items("source", one_of(sources, "source"))
    if not own and points is None:
        keys.node.fault('refuses a cover without a source; add "source" or give "points"')
    for part in ("covers", "when") if "always" in when else ("covers", "crops", "when"):
        keys.need(part)
    keys.finish()
    if len(node.faults.found) > before:
        return None
    return Pairing(key, named["covers"], named["crops"], cast("tuple[Relation, ...]", when), points, own, node.place)


def _word(part: str, known: Mapping[str, object]) -> Callable[[str], str]:
    def convert(text: str) -> str:
        what, _, which = text.partition(" ")
        if (which and what in _GROUPS[part]) or text in known:
            return text
        groups = ", ".join(f"{group} …" for group in _GROUPS[part])
        raise ValueError(f"is neither a plant nor one of {groups}")
    return convert

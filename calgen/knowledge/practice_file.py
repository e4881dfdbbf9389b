"""Reads the files that belong to no single plant: sources, mixtures, mulches and the numbers of practice."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, cast, get_args

from calgen.knowledge.model import Mixture, Mulch, Source
from calgen.knowledge.plant_file import names, statements
from calgen.knowledge.quantity import one_of, quantity, words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.knowledge.model import Cover, Quantity
    from calgen.yamlfile import Mapping as Keys

Seen = Literal["read", "memory", "mixed", "own"]
_UNITS: Final[dict[str, tuple[float, float]]] = {
    "days": (0, 400),
    "weeks": (-20, 60),
    "years": (0, 30),
    "points": (-100, 100),
    "share": (0, 2),
    "C": (-40, 45),
    "h": (0, 24),
    "%": (0, 100),
    "ratio": (0, 200),
    "kg/ha": (-200, 400),
    "kg/t/%": (0, 30),
    "mm": (0, 500),
    "litres": (0, 500),
    "C days": (0, 5000),
}


def sources(keys: Keys, known: Mapping[str, Source]) -> dict[str, Source]:
    """The publications of one file by id; an id that is already known is a fault."""
    found = {}
    for key, place, node in keys.pairs():
        inner = node.mapping()
        source = Source(key, inner.scalar("title", str), inner.scalar("author", str, ""),
                        inner.scalar("year", str, None), inner.scalar("reference", str, None),
                        cast("Seen", inner.scalar("seen", one_of(get_args(Seen), "way of knowing"))),
                        inner.scalar("note", str, None))
        inner.finish()
        if key in known:
            node.faults.add(place, key, "this source is defined in another file too")
        found[key] = source
    return found


def mixtures(keys: Keys, known: Mapping[str, Source], covers: Mapping[str, Cover]) -> tuple[Mixture, ...]:
    """The mixtures: covers, the share of each one's full rate, and why they go together."""
    node = keys.need("mixtures")
    keys.finish()
    found = []
    for element in node.elements(single=False) if node else ():
        inner = element.mapping()
        members = inner.items("covers", one_of(covers, "cover"))
        inner.need("covers")
        shares_node = inner.need("shares")
        shares = tuple(share for cell in (shares_node.elements(single=False) if shares_node else ())
                       if (share := quantity(cell, "share", known, 0.05, 1.0)))
        why = words(inner.need("why"), known)
        inner.finish()
        if len(members) != len(shares):
            element.fault("needs one share for each cover")
        if why is not None:
            found.append(Mixture(members, shares, why))
    return tuple(found)


def mulches(keys: Keys, known: Mapping[str, Source]) -> dict[str, Mulch]:
    """The mulches by id."""
    node = keys.need("mulches")
    keys.finish()
    found = {}
    for element in node.elements(single=False) if node else ():
        inner = element.mapping()
        label = names(inner)
        depth = quantity(inner.need("depth-mm"), "mm", known, 5, 400)
        notes = statements(inner, "notes", known)
        inner.finish()
        if depth is not None:
            found[label.id] = Mulch(label, depth, notes)
    return found


def practice(keys: Keys, known: Mapping[str, Source]) -> dict[str, Quantity]:
    """The numbers of practice by key, each in one of the known units."""
    found = {}
    for key, _, node in keys.pairs():
        inner = node.mapping()
        unit_node = inner.need("unit")
        unit = unit_node.scalar(one_of(_UNITS, "unit"), "days") if unit_node else "days"
        low, high = _UNITS[unit]
        value = quantity(node, unit, known, low, high)
        if value is not None:
            found[key] = value
    return found

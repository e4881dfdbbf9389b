"""Reads sourced numbers and statements from the data files; a value without a source or with another unit is refused.

    days: {value: [70, 91], unit: days, source: [mu-g6201, own], at: table 3, quoted: 70-91 d, why: …, mark: memory}
    cut:  {text: cut at first flower, source: cornell-buckwheat}

``mark`` may be left out: a value is ``published`` when its first source was read, ``memory`` when it was recalled, and
``judgement`` when the source is ``own``, which needs a ``why``.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from calgen.knowledge.model import Mark, Quantity, Source, Words, quantity_of
from calgen.site.convert import one_line

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from calgen.yamlfile import Mapping as Keys
    from calgen.yamlfile import Node

_NUMBER = re.compile(r"[-+]?[0-9]{1,7}(\.[0-9]{1,6})?")


def number(text: str) -> float:
    """A plain decimal number as typed."""
    if not _NUMBER.fullmatch(text.strip().replace("−", "-")):
        raise ValueError("is not a number")
    return float(text.strip().replace("−", "-"))


def one_of(known: Mapping[str, object] | tuple[str, ...], what: str) -> Callable[[str], str]:
    """A converter that lets only known words through."""
    def convert(text: str) -> str:
        if text not in known:
            raise ValueError(f"is no {what}; known: {', '.join(known)}" if len(known) < 12 else f"is no known {what}")
        return text
    return convert


def _marked(keys: Keys, names: tuple[str, ...], sources: Mapping[str, Source]) -> Mark:
    given = keys.scalar("mark", one_of(("published", "memory", "judgement"), "mark"), "")
    if given in ("published", "memory", "judgement"):
        return given  # type: ignore[return-value]
    seen = sources[names[0]].seen if names else "own"
    return {"read": "published", "mixed": "published", "memory": "memory", "own": "judgement"}[seen]  # type: ignore[return-value]


def _sources(keys: Keys, sources: Mapping[str, Source]) -> tuple[str, ...]:
    names = keys.items("source", one_of(sources, "source"))
    if not names and "source" not in keys.entries:
        keys.node.fault('has no source; add "source"')
    return names


def quantity(node: Node | None, unit: str, sources: Mapping[str, Source], low: float, high: float) -> Quantity | None:
    """The number or range at this node; None when the node is absent or broken.

    Args:
        unit: the unit this field expects.
        sources: the known sources by id.
        low, high: physical bounds. [unit]
    """
    if node is None:
        return None
    keys = node.mapping()
    if keys.broken:
        return None
    value = keys.need("value")
    found = [element.scalar(number, low) for element in value.elements()] if value else []
    if value and len(found) not in (1, 2):
        value.fault("expected one number or [low, high]")
    if value and any(not low <= part <= high for part in found):
        value.fault(f"is out of bounds ({low:g} to {high:g} {unit})")
    if len(found) == 2 and found[0] > found[1]:
        value.fault("the range runs backwards") if value else None
    keys.scalar("unit", one_of((unit,), "unit for this"))
    names = _sources(keys, sources)
    why = keys.scalar("why", one_line, None)
    mark = _marked(keys, names, sources)
    if "own" in names and not why:
        keys.node.fault('is our own; add "why"')
    at, quoted = keys.scalar("at", one_line, None), keys.scalar("quoted", one_line, None)
    keys.finish()
    if not found:
        return None
    return quantity_of(found[0], found[-1], unit, names, mark, at=at, why=why, quoted=quoted,
                       place=node.place)


def words(node: Node | None, sources: Mapping[str, Source]) -> Words | None:
    """The sourced statement at this node; None when the node is absent or broken."""
    if node is None:
        return None
    keys = node.mapping()
    if keys.broken:
        return None
    text = keys.scalar("text", one_line)
    names = _sources(keys, sources)
    mark = _marked(keys, names, sources)
    keys.finish()
    return Words(text, names, mark)


def table(node: Node | None, unit: str, sources: Mapping[str, Source], low: float, high: float,
          known: tuple[str, ...]) -> dict[str, Quantity]:
    """Numbers by word: either each with its source, or ``{unit, source, why, values: {word: number}}`` for all.

    Args:
        unit: the unit this field expects.
        sources: the known sources by id.
        low, high: physical bounds. [unit]
        known: the words that may stand in the table.
    """
    if node is None:
        return {}
    keys = node.mapping()
    if "values" not in keys:
        alone = {word: quantity(keys.get(word), unit, sources, low, high) for word in known}
        keys.finish()
        return {word: value for word, value in alone.items() if value is not None}
    keys.scalar("unit", one_of((unit,), "unit for this"))
    names = _sources(keys, sources)
    why = keys.scalar("why", one_line, None)
    mark = _marked(keys, names, sources)
    if "own" in names and not why:
        keys.node.fault('is our own; add "why"')
    values = keys.need("values")
    inner = values.mapping() if values else None
    found = {}
    for word in known if inner else ():
        cell = inner.get(word) if inner else None
        if cell is None:
            continue
        if cell.is_mapping:
            one = quantity(cell, unit, sources, low, high)
        else:
            one = _cell(cell, unit, names, mark, why, low, high)
        if one is not None:
            found[word] = one
    if inner:
        inner.finish()
    keys.finish()
    return found


def _cell(node: Node, unit: str, names: tuple[str, ...], mark: Mark, why: str | None, low: float,
          high: float) -> Quantity | None:
    found = [element.scalar(number, low) for element in node.elements()]
    if len(found) not in (1, 2) or found[0] > found[-1]:
        node.fault("expected one number or [low, high]")
        return None
    if any(not low <= part <= high for part in found):
        node.fault(f"is out of bounds ({low:g} to {high:g} {unit})")
    return quantity_of(found[0], found[-1], unit, names, mark, why=why, place=node.place)

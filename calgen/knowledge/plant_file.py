"""What files of crops, covers and mulches have in common: names and sourced statements."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.knowledge.model import Names
from calgen.knowledge.quantity import words
from calgen.site.convert import name_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.knowledge.model import Source, Words
    from calgen.yamlfile import Mapping as Keys

LONGEST_SHORT_NAME = 8


def names(keys: Keys) -> Names:
    """The names at these keys: ``id, name, short, code, botanical, also``."""
    return Names(id=keys.scalar("id", _plant_id), name=keys.scalar("name", name_text),
                 short=keys.scalar("short", _short), code=keys.scalar("code", _code),
                 botanical=keys.scalar("botanical", name_text), also=keys.items("also", name_text))


def statements(keys: Keys, key: str, sources: Mapping[str, Source]) -> tuple[Words, ...]:
    """A list of sourced statements, empty when the key is absent."""
    node = keys.get(key)
    if node is None:
        return ()
    found = (words(element, sources) for element in node.elements(single=False))
    return tuple(statement for statement in found if statement is not None)


def _plant_id(text: str) -> str:
    if not text.replace("-", "").isalnum() or text != text.lower():
        raise ValueError("is no plant id; write small letters and hyphens")
    return text


def _short(text: str) -> str:
    tidy = name_text(text)
    if len(tidy) > LONGEST_SHORT_NAME:
        raise ValueError(f"is longer than {LONGEST_SHORT_NAME} letters")
    return tidy


def _code(text: str) -> str:
    if len(text) not in (2, 3) or not text.isalpha():
        raise ValueError("is no code of 2 or 3 letters")
    return text

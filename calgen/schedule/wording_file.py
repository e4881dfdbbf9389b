"""A wording file's bytes -> Wording. Its keys and facts are held against the English file, which is complete."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.problems import Faults
from calgen.schedule.wording import Template, Wording, template
from calgen.yamlfile import compose, nearest

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.yamlfile import Mapping as Keys
    from calgen.yamlfile import Node

SECTIONS = ("jobs", "reasons", "words")


def read_wording(data: bytes, file: str, standard: Wording | None = None) -> Wording:
    """Read a wording file.

    Args:
        data: the YAML file's bytes. [UTF-8]
        file: its name, for places.
        standard: the complete wording to hold this one against; keys missing here are taken from it.

    Raises:
        InputError: with every unknown key, broken brace and unknown fact, its line and column.
    """
    faults = Faults()
    top = compose(data, file, faults)
    language = top.scalar("language", str)
    found = {section: _templates(top.get(section), _of(standard, section)) for section in SECTIONS}
    plants_node = top.get("plants")
    plants = {key: node.scalar(str, "") for key, _, node in plants_node.mapping().pairs()} if plants_node else {}
    top.finish()
    faults.stop_if_any()
    if standard:
        found = {section: {**_of(standard, section), **found[section]} for section in SECTIONS}
    return Wording(language, found["jobs"], found["reasons"], found["words"], plants)


def _of(standard: Wording | None, section: str) -> Mapping[str, Template]:
    if standard is None:
        return {}
    return {"jobs": standard.jobs, "reasons": standard.reasons, "words": standard.words}[section]


def _templates(node: Node | None, standard: Mapping[str, Template]) -> dict[str, Template]:
    found: dict[str, Template] = {}
    if node is None:
        return found
    for name, inner in _flat(node.mapping()):
        value = inner.scalar(template, Template("", frozenset()))
        if standard and name not in standard:
            near = nearest(name, standard)
            inner.fault(f'"{name}" is not used; ' + (f'did you mean "{near}"?' if near else "leave it out"))
        elif standard:
            odd = sorted(value.facts - standard[name].facts)
            if odd:
                known = ", ".join("{" + fact + "}" for fact in sorted(standard[name].facts)) or "none"
                inner.fault(f"{{{odd[0]}}} is not known here; known: {known}")
        found[name] = value
    return found


def _flat(keys: Keys) -> list[tuple[str, Node]]:
    """Keys one level deep as ``key``, two levels deep as ``key.inner``."""
    flat: list[tuple[str, Node]] = []
    for key, _, node in keys.pairs():
        if node.is_mapping:
            flat.extend((f"{key}.{inner}", value) for inner, _, value in node.mapping().pairs())
        else:
            flat.append((key, node))
    return flat


def missing(wording: Wording, standard: Wording) -> tuple[str, ...]:
    """Keys of the standard that a wording takes over untranslated: those whose text is the same object."""
    return tuple(f"{section}: {key}" for section in SECTIONS for key, text in _of(standard, section).items()
                 if _of(wording, section)[key] is text)

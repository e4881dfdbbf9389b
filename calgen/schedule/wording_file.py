"""A wording file's bytes -> Wording. Its keys and facts are held against the English file, which is complete."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from calgen.problems import Faults
from calgen.schedule.wording import Template, Wording, template
from calgen.site.convert import language_code, name_text
from calgen.yamlfile import compose, nearest

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator, Mapping

    from calgen.yamlfile import Mapping as Keys
    from calgen.yamlfile import Node

SECTIONS = ("jobs", "reasons", "words", "told")
SHORT_LETTERS = 8
CODE_LETTERS = 3


def read_wording(
    data: bytes, file: str, standard: Wording | None = None, known_plants: Collection[str] = (),
    fixed: Mapping[str, Callable[[Node | None], Any]] = MappingProxyType({}),
) -> Wording:
    """Read a wording file.

    Args:
        data: the YAML file's bytes. [UTF-8]
        file: its name, for places.
        standard: the complete wording to hold this one against; keys missing here are taken from it.
        known_plants: ids that can have a name here; any when empty.
        fixed: readers of sections with a renderer's own words, by section; each reports faults at its node.

    Raises:
        InputError: with every unknown key, broken brace and unknown fact, its line and column.
    """
    faults = Faults()
    top = compose(data, file, faults)
    language = top.scalar("language", language_code)
    found = {section: _templates(top.get(section), _of(standard, section)) for section in SECTIONS}
    plants, short_plants, codes = _plants(top.get("plants"), known_plants)
    words = {section: read(top.get(section)) for section, read in fixed.items()}
    top.finish()
    faults.stop_if_any()
    if standard:
        found = {section: {**_of(standard, section), **found[section]} for section in SECTIONS}
    return Wording(language, found["jobs"], found["reasons"], found["words"], plants, short_plants, codes,
                   found["told"], standard.told if standard else {}, words)


def _of(standard: Wording | None, section: str) -> Mapping[str, Template]:
    if standard is None:
        return {}
    return {"jobs": standard.jobs, "reasons": standard.reasons, "words": standard.words,
            "told": standard.told}[section]


def _plants(node: Node | None, known: Collection[str]) -> tuple[dict[str, str], ...]:
    """Names, short names and codes by id: ``cereal-rye: Winterroggen`` or ``cereal-rye: [Winterroggen, Roggen, ROG]``.
    """
    found: tuple[dict[str, str], ...] = ({}, {}, {})
    for plant, place, inner in node.mapping().pairs() if node else ():
        if known and plant not in known:
            near = nearest(plant, known)
            inner.faults.add(place, inner.where, "no plant here has this id; "
                             + (f'did you mean "{near}"?' if near else "calgen plants lists them"))
        words = list(inner.elements())
        if len(words) > len(found):
            inner.fault("expected a name, a short one and a code; write [Winter rye, Rye, RYE]")
        for texts, word, letters in zip(found, words, (None, SHORT_LETTERS, CODE_LETTERS), strict=False):
            texts[plant] = word.scalar(_name(letters), "")
    return found


def _name(letters: int | None) -> Callable[[str], str]:
    """A converter for a name of at most so many letters."""

    def convert(text: str) -> str:
        tidy = name_text(text)
        if letters and len(tidy) > letters:
            raise ValueError(f"has more than {letters} letters; it stands in narrow bars")
        return tidy

    return convert


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
    """Keys of the standard that a wording takes over untranslated: those whose text is the same object.

    A renderer's words are held against the English ones in its code.
    """
    keys = [f"{section}: {key}" for section in SECTIONS for key, text in _of(standard, section).items()
            if _of(wording, section)[key] is text]
    for section, words in wording.fixed.items():
        english = type(words)()
        for name in words.__struct_fields__:
            same = _same(name, getattr(words, name), getattr(english, name))
            keys += [f"{section}: {key}" for key in same]
    return tuple(keys)


def _same(name: str, own: Any, english: Any) -> Iterator[str]:
    if isinstance(own, dict):
        yield from (f"{name}.{key}" for key in english if own[key] is english[key])
    elif own is english:
        yield name

"""The renderers' fixed words from the sections of a wording file; what a section leaves out stays English."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from msgspec.structs import replace

from calgen.schedule.wording import template
from calgen.site.convert import one_line

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from msgspec import Struct

    from calgen.yamlfile import Node

W = TypeVar("W", bound="Struct")


def sections() -> Mapping[str, Callable[[Node | None], Any]]:
    """Readers of the renderers' sections by their name in a wording file."""
    from calgen.render.chart.words import ChartWords
    from calgen.render.feed_words import FeedWords
    from calgen.render.job_list import JobListWords
    from calgen.render.page.words import PageWords
    from calgen.render.sheets.words import SheetWords

    kinds: dict[str, type[Struct]] = {"chart": ChartWords, "sheets": SheetWords, "page": PageWords, "feed": FeedWords,
                                      "job-list": JobListWords}
    return {name: partial(fixed_words, kind) for name, kind in kinds.items()}


def fixed_words(kind: type[W], node: Node | None) -> W:
    """The words of a renderer with those of a section in place of the English ones.

    Keys are the fields with hyphens; a field that is a mapping has its own keys below it, one that is a tuple is a list
    as long. Unknown keys, facts that the English text does not have, and values of another shape are reported.
    """
    english = kind()
    if node is None:
        return english
    section = node.mapping()
    found = {}
    for name in kind.__struct_fields__:
        inner = section.get(name.replace("_", "-"))
        if inner is not None:
            found[name] = _read(inner, getattr(english, name))
    section.finish()
    return replace(english, **found)


def _read(node: Node, english: Any) -> Any:
    if isinstance(english, str):
        return _text(node, english)
    if isinstance(english, tuple):
        return _texts(node, english)
    inner = node.mapping()
    found = {}
    for key, text in english.items():
        value = inner.get(key)
        found[key] = text if value is None else _text(value, text)
    inner.finish()
    return found


def _texts(node: Node, english: tuple[str, ...]) -> tuple[str, ...]:
    elements = list(node.elements(single=False))
    if node.is_list and len(elements) != len(english):
        node.fault(f"expected {len(english)} texts, found {len(elements)}")
        return english
    return tuple(_text(inner, text) for inner, text in zip(elements, english, strict=False))


def _text(node: Node, english: str) -> str:
    known = template(english).facts

    def checked(text: str) -> str:
        if odd := sorted(template(text).facts - known):
            facts = ", ".join("{" + fact + "}" for fact in sorted(known)) or "none"
            raise ValueError(f"has {{{odd[0]}}}, which is not known here; known: {facts}")
        if "{{" in text or "}}" in text:
            raise ValueError("has a doubled brace; braces only hold facts here")
        return one_line(text)

    return node.scalar(checked, english)

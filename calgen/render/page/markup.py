"""HTML and SVG that cannot be broken by a name: every plain string is escaped where it enters an element."""

from __future__ import annotations

import re
from functools import cache
from html import escape
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

    Attribute = str | float | bool | None
    Part = str | None | Iterable["Part"]

_VOID: Final = frozenset({"br", "link", "meta"})
_SHAPES: Final = frozenset({"circle", "line", "path", "rect"})
_NONE_IN_HTML: Final = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufdd0-\ufdef\ufffe\uffff\ud800-\udfff"
_NOT_IN_HTML: Final = re.compile(f"[{_NONE_IN_HTML}]")
_WRITTEN_OTHERWISE: Final = re.compile(f"[&<>\"'{_NONE_IN_HTML}]")


class Html(str):
    """Markup that is ready; anything else that is a string is text."""

    __slots__ = ()


def tag(element: str, /, *parts: Part, **attributes: Attribute) -> Html:
    """An element. ``class_`` gives ``class``, ``aria_label`` gives ``aria-label``.

    Args:
        parts: children; plain strings are escaped, None is left out.
        attributes: None and False leave the attribute out, True gives one without a value.
    """
    pieces = ["<", element]
    for key, value in attributes.items():
        if value is not None and value is not False:
            pieces.append(_attribute(key, value))
    if element in _VOID:
        pieces.append(">")
    elif element in _SHAPES and not parts:
        pieces.append("/>")
    else:
        pieces.append(">")
        _add(parts, pieces)
        pieces += "</", element, ">"
    return Html("".join(pieces))


def joined(*parts: Part, between: str = "") -> Html:
    """Parts one after the other; plain strings are escaped."""
    pieces: list[str] = []
    _add(parts, pieces)
    return Html(escaped(between).join(pieces))


def _add(parts: Iterable[Part], pieces: list[str]) -> None:
    for part in parts:
        if isinstance(part, str):
            pieces.append(part if isinstance(part, Html) else _written(part))
        elif part is not None:
            _add(part, pieces)


def escaped(text: str) -> Html:
    """Text for element content and attribute values; characters HTML does not allow become U+FFFD."""
    return text if isinstance(text, Html) else Html(_written(text))


def _written(text: str) -> str:
    return escape(_NOT_IN_HTML.sub("\ufffd", text)) if _WRITTEN_OTHERWISE.search(text) else text


def filled(template: str, **parts: Part) -> Html:
    """A text with each ``{name}`` replaced by its part; names it does not know stay as they are."""
    pieces = re.split(r"\{(\w+)\}", template)
    return joined(*(part if index % 2 == 0 else parts.get(part, f"{{{part}}}") for index, part in enumerate(pieces)))


def plain_filled(template: str, **parts: str) -> str:
    """The same without markup, for attributes."""
    return re.sub(r"\{(\w+)\}", lambda found: parts.get(found[1], found[0]), template)


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def name(text: str) -> Html:
    """A name or a text of its own, kept apart from the direction of what stands around it."""
    return tag("bdi", text)


def _attribute(key: str, value: Attribute) -> str:
    name = _attribute_name(key)
    if isinstance(value, str):
        return f' {name}="{value if isinstance(value, Html) else _written(value)}"'
    if value is True:
        return f" {name}"
    return f' {name}="{round(value or 0.0, 2):.10g}"'


@cache
def _attribute_name(key: str) -> str:
    return key.rstrip("_").replace("_", "-")

"""YAML nodes to typed values, with every fault in one run and its line and column.

Files are composed, never loaded: YAML's own guesses (``NO`` as false, ``6:30`` as 390) do not happen, the text as
typed is what the converters get, and each value keeps its place. A converter is a function ``str -> value`` that
raises ``ValueError`` with the end of the sentence; this module adds place, path and the quoted text. Keys never
asked for are unknown keys, so the known ones cannot drift from the code that reads them.
"""

from __future__ import annotations

import difflib
import re
from typing import TYPE_CHECKING, Any, Final, TypeVar, cast

import yaml
from msgspec import Struct, field

from calgen.problems import Faults, Place, printable
from calgen.yamlfault import colonless, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

T = TypeVar("T")
MAX_BYTES: Final = 2_000_000
MAX_DEPTH: Final = 12
MAX_KEY: Final = 200
MAX_TEXT: Final = 4_000
MAX_LIST: Final = 100
"""Soils, needs, plants: no list of words is half as long."""
MAX_VALUES: Final = 150_000
"""A thousand full beds hold about a hundred thousand keys and values."""
MAX_SLOW: Final = 100_000
"""Characters that PyYAML's own parser reads in two seconds, were each second one a value."""
INVISIBLE: Final = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff]")
"""What moves a terminal's cursor or turns the direction of reading; tabs and line breaks are none of them."""


class _Missing:
    """The default of a key that must be there."""


REQUIRED: Final = _Missing()


class _OddYaml(Exception):
    def __init__(self, what: str, mark: Any) -> None:
        super().__init__(what)
        self.what, self.mark = what, mark


class _PlainComposer(yaml.composer.Composer):
    """Composes plain nodes only: each node then has one place, and nothing refers to itself."""

    depth = 0
    values = 0

    def compose_node(self, parent: Any, index: Any) -> Any:
        event: Any = self.peek_event()  # type: ignore[attr-defined]
        if isinstance(event, yaml.events.AliasEvent):
            raise _OddYaml(f"the alias *{event.anchor} is not used here; write the value out", event.start_mark)
        if getattr(event, "anchor", None):
            raise _OddYaml(f"the anchor &{event.anchor} is not used here; write the value out", event.start_mark)
        if getattr(event, "tag", None) and event.tag != "!":
            raise _OddYaml(f"the tag {event.tag} is not used here; leave it out", event.start_mark)
        self.values += 1
        if self.values > MAX_VALUES:
            raise _OddYaml(f"holds more than {MAX_VALUES:,} keys and values; this is no file for calgen",
                           event.start_mark)
        self.depth += 1
        if self.depth > MAX_DEPTH:
            raise _OddYaml(f"is nested more than {MAX_DEPTH} deep", event.start_mark)
        node = super().compose_node(parent, index)
        self.depth -= 1
        return node


class _Composer(_PlainComposer, yaml.SafeLoader):
    """Reads by PyYAML's own parser, whose complaints ``_plain`` puts into other words."""


def _composed(text: str) -> Any:
    """The node at the top. libyaml, where it is there, reads ten times as fast, but takes tabs that PyYAML refuses.

    PyYAML reads what libyaml refuses again, since it tells better what is wrong; but not what would take it long.
    """
    tab = text.find("\t")
    if not yaml.__with_libyaml__ or (tab >= 0 and len(text) <= MAX_SLOW):
        return _slowly(text)
    if tab >= 0:
        mark = yaml.Mark("", tab, text.count("\n", 0, tab), tab - text.rfind("\n", 0, tab) - 1, "", 0)
        raise _OddYaml("a tab stands here; put spaces for all tabs in a file as large as this", mark)

    class Quick(_PlainComposer, yaml.CSafeLoader):
        def __init__(self) -> None:
            yaml.CSafeLoader.__init__(self, text)
            _PlainComposer.__init__(self)

    try:
        return Quick().get_single_node()
    except yaml.MarkedYAMLError:
        if len(text) > MAX_SLOW:
            raise
    return _slowly(text)


def _slowly(text: str) -> Any:
    loader = _Composer(text)
    try:
        return loader.get_single_node()
    finally:
        loader.dispose()


class Node(Struct):
    """One YAML value with its place and the path of words that leads to it."""

    raw: Any
    place: Place
    path: tuple[str, ...]
    faults: Faults

    @property
    def where(self) -> str:
        """The path in the user's words: ``bed "North": size``."""
        return ": ".join(self.path)

    @property
    def is_list(self) -> bool:
        """Whether a list stands here."""
        return isinstance(self.raw, yaml.SequenceNode)

    @property
    def is_mapping(self) -> bool:
        """Whether keys and values stand here."""
        return isinstance(self.raw, yaml.MappingNode)

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands after the colon."""
        return isinstance(self.raw, yaml.ScalarNode) and not self.raw.style and self.raw.value in ("", "~", "null")

    def fault(self, what: str) -> None:
        """Report a fault at this value."""
        self.faults.add(self.place, self.where, what)

    def text(self) -> str | None:
        """The scalar as typed, or None after reporting what stands there instead."""
        if self.is_empty:
            self.fault("has no value")
        elif self.is_list:
            self.fault("expected one value, found a list")
        elif self.is_mapping:
            self.fault("expected one value, found keys and values")
        elif len(self.raw.value) > MAX_TEXT:
            self.fault(f'"{_shown(self.raw.value)}" is longer than {MAX_TEXT:,} characters; shorten it')
        elif odd := INVISIBLE.search(self.raw.value):
            self.fault(f"holds {_code(odd)} behind a backslash; leave it out")
        else:
            return cast("str", self.raw.value)
        return None

    def scalar(self, convert: Callable[[str], T], otherwise: T) -> T:
        """The converted scalar; ``otherwise`` after a reported fault."""
        text = self.text()
        if text is None:
            return otherwise
        try:
            return convert(text)
        except ValueError as error:
            self.fault(f'"{_shown(text)}" {error}')
            return otherwise

    def elements(self, *, single: bool = True) -> Iterator[Node]:
        """The elements of a list; a single value counts as a list of one when ``single``."""
        if self.is_list:
            for index, raw in enumerate(self.raw.value, 1):
                yield Node(raw, _place(self.place.file, raw.start_mark), (*self.path, str(index)), self.faults)
        elif self.is_empty:
            self.fault("has no value")
        elif single:
            yield self
        elif self.is_mapping:
            self.fault("expected a list, found keys and values")
        else:
            self.fault(f'expected a list, found "{_shown(self.raw.value)}"; write [{_shown(self.raw.value)}]')

    def mapping(self) -> Mapping:
        """Keys and values here; an empty mapping after a reported fault."""
        if self.is_mapping:
            return _mapping(self)
        if self.is_empty:
            self.fault("has no value")
        else:
            found = "a list" if self.is_list else f'"{_shown(self.raw.value)}"'
            missing = "; is a colon missing?" if not self.is_list and " " in self.raw.value else ""
            self.fault(f"expected keys and values, found {found}{missing}")
        return Mapping(self, {}, broken=True)


class Mapping(Struct):
    """Keys and values; each read marks its key as known. ``finish`` reports the others."""

    node: Node
    entries: dict[str, tuple[Place, Node]]
    broken: bool = False
    asked: dict[str, None] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)

    @property
    def place(self) -> Place:
        """Where the mapping begins."""
        return self.node.place

    def __contains__(self, key: str) -> bool:
        self.asked[key] = None
        return key in self.entries

    def get(self, key: str) -> Node | None:
        """The node of an optional key."""
        return self.entries[key][1] if key in self else None

    def need(self, key: str) -> Node | None:
        """The node of a key that must be there; its absence is reported by ``finish``."""
        node = self.get(key)
        if node is None and not self.broken:
            self.missing.append(key)
        return node

    def scalar(self, key: str, convert: Callable[[str], T], default: T | _Missing = REQUIRED) -> T:
        """One converted value. Without a default the key must be there.

        On a fault the default (or None, which no one sees: the phase stops) is returned.
        """
        otherwise = cast("T", None if isinstance(default, _Missing) else default)
        node = self.need(key) if isinstance(default, _Missing) else self.get(key)
        return otherwise if node is None else node.scalar(convert, otherwise)

    def items(self, key: str, convert: Callable[[str], T], *, single: bool = True) -> tuple[T, ...]:
        """A list of converted values, empty when the key is absent."""
        node = self.get(key)
        if node is None:
            return ()
        if node.is_list and len(node.raw.value) > MAX_LIST:
            node.fault(f"lists more than {MAX_LIST} things; leave some out")
            return ()
        nothing = cast("T", REQUIRED)
        found = [element.scalar(convert, nothing) for element in node.elements(single=single)]
        return tuple(value for value in found if value is not nothing)

    def pairs(self) -> Iterator[tuple[str, Place, Node]]:
        """Every key with its place and value, all marked as known."""
        for key, (place, node) in self.entries.items():
            if key not in self.asked:
                self.asked[key] = None
                yield key, place, node

    def finish(self) -> None:
        """Report unknown keys (with a suggestion) and missing ones."""
        suggested = set()
        for key, (place, _) in self.entries.items():
            if key in self.asked:
                continue
            near = nearest(key, self.asked)
            if near:
                suggested.add(near)
                advice = f'did you mean "{near}"?'
            else:
                advice = f"known here: {', '.join(self.asked)}" if self.asked else "no keys are known here"
            self.node.faults.add(place, self.node.where, f'unknown key "{_shown(key)}"; {advice}')
        for key in self.missing:
            if key not in suggested:
                self.node.faults.add(self.place, self.node.where, f'"{key}" is missing; add it')


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like this one, or None when nothing is near."""
    found = difflib.get_close_matches(word.lower()[:MAX_KEY], list(known), n=1, cutoff=0.6)
    return found[0] if found else None


def compose(data: bytes, file: str, faults: Faults, within: tuple[str, ...] = ()) -> Mapping:
    """Read the bytes of a YAML file as a mapping of nodes.

    Args:
        data: the file's bytes. [UTF-8]
        file: the name to show in places.
        faults: collects what is wrong; reading ends here (``InputError``) when the text is no single YAML mapping.
        within: the path words that lead to this mapping.

    Raises:
        InputError: the text is not UTF-8, too large, not YAML, empty, or no mapping at the top.
    """
    text = _decoded(data, file, faults)
    node = None
    try:
        node = _composed(text)
    except _OddYaml as error:
        faults.add(_place(file, error.mark), "", error.what)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        unended = colonless(text, mark.line) if mark and "mapping values are not allowed" in str(error) else None
        if unended:
            faults.add(Place(file, *unended), "",
                       'a colon and a space are missing after the key, as in "size: 2 x 5 m"')
        else:
            faults.add(_place(file, mark) if mark else Place(file), "", _plain(error))
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        faults.add(Place(file), "", f"cannot be read as YAML ({_shown(str(error).splitlines()[0])})")
    else:
        if node is None:
            faults.add(Place(file), "", "the file is empty")
        elif not isinstance(node, yaml.MappingNode):
            faults.add(_place(file, node.start_mark), "", 'expected keys and values ("site: …") at the top')
    faults.stop_if_any()
    assert node is not None
    return _mapping(Node(node, _place(file, node.start_mark), within, faults))


def _decoded(data: bytes, file: str, faults: Faults) -> str:
    if len(data) > MAX_BYTES:
        faults.add(Place(file), "", f"is larger than {MAX_BYTES // 1_000_000} MB; this is no file for calgen")
        faults.stop_if_any()
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        column = len(before) - before.rfind(b"\n")
        faults.add(Place(file, line, column), "", "is not UTF-8 text; save the file as UTF-8")
        faults.stop_if_any()
        raise AssertionError from error
    if "\t" not in text and not INVISIBLE.search(text.replace("\r\n", "\n")):
        return text
    for number, line_text in enumerate(text.split("\n"), 1):
        odd = INVISIBLE.search(line_text.removesuffix("\r"))
        if odd:
            faults.add(Place(file, number, odd.start() + 1), "",
                       f"holds {_code(odd)}; delete it")
        tab = re.match(r" *\t", line_text)
        if tab and line_text.strip():
            faults.add(Place(file, number, tab.end()), "", "a tab starts this line; indent with spaces")
    faults.stop_if_any()
    return text


def _mapping(node: Node) -> Mapping:
    entries: dict[str, tuple[Place, Node]] = {}
    for key_node, value in node.raw.value:
        place = _place(node.place.file, key_node.start_mark)
        if not isinstance(key_node, yaml.ScalarNode):
            node.faults.add(place, node.where, "a key must be one word or phrase")
            continue
        key = key_node.value
        if key == "<<" or len(key) > MAX_KEY:
            what = "merge keys are not used here; write the values out" if key == "<<" else "this key is too long"
            node.faults.add(place, node.where, what)
        elif odd := INVISIBLE.search(key):
            node.faults.add(place, node.where, f"this key holds {_code(odd)} behind a backslash; leave it out")
        elif key in entries:
            node.faults.add(place, node.where, f'"{_shown(key)}" is given twice (first on line {entries[key][0].line})')
        else:
            # an empty value's mark stands on the next token; place it at its key
            at = place if isinstance(value, yaml.ScalarNode) and value.value == "" and not value.style \
                else _place(node.place.file, value.start_mark)
            entries[key] = (place, Node(value, at, (*node.path, key), node.faults))
    return Mapping(node, entries)


def _place(file: str, mark: Any) -> Place:
    return Place(file, mark.line + 1, mark.column + 1)


def _code(odd: re.Match[str]) -> str:
    return f"the invisible character U+{ord(odd.group()):04X}"


def _plain(error: yaml.MarkedYAMLError) -> str:
    problem = error.problem or "cannot be read"
    return plain(problem) or _shown(problem)


def _shown(text: str) -> str:
    short = text if len(text) <= 60 else text[:57] + "…"
    return printable(short)

"""The reader of YAML nodes: exact places, no guesses, all faults in one run."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import yaml
from calgen.problems import Faults, InputError, Problem
from calgen.site.convert import number, yes_no
from calgen.yamlfile import compose
from hypothesis import given
from hypothesis import strategies as st

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.yamlfile import Node

ROOT = Path(__file__).parent.parent


def faults_of(text: str | bytes) -> list[str]:
    """What is reported for a text that cannot be composed."""
    data = text.encode() if isinstance(text, str) else text
    with pytest.raises(InputError) as caught:
        compose(data, "f.yaml", Faults())
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(("text", "expected"), [
    ("", "f.yaml:1:1: the file is empty"),
    ("- a\n", 'f.yaml:1:1: expected keys and values ("site: …") at the top'),
    ("a: [1, 2\nb: 3\n", "f.yaml:2:2: a list is not closed; add ]"),
    ("a: 1\n\tb: 2\n", "f.yaml:2:1: a tab starts this line; indent with spaces"),
    ("a: &x 1\n", "f.yaml:1:4: the anchor &x is not used here; write the value out"),
    ("a: *x\n", "f.yaml:1:4: the alias *x is not used here; write the value out"),
    ("a: !!int 1\n", "f.yaml:1:4: the tag tag:yaml.org,2002:int is not used here; leave it out"),
    ("a: 1\n---\nb: 2\n", "f.yaml:2:1: a second document begins (---); keep one per file"),
    ("a: b: c\n", "f.yaml:1:5: a colon stands where none can; quote the text or indent the line"),
    ("f:\n  # frost\n  last 25 April\n\n  first: 30 October\n",
     'f.yaml:3:3: a colon and a space are missing after the key, as in "size: 2 x 5 m"'),
    ("order:\n  - crop:kale\n    sown: 2026-05-01\n",
     'f.yaml:2:5: a colon and a space are missing after the key, as in "size: 2 x 5 m"'),
    ("a: 1\n  b: 2\n", "f.yaml:2:4: a colon stands where none can; quote the text or indent the line"),
    ("a: 'x\n", "f.yaml:2:1: a quotation mark is not closed"),
    ("a: x\x07y\n", "f.yaml:1:5: holds the invisible character U+0007; delete it"),
    ("a: x\u202ey\n", "f.yaml:1:5: holds the invisible character U+202E; delete it"),
    (b"a: \xff\n", "f.yaml:1:4: is not UTF-8 text; save the file as UTF-8"),
])
def test_what_is_no_yaml_is_told_with_its_place(text: str | bytes, expected: str) -> None:
    assert faults_of(text) == [expected]


def test_deep_nesting_is_refused() -> None:
    assert "is nested more than 12 deep" in faults_of("a: " + "[" * 40 + "]" * 40)[0]


def test_a_file_too_large_is_refused() -> None:
    assert "larger than 2 MB" in faults_of("a: 1\n" + "#" * 2_000_001)[0]


def test_yaml_guesses_do_not_happen() -> None:
    faults = Faults()
    top = compose(b"country: NO\nwake: 6:30\nwidth: 010\nlist: [on]\nbig: 1_000\n", "f.yaml", faults)
    assert [top.scalar(key, str) for key in ("country", "wake", "width", "big")] == ["NO", "6:30", "010", "1_000"]
    assert top.items("list", str) == ("on",)


def test_every_fault_in_one_run_in_order_of_place() -> None:
    faults = Faults()
    top = compose(b"a: 51.4O\nb: maybe\nlenght: 3\nd: {x: 1}\ne:\nf: [1]\na: 2\n", "f.yaml", faults)
    top.scalar("a", number(0, 90, "degrees"))
    top.scalar("b", yes_no)
    top.scalar("length", number(0, 9, "m"))
    top.scalar("d", str)
    top.scalar("e", str)
    top.scalar("f", str)
    top.finish()
    assert [str(problem) for problem in sorted(faults.found)] == [
        'f.yaml:1:4: a: "51.4O" is not a number',
        'f.yaml:2:4: b: "maybe" is neither yes nor no',
        'f.yaml:3:1: unknown key "lenght"; did you mean "length"?',
        "f.yaml:4:4: d: expected one value, found keys and values",
        "f.yaml:5:1: e: has no value",
        "f.yaml:6:4: f: expected one value, found a list",
        'f.yaml:7:1: "a" is given twice (first on line 1)',
    ]


@given(st.binary(max_size=400) | st.text(max_size=400).map(str.encode))
def test_any_bytes_give_a_mapping_or_a_fault(data: bytes) -> None:
    problems: tuple[Problem, ...] = ()
    try:
        compose(data, "f.yaml", Faults())
    except InputError as error:
        problems = error.problems
    assert all(problem.place.line >= 1 and problem.place.column >= 1 for problem in problems)


@pytest.mark.skipif(not yaml.__with_libyaml__, reason="PyYAML was built without libyaml")
@pytest.mark.parametrize("path", [*ROOT.glob("sites/*.yaml"), *ROOT.glob("templates/*.yaml"),
                                  *ROOT.glob("tests/bad_sites/*.yaml")], ids=lambda path: path.stem)
def test_libyaml_reads_the_same(path, monkeypatch):
    """The same words in the same places and the same faults as by PyYAML's own parser."""

    def read() -> list[object]:
        faults = Faults()
        try:
            return list(flat(compose(path.read_bytes(), path.name, faults).node))
        except InputError as error:
            return list(error.problems)

    quick = read()
    monkeypatch.setattr(yaml, "__with_libyaml__", False)
    assert quick == read()


def flat(node: Node) -> Iterator[tuple[object, ...]]:
    """Every key and value of a node with its place."""
    if node.is_mapping:
        for key, place, inner in node.mapping().pairs():
            yield place, key
            yield from flat(inner)
    elif node.is_list:
        for inner in node.elements():
            yield from flat(inner)
    else:
        yield node.place, node.raw.value, node.is_empty

"""Markup: text cannot become an element, an attribute or a broken file."""

from __future__ import annotations

import pytest
from calgen.render.page.markup import Html, escaped, filled, joined, name, plain_filled, tag
from hypothesis import given
from hypothesis import strategies as st


def test_text_in_an_element_and_in_an_attribute_is_escaped() -> None:
    assert tag("p", "a < b & c", title='say "hi"') == '<p title="say &quot;hi&quot;">a &lt; b &amp; c</p>'


def test_markup_is_not_escaped_twice_and_none_is_left_out() -> None:
    assert tag("p", tag("b", "x"), None, ["y", None, tag("i")]) == "<p><b>x</b>y<i></i></p>"


def test_attributes_become_hyphenated_and_false_ones_vanish() -> None:
    assert tag("rect", class_="b", font_size=12.0, aria_hidden="true", x=1 / 3, hidden=False, download=True) == (
        '<rect class="b" font-size="12" aria-hidden="true" x="0.33" download/>')


def test_html_void_elements_have_no_end_tag() -> None:
    assert tag("meta", charset="utf-8") == '<meta charset="utf-8">'


@pytest.mark.parametrize("character", ["\x00", "\x0b", "\x1b", "\x85", "\ufdd0", "\uffff", "\ud800"])
def test_characters_html_forbids_are_replaced(character: str) -> None:
    """HTML standard, 13.2.3.5 and 13.2.2: control-character, noncharacter and surrogate parse errors."""
    assert escaped(f"a{character}b") == "a\ufffdb"


def test_places_in_a_text_are_filled_once_and_unknown_ones_stay() -> None:
    assert filled("<{a} {b} {c}>", a=tag("b", "x"), b="{a} & co") == "&lt;<b>x</b> {a} &amp; co {c}&gt;"
    assert plain_filled("{a} {b} {c}", a="{b}", b="<y>") == "{b} <y> {c}"


def test_a_name_is_isolated_from_the_direction_around_it() -> None:
    assert name("حديقة") == "<bdi>حديقة</bdi>"


@given(st.text())
def test_any_text_comes_back_as_itself_and_as_nothing_but_text(text: str) -> None:
    from html5lib import HTMLParser, getTreeBuilder

    parser = HTMLParser(getTreeBuilder("etree"), strict=True, namespaceHTMLElements=False)
    body = tag("body", tag("b", text, lang=text))
    tree = parser.parse(f"<!DOCTYPE html>{tag('html', tag('head', tag('title', 't')), body)}")
    found = tree.find(".//b")
    shown = text.replace("\r\n", "\n").replace("\r", "\n")
    kept = escaped(shown).replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", '"').replace("&#x27;", "'")
    assert len(found) == 0
    assert (found.text or "") == kept.replace("&amp;", "&")
    assert found.get("lang") == kept.replace("&amp;", "&")


def test_joined_parts_keep_their_order_and_a_separator() -> None:
    assert joined("a", Html("<b></b>"), "c", between=" & ") == "a &amp; <b></b> &amp; c"

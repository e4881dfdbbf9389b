"""Lines broken to a width."""

from __future__ import annotations

import pytest
from calgen.render.fonts.face import Typesetter
from calgen.render.fonts.wrap import shortened, wrapped
from hypothesis import given
from hypothesis import strategies as st

SETTER = Typesetter()


@given(st.text(alphabet="abc def ghäß-–/ 12 g%", max_size=80), st.floats(12, 200))
def test_no_line_is_too_wide_and_none_is_lost(text, width):
    """Every line fits unless it is a single character, and the letters come out in order."""
    lines = wrapped(text, width, 9.0, SETTER)
    assert all(SETTER.width(line, 9.0) <= width or len(line) == 1 for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


@pytest.mark.parametrize("text", ["bring 27 g", "of 120 l", "about 45 %", "depth 2 cm"])
def test_number_stays_with_its_unit(text):
    """A line is not broken between them."""
    words = text.split()
    width = SETTER.width(f"{words[0]} {words[1]}", 9.0) + 1
    assert wrapped(text, width, 9.0, SETTER) == (words[0], f"{words[1]} {words[2]}")


def test_ideographs_break_anywhere():
    """Chinese is written without blanks."""
    width = SETTER.width("a", 9.0) * 4
    assert "".join(wrapped("菜園大根白菜", width, 9.0, SETTER)) == "菜園大根白菜"


@given(st.text(alphabet="abcdefg e\u0301", max_size=60), st.floats(20, 100))
def test_shortened_text_fits(text, width):
    """With an ellipsis, and never between a letter and its mark."""
    cut = shortened(text, width, 9.0, SETTER)
    assert SETTER.width(cut, 9.0) <= width or cut == "…"
    assert not cut.startswith("\u0301") or text.startswith("\u0301")


@pytest.mark.parametrize("letter", ["x", "i", "W", "é"])
def test_a_word_without_end_fills_its_lines(letter):
    """Each line is as long as can be: one letter more would not fit. Thousands of letters are measured a few times."""
    typesetter = Typesetter()
    lines = wrapped(letter * 4000, 90, 8, typesetter)
    assert "".join(lines) == letter * 4000
    assert all(typesetter.width(line, 8) <= 90 < typesetter.width(line + letter, 8) for line in lines[:-1])
    cut = shortened(letter * 4000, 90, 8, typesetter)
    assert typesetter.width(cut, 8) <= 90 < typesetter.width(cut[:-1] + letter + "…", 8)
    assert len(typesetter._lines) < 3000

"""Visual order of mixed lines, against the examples of UAX #9 and against the Rust implementation in python-bidi."""

from __future__ import annotations

import unicodedata

import pytest
from calgen.render.fonts.bidi import is_right_to_left, visual
from hypothesis import given
from hypothesis import strategies as st

HEBREW = "אבגדה"

# After the examples of UAX #9, section 3.4 (from memory), with Hebrew letters for its capitals.
UAX_9 = [
    ("car means אבג.", "car means גבא."),
    ("אבג said car", "said car גבא"),
    ("he said: אבג 123", "he said: 123 גבא"),
]


@pytest.mark.parametrize(("logical", "seen"), UAX_9)
def test_examples(logical, seen):
    """Runs against the direction of the paragraph are turned, numbers are not."""
    assert visual(logical) == seen


@pytest.mark.parametrize(("text", "answer"), [("bed 3", False), ("3 ערוגה", True), ("(حديقة) bed", True),
                                              ("12", False)])
def test_paragraph_direction(text, answer):
    """P2 and P3: the first strong character decides; digits are not strong."""
    assert is_right_to_left(text) is answer


def test_brackets_are_mirrored():
    """L4: brackets in a right-to-left run open the other way."""
    assert visual("ערוגה (3)") == "(3) הגורע"


def test_marks_stay_behind_their_letter():
    """L3: a mark follows its base in the order of drawing, also in a run that was turned."""
    assert visual("אָב") == "באָ"


LETTERS = "ab" + HEBREW[:2] + "جد" + "12٣ ( )[].,-+/%:! é"


def _flat(text):
    """Brackets as one kind: python-bidi leaves mirroring to the font."""
    return text.replace(")", "(").replace("]", "[")


@given(st.text(alphabet=LETTERS, max_size=20))
def test_same_order_as_python_bidi(text):
    """Any mix of Latin, Hebrew, Arabic, digits, brackets and signs comes out as from an independent implementation."""
    oracle = pytest.importorskip("bidi")
    assert _flat(visual(text)) == _flat(oracle.get_display(text))


@given(st.text(max_size=30))
def test_no_character_is_lost(text):
    """Reordering keeps every character, but for the mirror images of brackets."""
    def kept(line):
        return sorted(character for character in line if not unicodedata.mirrored(character))

    assert kept(visual(text)) == kept(text)

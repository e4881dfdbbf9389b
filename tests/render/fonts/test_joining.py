"""Joined forms of Arabic letters: The Unicode Standard, section 9.2, and its chart of Arabic Presentation Forms-B."""

from __future__ import annotations

import unicodedata

import pytest
from calgen.render.fonts.joining import joined


def forms(text):
    """The names of the forms used, shortened to the letter and its form."""
    return [unicodedata.name(character).replace("ARABIC LETTER ", "").replace("ARABIC LIGATURE ", "").lower()
            for character in joined(text)]


@pytest.mark.parametrize(("text", "expected"), [
    # one letter alone, two and three joining on both sides
    ("ب", ["beh isolated form"]),
    ("بب", ["beh initial form", "beh final form"]),
    ("ببب", ["beh initial form", "beh medial form", "beh final form"]),
    # alef and reh join only to the letter before (Right_Joining)
    ("باب", ["beh initial form", "alef final form", "beh isolated form"]),
    ("درب", ["dal isolated form", "reh isolated form", "beh isolated form"]),
    # lam with alef is always a ligature, section 9.2 table "Lam-Alef"
    ("لا", ["lam with alef isolated form"]),
    ("بلا", ["beh initial form", "lam with alef final form"]),
    # a zero-width non-joiner parts two letters
    ("ب‌ب", ["beh isolated form", "zero width non-joiner", "beh isolated form"]),
    # a mark between two letters is looked through
    ("بَب", ["beh initial form", "fatha", "beh final form"]),
    # Persian and Urdu letters
    ("پی", ["peh initial form", "farsi yeh final form"]),
])
def test_forms(text, expected):
    """Each letter takes the form its neighbours ask for."""
    got = [name if name != "arabic fatha" else "fatha" for name in forms(text)]
    assert got == expected


def test_other_scripts_are_left_alone():
    """Text without Arabic letters comes back as it is."""
    assert joined("Beet 3, грядка, κήπος") == "Beet 3, грядка, κήπος"

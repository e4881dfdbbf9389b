"""Lines of text: what can be drawn, with which face, how wide, and what is said of what cannot."""

from __future__ import annotations

import pytest
from calgen.render.fonts.face import BOLD, CAP_EM, REGULAR, Typesetter

# The scripts that the bundled faces are to cover, each by words for garden or bed (from memory).
COVERED = ["Größe Çağlar", "Żółw ogród", "Dača Šárka", "Đường vườn", "огород Ёлка", "Їжак город", "κήπος Ελλάδα",
           "حديقة", "باغچه پیاز", "ערוגה", "պարտեզ", "ბაღი", "m² · 20 °C – “½” → ↑"]


@pytest.mark.parametrize("text", COVERED)
def test_bundled_faces_cover_the_alphabets(text):
    """Every letter has a glyph, in regular and in bold."""
    setter = Typesetter()
    for bold in (False, True):
        line = setter.line(text, bold=bold)
        assert line.missing == frozenset()
        assert line.width_em > 0


@pytest.mark.parametrize("text", ["菜園", "정원", "वाटिका", "สวน", "ܓܢܬܐ"])
def test_scripts_without_face_or_shaping_are_reported(text):
    """No box is drawn for them: their characters are missing from the runs and named."""
    line = Typesetter().line(text)
    assert line.missing
    assert all(character not in line.missing for run in line.runs for character in run.text)


def test_what_cannot_be_drawn_is_replaced():
    """By the name given, else by code points; and the typesetter remembers which characters these were."""
    setter = Typesetter()
    assert setter.drawable("菜園", "bed 3") == "bed 3"
    assert setter.drawable("bed 菜園 3") == "bed [U+83DC U+5712] 3"
    assert setter.uncovered == {"菜", "園"}


def test_widths_are_those_of_the_font_file():
    """Advance widths as fontTools reads them from the file's hmtx table."""
    ttlib = pytest.importorskip("fontTools.ttLib")
    from importlib.resources import files

    for name, file, bold in ((REGULAR, "DejaVuSansCondensed.ttf", False), (BOLD, "DejaVuSansCondensed-Bold.ttf", True)):
        font = ttlib.TTFont(files("calgen.render.fonts").joinpath(file))
        units, glyphs = font["head"].unitsPerEm, font.getBestCmap()
        text = "Winter rye & Größe 12"
        expected = sum(font["hmtx"][glyphs[ord(character)]][0] for character in text) / units
        line = Typesetter().line(text, bold=bold)
        assert line.width_em == pytest.approx(expected, abs=1e-3)
        assert {run.face for run in line.runs} == {name}
        assert font["glyf"]["H"].yMax / units == pytest.approx(CAP_EM, abs=1e-3)


def test_composed_and_decomposed_letters_are_the_same():
    """A letter typed with a separate accent is set as the letter with its accent."""
    assert Typesetter().line("Z\u030caba").runs == Typesetter().line("Žaba").runs


def test_invisible_characters_take_no_room():
    """Joiners and variation selectors are not drawn."""
    assert Typesetter().line("a\u200db\ufe0f").width_em == Typesetter().line("ab").width_em

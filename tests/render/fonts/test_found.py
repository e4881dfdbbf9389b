"""Fonts beyond the bundled ones: the grower's own files, the system's, and outlines that have to be converted."""

from __future__ import annotations

import os
import struct
import sys
from importlib.resources import files
from io import BytesIO
from pathlib import Path

import pytest
from calgen.problems import InputError
from calgen.render.fonts import found
from calgen.render.fonts.face import Typesetter
from calgen.render.fonts.found import typesetter
from calgen.render.fonts.outline import truetype
from calgen.render.fonts.system import font_files
from calgen.render.fonts.table import faces

BUNDLED = files("calgen.render.fonts").joinpath("DejaVuSansCondensed.ttf").read_bytes()


def small_font(characters, *, bits=0):
    """A static TrueType font of a few characters, made by fontTools from none of calgen's code."""
    builder_module = pytest.importorskip("fontTools.fontBuilder")
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    builder = builder_module.FontBuilder(1000, isTTF=True)
    names = [f"c{ord(character)}" for character in characters]
    builder.setupGlyphOrder([".notdef", *names])
    builder.setupCharacterMap({ord(character): name for character, name in zip(characters, names, strict=True)})
    pen = TTGlyphPen(None)
    for index, point in enumerate([(0, 0), (0, 700), (500, 700), (500, 0)]):
        (pen.lineTo if index else pen.moveTo)(point)
    pen.closePath()
    glyph = pen.glyph()
    builder.setupGlyf(dict.fromkeys([".notdef", *names], glyph))
    builder.setupHorizontalMetrics(dict.fromkeys([".notdef", *names], (600, 0)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Sample", "styleName": "Regular", "psName": "Sample"})
    builder.setupOS2(fsType=bits)
    builder.setupPost()
    into = BytesIO()
    builder.save(into)
    return into.getvalue()


def test_character_map_is_read_as_fonttools_reads_it():
    """Every code point up to U+FFFF, present or absent, against fontTools."""
    ttlib = pytest.importorskip("fontTools.ttLib")
    expected = set(ttlib.TTFont(BytesIO(BUNDLED)).getBestCmap())
    (face,) = faces(BUNDLED)
    asked = frozenset(range(0x20, 0x20000))
    assert face.has(asked) == expected & asked
    assert face.is_static_truetype
    assert face.may_be_embedded
    assert not face.is_bold


def test_other_files_are_no_fonts():
    """Text has no faces; a font cut short says so."""
    assert faces(b"paper: A3\n") == ()
    with pytest.raises(ValueError, match="whole font"):
        faces(BUNDLED[:100])


def test_own_font_is_used_where_the_bundled_one_has_no_letter(tmp_path):
    """Characters of the file come from it; all others from the bundled face."""
    file = tmp_path / "mine.ttf"
    file.write_bytes(small_font("菜園"))
    line = typesetter((str(file),), system_fonts=False).line("bed 菜園 3")
    assert not line.missing
    assert [run.text for run in line.runs] == ["bed ", "菜園", " 3"]
    assert line.runs[1].width_em == pytest.approx(1.2)


def test_own_font_is_embedded_in_the_chart(tmp_path, make_plot):
    """The file of a chart whose title needs it carries that font too."""
    from calgen.render.chart import chart_pdf
    from calgen.render.chart.style import default_style
    from msgspec.structs import replace
    from pypdf import PdfReader

    file = tmp_path / "mine.ttf"
    file.write_bytes(small_font("菜園"))
    style = replace(default_style("A4"), fonts=(str(file),), system_fonts=False)
    page = PdfReader(BytesIO(chart_pdf(make_plot(1, site="菜園"), style))).pages[0]
    fonts = [reference.get_object() for reference in page["/Resources"]["/Font"].values()]
    assert len(fonts) == 3
    assert all("/FontFile2" in font["/FontDescriptor"].get_object() for font in fonts)


@pytest.mark.parametrize(("content", "said"), [
    (None, "No such file or directory"), (b"no font", "is no font file"), ("restricted", "does not allow embedding"),
])
def test_unusable_own_font(content, said, tmp_path):
    """The file is named with what is wrong and what to do."""
    file = tmp_path / "mine.ttf"
    if content is not None:
        file.write_bytes(small_font("a", bits=2) if content == "restricted" else content)
    with pytest.raises(InputError) as caught:
        typesetter((str(file),), system_fonts=False)
    (problem,) = caught.value.problems
    assert str(problem) == f"{file}:1:1: fonts: {said}; name a font file (.ttf, .ttc, .otf) that is there"


def test_system_fonts_are_the_last_resort(tmp_path, monkeypatch):
    """Only characters nothing else has are looked for; the face with most of them wins; broken files do no harm."""
    for name, data in (("few.ttf", small_font("菜")), ("more.ttf", small_font("菜園")), ("broken.ttf", BUNDLED[:200])):
        (tmp_path / name).write_bytes(data)
    monkeypatch.setattr(found, "font_files", lambda: sorted(tmp_path.iterdir()))
    line = typesetter((), system_fonts=True).line("a菜園")
    assert not line.missing
    assert len(line.runs) == 2
    assert typesetter((), system_fonts=False).line("a菜園").missing == {"菜", "園"}


def test_system_is_not_searched_for_letters_at_hand(monkeypatch):
    """A plan in Latin, Greek, Cyrillic, Arabic or Hebrew letters opens no other font."""
    def refuse():
        raise AssertionError("searched")

    monkeypatch.setattr(found, "font_files", refuse)
    assert not typesetter((), system_fonts=True).line("Größe Дача Ελλάδα حديقة ערוגה").missing


@pytest.mark.skipif(sys.platform != "linux", reason="others keep fonts elsewhere")
def test_what_is_no_file_among_the_systems_fonts_does_no_harm(tmp_path, monkeypatch):
    """A link to a font that is gone, a folder named like one; and nobody at home at all."""
    fonts = tmp_path / ".fonts"
    (fonts / "folder.ttf").mkdir(parents=True)
    (fonts / "gone.ttf").symlink_to(tmp_path / "nothing")
    (fonts / "garden.ttf").write_bytes(small_font("菜"))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert [path.name for path in font_files() if tmp_path in path.parents] == ["garden.ttf"]
    monkeypatch.setattr("os.path.expanduser", lambda path: path)
    assert [path for path in font_files() if tmp_path in path.parents] == []


def test_converted_outlines_keep_shape_and_width():
    """A face turned into a small TrueType font has the same advance widths and glyph areas, within a unit or two."""
    ttlib = pytest.importorskip("fontTools.ttLib")
    from fontTools.pens.areaPen import AreaPen

    before = ttlib.TTFont(BytesIO(BUNDLED))
    after = ttlib.TTFont(BytesIO(truetype(BUNDLED, 0, frozenset(map(ord, "Rye8")))))
    assert set(after.getBestCmap()) == set(map(ord, "Rye8"))
    for character in "Rye8":
        areas = []
        for font in (before, after):
            name = font.getBestCmap()[ord(character)]
            pen = AreaPen(font.getGlyphSet())
            font.getGlyphSet()[name].draw(pen)
            areas.append(abs(pen.value))
            assert font["hmtx"][name][0] == before["hmtx"][before.getBestCmap()[ord(character)]][0]
        assert areas[1] == pytest.approx(areas[0], rel=0.01)


def test_converted_font_is_the_same_each_time():
    """No date of making in it: the same characters give the same bytes."""
    pytest.importorskip("fontTools.ttLib")
    assert truetype(BUNDLED, 0, frozenset({65, 66})) == truetype(BUNDLED, 0, frozenset({66, 65}))


@pytest.mark.interop
def test_cff_collection_of_the_system():
    """A CJK collection with PostScript outlines, where one is installed, sets Chinese, Japanese and Korean."""
    collections = [path for path in Path("/usr/share/fonts").rglob("*.ttc") if "CJK-Regular" in path.name]
    if not collections:
        (pytest.fail if os.environ.get("CI") else pytest.skip)("no CJK collection is installed (.ci/interop-packages)")
    line = typesetter((str(collections[0]),), system_fonts=False).line("菜園 ライ麦 정원")
    assert not line.missing
    blank = Typesetter().line("a b").width_em - Typesetter().line("ab").width_em
    assert line.width_em == pytest.approx(7 + 2 * blank, abs=0.3)  # seven letters of about one em


def test_restricted_bit_is_read():
    """OS/2 fsType bit 1: restricted licence embedding (OpenType specification, OS/2)."""
    (free,), (bound,) = faces(small_font("a")), faces(small_font("a", bits=2))
    assert free.may_be_embedded
    assert not bound.may_be_embedded
    assert struct.unpack_from(">H", bound.data, bound.offsets["OS/2"][0] + 8) == (2,)

"""PostScript and variable outlines as a small static TrueType file of the characters asked for.

Uses fontTools when it is installed; PDF readers get an ordinary embedded TrueType font that can be searched.
"""

from __future__ import annotations

from io import BytesIO

_WORST_ERROR_UNITS = 1.0  # of 1000 an em: a hundredth of a point at 10 points


def truetype(data: bytes, index: int, characters: frozenset[int]) -> bytes | None:
    """The characters of a face as a TrueType file, or None when fontTools is not there.

    Args:
        data: bytes of an OpenType file or collection.
        index: which face of a collection.
        characters: code points to keep; those the face lacks are left out.
    """
    try:
        from fontTools.fontBuilder import FontBuilder  # type: ignore[import,unused-ignore]  # noqa: PLC0415
        from fontTools.pens.cu2quPen import Cu2QuPen  # type: ignore[import,unused-ignore]  # noqa: PLC0415
        from fontTools.pens.ttGlyphPen import TTGlyphPen  # type: ignore[import,unused-ignore]  # noqa: PLC0415
        from fontTools.ttLib import TTFont  # type: ignore[import,unused-ignore]  # noqa: PLC0415
    except ImportError:
        return None
    font = TTFont(BytesIO(data), fontNumber=index, lazy=True)
    names = font.getBestCmap()
    kept = {code: names[code] for code in sorted(characters) if code in names}
    units = font["head"].unitsPerEm
    glyphs = font.getGlyphSet(location={"wght": 400} if "fvar" in font else None)
    postscript = "glyf" not in font
    order = [".notdef", *dict.fromkeys(kept.values())]
    outlines, metrics = {}, {}
    for name in order:
        pen = TTGlyphPen(None)
        if name in glyphs:
            glyphs[name].draw(Cu2QuPen(pen, _WORST_ERROR_UNITS * units / 1000, reverse_direction=postscript))
        outlines[name] = pen.glyph()
        metrics[name] = (round(glyphs[name].width) if name in glyphs else units // 2, 0)
    builder = FontBuilder(units, isTTF=True)
    builder.setupGlyphOrder(order)
    builder.setupCharacterMap(kept)
    builder.setupGlyf(outlines)
    builder.setupHorizontalMetrics({name: (width, getattr(outlines[name], "xMin", 0) or 0)
                                    for name, (width, _) in metrics.items()})
    builder.setupHorizontalHeader(ascent=round(0.88 * units), descent=round(-0.12 * units))
    builder.setupNameTable({"familyName": "calgen subset", "styleName": "Regular", "psName": "calgen-subset"})
    builder.setupOS2(sTypoAscender=round(0.88 * units), usWinAscent=units, usWinDescent=units // 5)
    builder.setupPost()
    builder.font["head"].created = builder.font["head"].modified = 0  # the same characters give the same bytes
    into = BytesIO()
    builder.font.recalcTimestamp = False
    builder.save(into)
    return into.getvalue()

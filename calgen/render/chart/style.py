"""How a chart looks: paper, sizes, inks, hatches; read from ``chart-*.yaml``, or defaults scaled to the paper.

    quantity      unit
    margin_mm     mm
    sizes         points (font size)
    widths        points
    pitch         points between hatch lines
"""

from __future__ import annotations

import re
from math import sqrt
from typing import TYPE_CHECKING, Any, Final, Literal, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from calgen.problems import Faults
from calgen.yamlfile import Mapping, compose, nearest

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")
Hatch = Literal["none", "rising", "falling", "cross", "dots", "dashes"]
HATCHES: Final = ("none", "rising", "falling", "cross", "dots", "dashes")
Kind = Literal["crop", "grass", "legume", "brassica", "other", "mulch", "bare", "dead"]
KINDS: Final[tuple[Kind, ...]] = ("crop", "grass", "legume", "brassica", "other", "mulch", "bare", "dead")
# ISO 216 and ANSI sheets, upright. [mm]
PAPERS_MM: Final = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "A2": (420.0, 594.0), "A1": (594.0, 841.0),
                    "Letter": (215.9, 279.4), "Tabloid": (279.4, 431.8), "Ledger": (279.4, 431.8)}
HOME_PAPERS: Final = ("A4", "Letter")
LEAST_PT: Final = 7.0    # nothing smaller is read at arm's length: 16 minutes of arc at 0.4 m (FAA, ISO 9241-3)
LEAST_LINE_PT: Final = 0.35  # thinner lines drop out on home printers
LEAST_CONTRAST: Final = 4.5  # WCAG 2.1, 1.4.3


class Range(Struct, frozen=True):
    """The least and the greatest size of a text that adapts. [points]"""

    least: float
    most: float


class Sizes(Struct, frozen=True):
    """Font sizes. Bed codes are for reading across a room, names in bars from a step away, the rest at arm's length."""

    title: float
    month: float
    bed_code: Range
    bed_name: Range
    bar_name: Range
    bar_code: float
    day: float
    note: float


class Widths(Struct, frozen=True):
    """Line widths."""

    outline: float
    row: float
    week: float
    month: float
    frost: float
    hatch: float


class Fill(Struct, frozen=True):
    """The look of one kind of bar."""

    ink: str
    hatch: Hatch
    pitch: float


class Fills(Struct, frozen=True):
    """The look of every kind of bar; ``dead`` is a cover that frost has killed."""

    crop: Fill
    grass: Fill
    legume: Fill
    brassica: Fill
    other: Fill
    mulch: Fill
    bare: Fill
    dead: Fill


class Bands(Struct, frozen=True):
    """Inks of the ground: frost bands, every other month, daylight."""

    middle_half: str
    eight_in_ten: str
    month: str
    daylight: str


class ChartStyle(Struct, frozen=True):
    """Everything a chart's look depends on. ``fonts`` are paths of the grower's own TrueType files."""

    paper: str
    turn: Literal["landscape", "portrait"]
    inks: Literal["colour", "mono"]
    margin_mm: float
    tile: str | None
    overlap_mm: float
    weeks: Literal["dates", "numbers"]
    sheets: str
    fonts: tuple[str, ...]
    system_fonts: bool
    sizes: Sizes
    widths: Widths
    fills: Fills
    bands: Bands

    @property
    def scale(self) -> float:
        """Size of the paper relative to A3, by the square root of the area."""
        return paper_scale(self.paper)

    @property
    def page_mm(self) -> tuple[float, float]:
        """Width and height of the sheet as it hangs. [mm]"""
        short, long = PAPERS_MM[self.paper]
        return (long, short) if self.turn == "landscape" else (short, long)


def paper_scale(paper: str) -> float:
    """Size of a paper relative to A3, by the square root of the area."""
    (short, long), (a3_short, a3_long) = PAPERS_MM[paper], PAPERS_MM["A3"]
    return sqrt(short * long / (a3_short * a3_long))


def default_style(paper: str = "A3", inks: Literal["colour", "mono"] = "colour") -> ChartStyle:
    """The style of a paper before a file changes it: A3 sizes scaled, never below what can be read or printed.

    On papers larger than A3 the least sizes grow by the square root only: half the gain goes into distance, half into
    room for more beds.
    """
    k = paper_scale(paper)

    def text(size: float) -> float:
        return round(max(LEAST_PT, size * min(k, sqrt(k))), 1)

    def large(size: float) -> float:
        return round(max(LEAST_PT, size * k), 1)

    def line(width: float) -> float:
        return round(max(LEAST_LINE_PT, width * sqrt(k)), 2)

    sizes = Sizes(large(26), large(18), Range(text(22.6), large(38)), Range(text(9), large(14)),
                  Range(text(10), large(20)), text(8.5), text(8.5), text(9))
    widths = Widths(line(0.9), line(0.5), line(0.35), line(0.8), line(1.4), line(0.5))
    home = "Letter" if paper in ("Letter", "Tabloid", "Ledger") else "A4"
    return ChartStyle(paper, "landscape", inks, 10.0, None, 12.0, "dates", home, (), True, sizes, widths,
                      _fills(inks, max(0.8, k)), _bands(inks))


def _fills(inks: str, k: float) -> Fills:
    mono = inks == "mono"

    def fill(ink: str, grey: str, hatch: Hatch, pitch: float) -> Fill:
        return Fill(grey if mono else ink, hatch, round(pitch * k, 2))

    return Fills(
        crop=fill("#F7E7C9", "#E2E2E2", "none", 5.0), grass=fill("#A8DDB5", "#FFFFFF", "rising", 4.6),
        legume=fill("#D3B8E8", "#FFFFFF", "falling", 4.6), brassica=fill("#F8EA7A", "#FFFFFF", "cross", 6.4),
        other=fill("#93CDEE", "#FFFFFF", "dots", 4.6), mulch=fill("#E3D8D0", "#FFFFFF", "dashes", 5.0),
        bare=fill("#FFFFFF", "#FFFFFF", "none", 5.0), dead=fill("#F1F1EC", "#FFFFFF", "dashes", 8.0))


def _bands(inks: str) -> Bands:
    if inks == "mono":
        return Bands("#CFCFCF", "#E6E6E6", "#F5F5F5", "#EBEBEB")
    return Bands("#BED0EA", "#DFE8F5", "#F5F5F3", "#FFF3CE")


def read_style(data: bytes, file: str) -> ChartStyle:
    """A chart style file as a style; what the file leaves out keeps the default of its paper.

    Raises:
        calgen.problems.InputError: with every fault of the file, each with line and column.
    """
    faults = Faults()
    top = compose(data, file, faults)
    paper = top.scalar("paper", one_of(tuple(PAPERS_MM)), "A3")
    inks = top.scalar("inks", one_of(("colour", "mono")), "colour")
    base = default_style(paper, inks)  # type: ignore[arg-type]
    style = replace(
        base,
        turn=top.scalar("turn", one_of(("landscape", "portrait")), base.turn),
        margin_mm=top.scalar("margin-mm", number(5, 40), base.margin_mm),
        tile=top.scalar("tile", _tile, base.tile),
        overlap_mm=top.scalar("overlap-mm", number(8, 30), base.overlap_mm),
        weeks=top.scalar("weeks", one_of(("dates", "numbers")), base.weeks),
        sheets=top.scalar("sheets", one_of(HOME_PAPERS), base.sheets),
        fonts=top.items("fonts", str),
        system_fonts=top.scalar("system-fonts", _yes_no, base.system_fonts),
        sizes=_read_sizes(_section(top, "sizes-pt"), base.sizes),
        widths=_read_widths(_section(top, "lines-pt"), base.widths),
        fills=_read_fills(_section(top, "fills"), base.fills),
        bands=_read_bands(_section(top, "bands"), base.bands))
    top.finish()
    faults.stop_if_any()
    return style


def _section(top: Mapping, key: str) -> Mapping | None:
    node = top.get(key)
    return None if node is None else node.mapping()


def _read_sizes(section: Mapping | None, base: Sizes) -> Sizes:
    if section is None:
        return base
    single: dict[str, Any] = {
        name: section.scalar(name.replace("_", "-"), number(LEAST_PT, 200), getattr(base, name))
        for name in ("title", "month", "bar_code", "day", "note")}
    ranges: dict[str, Any] = {
        name: _read_range(section, name.replace("_", "-"), getattr(base, name))
        for name in ("bed_code", "bed_name", "bar_name")}
    section.finish()
    return replace(base, **single, **ranges)


def _read_range(section: Mapping, key: str, base: Range) -> Range:
    node = section.get(key)
    if node is None:
        return base
    found = section.items(key, number(LEAST_PT, 200))
    if len(found) == 2 and found[0] <= found[1]:
        return Range(*found)
    if len(found) == sum(1 for _ in node.elements()):
        node.fault("expected the least and the greatest size; write [10, 17]")
    return base


def _read_widths(section: Mapping | None, base: Widths) -> Widths:
    if section is None:
        return base
    found = {name: section.scalar(name, number(LEAST_LINE_PT, 10), getattr(base, name))
             for name in Widths.__struct_fields__}
    section.finish()
    return Widths(**found)


def _read_fills(section: Mapping | None, base: Fills) -> Fills:
    if section is None:
        return base
    found = {}
    for kind in KINDS:
        old: Fill = getattr(base, kind)
        found[kind] = old
        inner = _section(section, kind)
        if inner is not None:
            hatch: Hatch = inner.scalar("hatch", one_of(HATCHES), old.hatch)
            found[kind] = Fill(inner.scalar("ink", ink, old.ink), hatch,
                               inner.scalar("pitch-pt", number(2.5, 40), old.pitch))
            inner.finish()
    section.finish()
    return Fills(**found)


def _read_bands(section: Mapping | None, base: Bands) -> Bands:
    if section is None:
        return base
    found = {name: section.scalar(name.replace("_", "-"), ink, getattr(base, name))
             for name in Bands.__struct_fields__}
    section.finish()
    return Bands(**found)


def number(least: float, most: float) -> Callable[[str], float]:
    """A converter for a number within bounds."""

    def convert(text: str) -> float:
        if not re.fullmatch(r"\d+(\.\d+)?", text):
            raise ValueError("is not a number")
        if not least <= float(text) <= most:
            raise ValueError(f"is out of range ({least:g} to {most:g})")
        return float(text)

    return convert


def one_of(known: tuple[T, ...]) -> Callable[[str], T]:
    """A converter for one word of several, whatever its case."""
    words = {str(word).lower(): word for word in known}

    def convert(text: str) -> T:
        if text.lower() in words:
            return words[text.lower()]
        near = nearest(text, words)
        advice = f'did you mean "{words[near]}"?' if near else f"write one of {', '.join(map(str, known))}"
        raise ValueError(f"is not known here; {advice}")

    return convert


def ink(text: str) -> str:
    """A converter for an ink ``#rrggbb`` on which black text can be read."""
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", text):
        raise ValueError('is not an ink; write it as "#rrggbb" in quotation marks')
    contrast = contrast_with_black(text)
    if contrast < LEAST_CONTRAST:
        raise ValueError(f"is too dark for black text (contrast {contrast:.1f}, at least {LEAST_CONTRAST})")
    return text.upper()


def contrast_with_black(ink_text: str) -> float:
    """Contrast ratio of black text on an ink, 1 to 21. Source: WCAG 2.1, relative luminance and contrast ratio."""
    luminance = 0.0
    for at, weight in ((1, 0.2126), (3, 0.7152), (5, 0.0722)):
        share = int(ink_text[at:at + 2], 16) / 255
        luminance += weight * (share / 12.92 if share <= 0.03928 else ((share + 0.055) / 1.055) ** 2.4)
    return (luminance + 0.05) / 0.05


def _tile(text: str) -> str | None:
    return None if text.lower() == "none" else one_of(HOME_PAPERS)(text)


def _yes_no(text: str) -> bool:
    if text.lower() not in ("yes", "no"):
        raise ValueError("expected yes or no")
    return text.lower() == "yes"

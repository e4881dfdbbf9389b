"""Colours of the page in both schemes, measured by WCAG 2.2, and what the style sheet must hold."""

from __future__ import annotations

import re

import pytest
from calgen.render.page.hatch import HATCHED
from calgen.render.page.style import style_sheet

TEXT = 4.5     # WCAG 2.2, 1.4.3
GRAPHIC = 3.0  # WCAG 2.2, 1.4.11
TINTS = ("crop", *HATCHED, "bare", "dead")


def colours(scheme: str) -> dict[str, str]:
    light, dark = re.findall(r":root \{(.*?)\}", style_sheet(), re.DOTALL)
    found = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", light))
    return found if scheme == "light" else {**found, **dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", dark))}


def luminance(colour: str) -> float:
    """WCAG 2.2, definition of relative luminance."""
    parts = [int(colour[start:start + 2], 16) / 255 for start in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definition of contrast ratio."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_measure_agrees_with_published_ratios() -> None:
    """Black on white 21:1 (WCAG 2.2); #767676 on white 4.54:1 (WebAIM, contrast and colour accessibility)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_stands_out_from_its_ground(scheme: str) -> None:
    found = colours(scheme)
    pairs = [(ink, ground) for ink in ("ink", "quiet", "link", "caution") for ground in ("paper", "card")]
    pairs += [("on-button", "button"), ("caution", "caution-ground"), ("ink", "badge"), ("quiet", "caution-ground")]
    pairs += [("bar-ink", tint) for tint in TINTS]
    pairs += [("ink", ground) for ground in ("frost-dark", "frost-pale", "dim")]
    assert {pair: ratio for pair in pairs if (ratio := contrast(found[pair[0]], found[pair[1]])) < TEXT} == {}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_edges_hatches_and_lines_stand_out(scheme: str) -> None:
    found = colours(scheme)
    pairs = [("edge", "paper"), *(("edge", tint) for tint in TINTS), *(("hatch", tint) for tint in HATCHED)]
    pairs += [("median", "frost-dark"), ("made", "paper"), ("made", "frost-dark"), ("made", "frost-pale"),
              ("ink", "frost-dark"), ("link", "paper")]
    assert {pair: ratio for pair in pairs if (ratio := contrast(found[pair[0]], found[pair[1]])) < GRAPHIC} == {}


def test_motion_is_only_for_those_who_did_not_ask_for_less() -> None:
    sheet = style_sheet()
    assert "animation" not in sheet
    assert "transition" not in sheet
    before, after = sheet.split("@media (prefers-reduced-motion: no-preference)")
    assert "scroll-behavior" not in before
    assert "scroll-behavior: smooth" in after


def test_focus_is_visible_and_never_taken_away() -> None:
    assert ":focus-visible { outline: 3px" in style_sheet()
    assert not re.search(r"outline:\s*(none|0)", style_sheet())


def test_dark_colours_are_for_screens_so_that_paper_stays_white() -> None:
    assert "@media screen and (prefers-color-scheme: dark)" in style_sheet()

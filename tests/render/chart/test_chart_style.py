"""Chart style files: what they mean, and what is said of a wrong one."""

from __future__ import annotations

from pathlib import Path

import pytest
from calgen.problems import InputError
from calgen.render.chart.style import KINDS, contrast_with_black, default_style, read_style

TEMPLATES = Path(__file__).parents[3] / "templates"


def faults(text):
    """The lines said about a style file."""
    with pytest.raises(InputError) as caught:
        read_style(text.encode(), "chart-mine.yaml")
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("file", sorted(path.name for path in TEMPLATES.glob("chart-*.yaml")))
def test_shipped_styles_are_read(file):
    """Each style that comes with calgen has no fault and draws on the paper its name says."""
    style = read_style((TEMPLATES / file).read_bytes(), file)
    assert style.paper.lower() == file.removeprefix("chart-").removesuffix(".yaml").split("-")[0]


def test_full_file_states_the_defaults():
    """chart-a3.yaml writes out every value that a file without it would have."""
    assert read_style((TEMPLATES / "chart-a3.yaml").read_bytes(), "chart-a3.yaml") == default_style("A3")


@pytest.mark.parametrize(("text", "said"), [
    ("paper: A5", 'chart-mine.yaml:1:8: paper: "A5" is not known here; write one of A4, A3, A2, A1, Letter, Tabloid, '
                  "Ledger"),
    ("paper: leter", 'chart-mine.yaml:1:8: paper: "leter" is not known here; did you mean "Letter"?'),
    ("paper: A3\nmargin: 10", 'chart-mine.yaml:2:1: unknown key "margin"; did you mean "margin-mm"?'),
    ("margin-mm: 2", 'chart-mine.yaml:1:12: margin-mm: "2" is out of range (5 to 40)'),
    ("fills:\n  crop: {ink: red}", 'chart-mine.yaml:2:15: fills: crop: ink: "red" is not an ink; '
                                   'write it as "#rrggbb" in quotation marks'),
    ('fills:\n  crop: {ink: "#202020"}', 'chart-mine.yaml:2:15: fills: crop: ink: "#202020" is too dark for black '
                                         "text (contrast 1.3, at least 4.5)"),
    ("sizes-pt:\n  note: 5", 'chart-mine.yaml:2:9: sizes-pt: note: "5" is out of range (7 to 200)'),
    ("sizes-pt:\n  bar-name: 12", "chart-mine.yaml:2:13: sizes-pt: bar-name: expected the least and the greatest "
                                  "size; write [10, 17]"),
    ("lines-pt: {hatch: 0.1}", 'chart-mine.yaml:1:19: lines-pt: hatch: "0.1" is out of range (0.35 to 10)'),
    ("system-fonts: maybe", 'chart-mine.yaml:1:15: system-fonts: "maybe" expected yes or no'),
])
def test_wrong_file(text, said):
    """The place, the field, what is wrong and what to write."""
    assert faults(text) == [said]


def test_all_faults_in_one_run():
    """Nothing hides behind the first fault."""
    assert len(faults("paper: A9\ninks: blue\nweeks: moons")) == 3


@pytest.mark.parametrize(("ink", "ratio"), [("#FFFFFF", 21.0), ("#000000", 1.0), ("#777777", 4.69), ("#0000FF", 2.44)])
def test_contrast(ink, ratio):
    """WCAG 2.1: white on black 21:1; the others from an online contrast checker (from memory)."""
    assert contrast_with_black(ink) == pytest.approx(ratio, abs=0.01)


@pytest.mark.parametrize("inks", ["colour", "mono"])
def test_kinds_are_told_apart_without_colour(inks):
    """Covers differ in hatch from each other and from crop and mulch, so that a grey print says as much."""
    fills = default_style("A3", inks).fills
    hatches = [getattr(fills, kind).hatch for kind in KINDS if kind not in ("bare", "dead")]
    assert len(set(hatches)) == len(hatches)


@pytest.mark.parametrize("inks", ["colour", "mono"])
def test_text_is_read_on_every_ink(inks):
    """Black on each fill and band at 7:1 or more (WCAG 2.1, 1.4.6)."""
    style = default_style("A3", inks)
    inks_used = [getattr(style.fills, kind).ink for kind in KINDS] + [
        style.bands.middle_half, style.bands.eight_in_ten, style.bands.month, style.bands.daylight]
    assert min(contrast_with_black(one) for one in inks_used) >= 7

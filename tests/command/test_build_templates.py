"""A grower's own chart style wins, a mistake in it is told with its line, and ``--tile`` makes the chart in pieces."""

import shutil
from pathlib import Path

import pytest
from calgen.cli import main
from pypdf import PdfReader

ROOT = Path(__file__).parents[2]
MM = 72 / 25.4
# ISO 216 and ANSI/ASME Y14.1 sheet sizes, long side first. [mm]
SIZES_MM = {"A4": (297, 210), "A3": (420, 297), "Letter": (279.4, 215.9)}


@pytest.fixture
def plot(tmp_path: Path) -> Path:
    """A small site of its own."""
    path = tmp_path / "plot.yaml"
    path.write_text("site: Plot\nlatitude: 52\nchart-starts: September 2026\n"
                    "frost: {last: 22 April, first: 4 November}\n"
                    "beds: {Long bed: {size: 1 x 2 m, order: [{crop: leek, planted: 2026-06-20}]}}\n", "utf-8")
    return path


def build(plot: Path, *options: str) -> int:
    return main(["build", str(plot), "--out", str(plot.parent / "out"), "--today", "2026-09-01", *options])


def paper_mm(path: Path) -> tuple[int, int]:
    """Long and short side of a file's first page. [mm]"""
    box = PdfReader(path).pages[0].mediabox
    long, short = sorted((float(box.width), float(box.height)), reverse=True)
    return round(long / MM), round(short / MM)


@pytest.mark.parametrize("tile", ["A4", "Letter"])
def test_tiles_lie_beside_the_whole_chart(tile: str, plot: Path) -> None:
    assert build(plot, "--tile", tile, "--style", "chart-a2") == 0
    out = plot.parent / "out" / "plot"
    pieces = out / "wall-chart-tiles.pdf"
    assert paper_mm(pieces) == tuple(round(side) for side in SIZES_MM[tile])
    assert len(PdfReader(pieces).pages) >= 4
    assert paper_mm(out / "wall-chart.pdf") == (594, 420)


def test_the_whole_chart_stays_whole_where_the_style_has_tiles(plot: Path) -> None:
    assert build(plot, "--style", "chart-a2-on-a4") == 0
    out = plot.parent / "out" / "plot"
    assert not (out / "wall-chart-tiles.pdf").exists()
    assert paper_mm(out / "wall-chart.pdf") == (297, 210)
    assert build(plot, "--style", "chart-a2-on-a4", "--tile", "Letter") == 0
    assert paper_mm(out / "wall-chart.pdf") == (594, 420)
    assert paper_mm(out / "wall-chart-tiles.pdf") == (279, 216)


def test_pieces_of_an_older_chart_do_not_stay(plot: Path) -> None:
    assert build(plot, "--tile", "A4") == 0
    assert build(plot) == 0
    assert not (plot.parent / "out" / "plot" / "wall-chart-tiles.pdf").exists()


def test_an_unknown_paper_is_wrong_use(plot: Path) -> None:
    with pytest.raises(SystemExit) as ended:
        build(plot, "--tile", "A5")
    assert ended.value.code == 2


def test_an_own_chart_style_wins(plot: Path) -> None:
    shutil.copy(ROOT / "templates" / "chart-a3.yaml", plot.parent)
    own = plot.parent / "chart-a3.yaml"
    own.write_text(own.read_text("utf-8").replace("paper: A3 ", "paper: A4 ", 1), "utf-8")
    assert build(plot, "--templates", str(plot.parent)) == 0
    assert paper_mm(plot.parent / "out" / "plot" / "wall-chart.pdf") == SIZES_MM["A4"]
    assert build(plot) == 0
    assert paper_mm(plot.parent / "out" / "plot" / "wall-chart.pdf") == SIZES_MM["A3"]


@pytest.mark.parametrize(("text", "place", "what"), [
    ("paper: A3\nturm: landscape\n", "2:1", 'unknown key "turm"; did you mean "turn"?'),
    ("paper: A9\n", "1:8", '"A9" is not known here'),
    ("paper: A3\nmargin-mm: [1, 2]\n", "2:12", "expected one value, found a list"),
    ("paper: A3\ntile: A5\n", "2:7", '"A5" is not known here'),
])
def test_a_mistake_in_an_own_style_is_told_with_its_line(text: str, place: str, what: str, plot: Path,
                                                         capsys: pytest.CaptureFixture[str]) -> None:
    (plot.parent / "chart-a3.yaml").write_text(text, "utf-8")
    assert build(plot, "--templates", str(plot.parent)) == 1
    told = capsys.readouterr().err
    assert f"chart-a3.yaml:{place}: " in told
    assert what in told
    assert not (plot.parent / "out").exists()


def test_an_own_english_wording_wins(plot: Path) -> None:
    own = plot.parent / "wording-en.yaml"
    own.write_text("language: en\npage: {next-jobs: What comes now}\nplants: {leek: [Welsh leek]}\n", "utf-8")
    assert build(plot, "--templates", str(plot.parent)) == 0
    page = (plot.parent / "out" / "plot" / "index.html").read_text("utf-8")
    assert "What comes now" in page
    assert "Welsh leek" in page

"""A large chart on home paper: the sheets together show everything, and meet where it does no harm."""

from __future__ import annotations

from io import BytesIO

import pytest
from calgen.render.chart import chart_pdf
from calgen.render.chart.layout import chart_pages
from calgen.render.chart.style import default_style
from calgen.render.chart.tile import seams, tile_grid, tiles
from calgen.render.chart.words import ChartWords
from calgen.render.fonts.face import Typesetter
from calgen.render.pdf.shape import Strokes
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

MM = 72 / 25.4
LARGE = [("A3", "A4"), ("A2", "A4"), ("A1", "A4"), ("Tabloid", "Letter")]


def pages_of(paper, tile, schedule):
    """The whole chart page, its grid and its tiles."""
    style = replace(default_style(paper), tile=tile)
    grid = tile_grid(style, tile)
    (page,) = chart_pages(schedule, style, ChartWords(), Typesetter(), grid.paper)
    return page, grid, tiles(page, grid, ChartWords(), Typesetter())


@pytest.mark.parametrize(("paper", "tile", "most"), [("A3", "A4", 4), ("A2", "A4", 8), ("A1", "A4", 15)])
def test_fewer_sheets_than_the_exact_size_takes(paper, tile, most):
    """Exact A3, A2, A1 take 4, 8, 15 sheets of A4 with 10 mm margins and overlap; laid out to fit, not more."""
    grid = tile_grid(replace(default_style(paper), tile=tile), tile)
    assert grid.columns * grid.rows <= most


@pytest.mark.parametrize(("paper", "tile"), LARGE)
def test_tiles_show_the_whole_chart(paper, tile, make_plot):
    """Every point of the chart is on a tile, neighbours share at least the overlap, none prints into its margin."""
    page, grid, found = pages_of(paper, tile, make_plot(14))
    windows = [(one.window.box[0] - one.window.dx, one.window.box[1] - one.window.dy,
                one.window.box[2] - one.window.dx, one.window.box[3] - one.window.dy) for one in found]
    assert min(box[0] for box in windows) == pytest.approx(0)
    assert max(box[2] for box in windows) == pytest.approx(page.width)
    assert min(box[1] for box in windows) == pytest.approx(0, abs=1e-6)
    assert max(box[3] for box in windows) == pytest.approx(page.height)
    for index, one in enumerate(windows):
        if (index + 1) % grid.columns:
            assert one[2] - windows[index + 1][0] >= grid.overlap - 1e-6
        if index + grid.columns < len(windows):
            assert windows[index + grid.columns][3] - one[1] >= grid.overlap - 1e-6
    for one in found:
        left, bottom, right, top = one.window.box
        assert left >= grid.margin - 1e-6
        assert bottom >= grid.margin - 1e-6
        assert right <= grid.width - grid.margin + 1e-6
        assert top <= grid.height - grid.margin + 1e-6


@pytest.mark.parametrize(("paper", "tile"), LARGE)
def test_ticks_of_neighbours_are_one_place(paper, tile, make_plot):
    """The tick at the right of a sheet and the one at the left of the next mark the same point of the chart."""
    _, grid, found = pages_of(paper, tile, make_plot(14))
    if grid.columns < 2:
        pytest.skip("one column")
    places = []
    for one in found[:2]:
        ticks = [line for item in one.items if isinstance(item, Strokes) for line in item.lines
                 if line[0] == line[2] and line[1] > grid.height - grid.margin]
        places.append({round(line[0] - one.window.dx, 3) for line in ticks})
    assert places[0] & places[1]


@pytest.mark.parametrize(("paper", "tile"), [("A2", "A4"), ("A3", "A4")])
def test_seams_lie_on_month_and_row_edges(paper, tile, make_plot):
    """Where an edge is in reach, the cut does not go through a row or a month."""
    page, grid, _ = pages_of(paper, tile, make_plot(14))
    across = seams(page.width, grid.usable[0], grid.overlap, grid.columns, page.edges[0])
    down = seams(page.height, grid.usable[1], grid.overlap, grid.rows, [page.height - y for y in page.edges[1]])
    assert set(across) <= set(page.edges[0])
    assert set(down) <= {page.height - y for y in page.edges[1]}


@given(st.integers(1, 6), st.floats(200, 800), st.floats(20, 60), st.floats(0.8, 1.0),
       st.lists(st.floats(0, 5000), max_size=30))
def test_seams_leave_no_gap(count, usable, overlap, share, edges):
    """Whatever the edges: each sheet fits its paper, and each seam has half the overlap on both sheets."""
    most = count * (usable - overlap) + overlap
    length = max(most * share, (count - 1) * (usable - overlap) + overlap + 1)
    found = seams(length, usable, overlap, count, edges)
    assert len(found) == count - 1
    starts = [0.0, *(seam - overlap / 2 for seam in found)]
    ends = [*(seam + overlap / 2 for seam in found), length]
    assert all(end - start <= usable + 1e-6 for start, end in zip(starts, ends, strict=True))
    assert list(found) == sorted(found)


def test_ruler_is_50_mm(make_plot):
    """The check ruler measures what it says."""
    _, _, found = pages_of("A2", "A4", make_plot(3))
    lengths = {round((line[2] - line[0]) / MM, 3) for one in found for item in one.items if isinstance(item, Strokes)
               for line in item.lines if line[1] == line[3] and line[1] < 10 * MM}
    assert 50.0 in lengths


def test_tiled_file_has_home_paper_and_holds_the_chart_once(make_plot):
    """A2 on A4: every page A4, and hardly larger than the chart itself because the sheets share one drawing."""
    from pypdf import PdfReader

    style = replace(default_style("A2"), tile="A4")
    data = chart_pdf(make_plot(14), style)
    sizes = {(round(float(page.mediabox.width)), round(float(page.mediabox.height)))
             for page in PdfReader(BytesIO(data)).pages}
    assert sizes == {(842, 595)}
    assert len(data) < len(chart_pdf(make_plot(14), replace(style, tile=None))) + 20_000

"""A large chart on home paper: sheets that overlap, cut ticks, a ruler to check the print, seams on good edges.

The chart is laid out to the size that the glued sheets give, not to a standard size that would waste most of a sheet.

    quantity           unit
    overlap, lengths   points
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from calgen.render.chart.sheet import Paper
from calgen.render.chart.style import LEAST_PT, PAPERS_MM
from calgen.render.pdf.shape import BLACK, MM, Bookmark, Page, Part, Strokes, Text, Window

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.render.chart.style import ChartStyle
    from calgen.render.chart.words import ChartWords
    from calgen.render.fonts.face import Typesetter
    from calgen.render.pdf.shape import Box, Item

NEAR_ENOUGH = 0.86    # of the wanted width and height; one more row of sheets for less than this is not worth its paper
PLAY = 0.035          # share of the glued size given up, so that seams can move to the edge of a month or a row
CHART_MARGIN_MM = 2.0  # the sheets' own margins keep the printer's distance already
RULER_MM = 50.0
TICK_MM = 3.0


class Grid(Struct, frozen=True):
    """Sheets side by side and one above the other: their size, their margin, their overlap, and the chart's paper."""

    columns: int
    rows: int
    width: float
    height: float
    margin: float
    overlap: float
    paper: Paper

    @property
    def usable(self) -> tuple[float, float]:
        """Width and height of a sheet within its margins."""
        return self.width - 2 * self.margin, self.height - 2 * self.margin


def tile_grid(style: ChartStyle, tile: str) -> Grid:
    """The fewest sheets of home paper that give about the wanted size, upright or lying.

    Args:
        style: names the wanted paper, the margin on each sheet and the overlap.
        tile: the paper in the printer.
    """
    wanted = [side * MM for side in style.page_mm]
    margin, overlap = style.margin_mm * MM, style.overlap_mm * MM
    offers = []
    short, long = (side * MM for side in PAPERS_MM[tile])
    for width, height in ((long, short), (short, long)):
        counts = [_count(want, side - 2 * margin, overlap) for want, side in zip(wanted, (width, height), strict=True)]
        glued = [count * (side - 2 * margin - overlap) + overlap
                 for count, side in zip(counts, (width, height), strict=True)]
        offers.append((counts[0] * counts[1], -glued[0] * glued[1], counts, (width, height), glued))
    _, _, counts, (width, height), glued = min(offers)
    whole = [side * (1 - PLAY) if count > 1 else side for side, count in zip(glued, counts, strict=True)]
    return Grid(counts[0], counts[1], width, height, margin, overlap, Paper(whole[0], whole[1], CHART_MARGIN_MM * MM))


def _count(wanted: float, usable: float, overlap: float) -> int:
    count = 1
    while count * (usable - overlap) + overlap < wanted * NEAR_ENOUGH:
        count += 1
    return count


def seams(length: float, usable: float, overlap: float, count: int, edges: Sequence[float]) -> tuple[float, ...]:
    """Where sheets meet along one direction: on an edge where one is in reach, else in the middle of what is.

    Args:
        length: of the chart.
        usable: of a sheet within its margins.
        overlap: of neighbouring sheets, half of it on either side of the seam.
        count: of sheets.
        edges: places at which the chart is best cut.
    """
    found: list[float] = []
    start = 0.0
    for left in range(count - 1, 0, -1):
        low = max(start + overlap, length + overlap / 2 - (left * (usable - overlap) + overlap))
        high = start + usable - overlap / 2
        middle = (low + high) / 2
        seam = min((edge for edge in edges if low <= edge <= high), key=lambda edge: abs(edge - middle), default=middle)
        found.append(seam)
        start = seam - overlap / 2
    return tuple(found)


def tiles(page: Page, grid: Grid, words: ChartWords, typesetter: Typesetter) -> tuple[Page, ...]:
    """The sheets to print for one chart page, row by row from the upper left."""
    usable_x, usable_y = grid.usable
    across = seams(page.width, usable_x, grid.overlap, grid.columns, page.edges[0])
    down = seams(page.height, usable_y, grid.overlap, grid.rows, [page.height - y for y in page.edges[1]])
    lefts = [0.0, *(seam - grid.overlap / 2 for seam in across)]
    tops = [0.0, *(seam - grid.overlap / 2 for seam in down)]
    found = []
    for row, top in enumerate(tops):
        for column, left in enumerate(lefts):
            width = min(usable_x, page.width - left)
            height = min(usable_y, page.height - top)
            upper = grid.height - grid.margin
            box = grid.margin, upper - height, grid.margin + width, upper
            dx, dy = grid.margin - left, upper + top - page.height
            xs = [seam + dx for seam in across[max(0, column - 1):column + 1]]
            ys = [page.height - seam + dy for seam in down[max(0, row - 1):row + 1]]
            name = words.tile.format(row=row + 1, rows=grid.rows, column=column + 1, columns=grid.columns)
            items = (*_ticks(box, xs, ys), *_margin_words(grid, name, words, typesetter))
            found.append(Page(grid.width, grid.height, items, (Part("tile", "P"),), (Bookmark(name, 0, grid.height),),
                              window=Window(page, dx, dy, box)))
    return tuple(found)


def _ticks(box: Box, xs: Sequence[float], ys: Sequence[float]) -> tuple[Item, ...]:
    left, bottom, right, top = box
    tick = TICK_MM * MM
    lines = [line for x in xs for line in ((x, top + 0.5, x, top + tick), (x, bottom - tick, x, bottom - 0.5))]
    lines += [line for y in ys for line in ((left - tick, y, left - 0.5, y), (right + 0.5, y, right + tick, y))]
    return (Strokes(tuple(lines), BLACK, 0.5),) if lines else ()


def _margin_words(grid: Grid, name: str, words: ChartWords, typesetter: Typesetter) -> tuple[Item, ...]:
    """Above, which sheet this is and what to do with it; below, a ruler to check the size with."""
    left = grid.margin + grid.overlap  # past the ticks
    ruler = RULER_MM * MM
    high = grid.height - grid.margin + 2.2 * MM - LEAST_PT * 0.36
    low = grid.margin - 2.2 * MM - LEAST_PT * 0.36
    middle = low + LEAST_PT * 0.36
    told = typesetter.line(f"{name} · {words.tile_how}")
    said = typesetter.line(words.tile_ruler)
    lines = ((left, middle, left + ruler, middle), (left, middle - 3, left, middle + 3),
             (left + ruler, middle - 3, left + ruler, middle + 3))
    return (Text(left, high, told, LEAST_PT, "note", part="tile"), Strokes(lines, BLACK, 0.5),
            Text(left + ruler + 5, low, said, LEAST_PT, "note", part="tile"))

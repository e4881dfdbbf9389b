"""A QR code as boxes: rows of dark modules merged into runs, and runs of equal rows into boxes."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calgen.render.pdf.shape import Box

QUIET_MODULES = 4  # ISO/IEC 18004, 5.3.8: the light margin around the code


def qr_boxes(address: str, left: float, bottom: float, side: float) -> tuple[Box, ...]:
    """Dark boxes of the code for an address within a square that includes the quiet zone. [points]

    Error correction level M (15 % restored), as small a version as holds the address.
    """
    import segno  # noqa: PLC0415

    matrix = [[bool(module) for module in row] for row in segno.make(address, error="m", micro=False).matrix]
    unit = side / (len(matrix) + 2 * QUIET_MODULES)
    open_runs: dict[tuple[int, int], int] = {}
    boxes: list[tuple[int, int, int, int]] = []
    for row_number, row in enumerate([*matrix, []]):
        runs = _runs(row)
        for run in [run for run in open_runs if run not in runs]:
            boxes.append((run[0], open_runs.pop(run), run[1], row_number))
        for run in runs:
            open_runs.setdefault(run, row_number)
    height = len(matrix) + QUIET_MODULES
    return tuple((left + (QUIET_MODULES + start) * unit, bottom + (height - under) * unit,
                  left + (QUIET_MODULES + end) * unit, bottom + (height - top) * unit)
                 for start, top, end, under in sorted(boxes, key=lambda box: (box[1], box[0])))


def _runs(row: list[bool]) -> list[tuple[int, int]]:
    runs = []
    start = None
    for index, dark in enumerate([*row, False]):
        if dark and start is None:
            start = index
        elif not dark and start is not None:
            runs.append((start, index))
            start = None
    return runs

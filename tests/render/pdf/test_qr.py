"""The code for the phone: its boxes give back the code's modules, and a reader reads them."""

from __future__ import annotations

import pytest
from calgen.render.pdf.qr import qr_boxes

ADDRESS = "https://example.org/calendars/tern-hill/all.ics"


def test_boxes_are_the_modules_of_the_code():
    """Painting the boxes gives the matrix of an independent call, inside a quiet zone of four modules."""
    import segno

    matrix = [[bool(module) for module in row] for row in segno.make(ADDRESS, error="m", micro=False).matrix]
    size = len(matrix) + 8
    painted = [[False] * size for _ in range(size)]
    for left, bottom, right, top in qr_boxes(ADDRESS, 0.0, 0.0, float(size)):
        for y in range(round(bottom), round(top)):
            for x in range(round(left), round(right)):
                assert not painted[size - 1 - y][x], "boxes overlap"
                painted[size - 1 - y][x] = True
    assert [row[4:-4] for row in painted[4:-4]] == matrix
    border = painted[:4] + painted[-4:] + [row[:4] + row[-4:] for row in painted]
    assert not any(module for row in border for module in row)


@pytest.mark.parametrize("side", [60.0, 72.0])
def test_boxes_stay_within_the_square(side):
    """Whatever the size."""
    for left, bottom, right, top in qr_boxes(ADDRESS, 10.0, 20.0, side):
        assert 10 <= left < right <= 10 + side
        assert 20 <= bottom < top <= 20 + side

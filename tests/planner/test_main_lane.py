"""The main lane of a bed has one thing at a time, whatever the dates in the site file say."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from calgen.command.load import desk_of
from calgen.planner.main_lane import end_to_end
from calgen.planner.model import Piece
from hypothesis import given
from hypothesis import strategies as st

START = date(2026, 9, 1)
PIECES = st.lists(st.builds(
    lambda kind, first, length, lane: piece(kind, first, first + length, lane),
    st.sampled_from(["crop", "cover", "mulch", "bare"]), st.integers(0, 300), st.integers(1, 200),
    st.sampled_from(["main", "main", "under"])), max_size=8)


def piece(kind: str, first: int, to: int, lane: str = "main") -> Piece:
    return Piece(kind, (), START + timedelta(first), START + timedelta(to), lane)  # type: ignore[arg-type]


def test_a_cover_sown_while_the_crop_stands_grows_under_it_first() -> None:
    assert end_to_end([piece("crop", 0, 90), piece("cover", 20, 200)]) == (
        piece("crop", 0, 90), piece("cover", 20, 90, "under"), piece("cover", 90, 200))


def test_mulch_and_bare_ground_give_way() -> None:
    assert end_to_end([piece("mulch", 0, 90), piece("cover", 20, 200), piece("bare", 150, 220)]) == (
        piece("mulch", 0, 20), piece("cover", 20, 200), piece("bare", 200, 220))


def test_what_fits_stays() -> None:
    row = (piece("crop", 0, 30), piece("cover", 10, 30, "under"), piece("cover", 30, 90), piece("bare", 90, 100))
    assert end_to_end(reversed(row)) == row


@given(PIECES)
def test_nothing_overlaps_and_nothing_covered_is_lost(pieces: list[Piece]) -> None:
    found = end_to_end(pieces)
    main = [one for one in found if one.lane == "main" and one.to > one.start]
    assert all(one.to <= other.start for one, other in pairwise(main))
    for one in pieces:
        if one.kind in ("crop", "cover"):
            days = {other.start + timedelta(n) for other in found if other.kind == one.kind
                    for n in range((other.to - other.start).days)}
            assert {one.start + timedelta(n) for n in range((one.to - one.start).days)} <= days


@pytest.mark.parametrize("order", [
    "[{crop: potato, planted: 2026-04-02, cleared: 2026-12-03}, {cover: choose, sown: 2026-08-17, how: between-rows}, "
    "{crop: kale}]",
    "[{crop: pea, sown: 2026-03-13, cleared: 2026-12-12}, {cover: perennial ryegrass, sown: 2026-09-14, how: cleared}]",
    "[{mulch: leaves}, {cover: [hairy vetch, cereal rye]}, {cover: choose, sown: 2025-11-27, how: cleared}]",
    "[{crop: chard}, {cover: [brown mustard, phacelia], sown: 2025-10-27, how: cleared}, "
    "{cover: choose, sown: 2026-07-04}]",
])
def test_dates_that_contradict_each_other_are_drawn_apart(order: str) -> None:
    text = f"""\
site: Rook Lane
latitude: 52.4
frost: {{last: 28 April, first: 19 October}}
chart-starts: March 2026
beds: {{Long bed: {{size: 1 x 5 m, order: {order}}}}}
"""
    (bed,) = desk_of(text.encode(), Path("plot.yaml")).schedule(date(2026, 3, 1)).beds
    main = [span for span in bed.spans if span.lane == "main"]
    assert main
    assert all(one.to <= other.start for one, other in pairwise(main))

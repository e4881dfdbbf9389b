"""Bars of a bed: nothing hidden, nothing outside, names within their bars."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations, pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import calgen.render.fonts
import pytest
from calgen.render.page.axis import WIDTH, Axis
from calgen.render.page.bar import bars, tracks
from calgen.render.page.label import EDGE, PADDING, ems, lettering
from calgen.schedule.model import Label, Span
from hypothesis import given
from hypothesis import strategies as st

if TYPE_CHECKING:
    from calgen.schedule.model import Schedule

AXIS = Axis(date(2026, 9, 1), date(2027, 9, 1))
SPANS = st.lists(st.builds(
    lambda first, length, lane, text: Span(
        "cover", (text,), Label(text, text[:6], text[:2]), AXIS.start + timedelta(first),
        AXIS.start + timedelta(first + length), lane=lane, does="grass"),  # type: ignore[arg-type]
    st.integers(-60, 400), st.integers(1, 300), st.sampled_from(["main", "under"]),
    st.text(st.characters(codec="utf-8", categories=["L"]), min_size=1, max_size=24)), max_size=7)


def test_the_axis_runs_from_its_first_to_its_last_day() -> None:
    assert AXIS.x(AXIS.start) == 0
    assert AXIS.x(AXIS.end) == WIDTH
    assert AXIS.x(date(2020, 1, 1)) == 0
    assert AXIS.x(date(2027, 3, 2)) == pytest.approx(WIDTH * 182 / 365)
    assert [first.month for first, _, _ in AXIS.months()] == [9, 10, 11, 12, 1, 2, 3, 4, 5, 6, 7, 8]


def test_a_year_that_starts_within_a_month_shows_the_rest_of_it() -> None:
    months = Axis(date(2026, 9, 20), date(2027, 9, 20)).months()
    assert (months[0][0], months[0][1]) == (date(2026, 9, 20), 0)
    assert (months[-1][0], months[-1][2]) == (date(2027, 9, 1), WIDTH)


@given(SPANS)
def test_every_span_of_the_year_has_a_bar_and_no_two_bars_share_ground(spans: list[Span]) -> None:
    found, height = bars(spans, AXIS, 10.0)
    inside = [span for span in spans if span.start < AXIS.end and span.to > AXIS.start]
    assert sorted(id(bar.span) for bar in found) == sorted(id(span) for span in inside)
    boxes = [box for bar in found for box in bar.boxes]
    for box in boxes:
        assert 0 <= box.left < box.right <= WIDTH
        assert 10 <= box.top < box.bottom <= 10 + height + 1e-6
    for one, other in combinations(boxes, 2):
        apart = one.right <= other.left + 1e-6 or other.right <= one.left + 1e-6 \
            or one.bottom <= other.top + 1e-6 or other.bottom <= one.top + 1e-6
        assert apart


@given(SPANS)
def test_spans_of_a_track_do_not_overlap(spans: list[Span]) -> None:
    for track in tracks(spans):
        assert all(one.to <= other.start for one, other in pairwise(track))


@given(SPANS)
def test_letters_stay_within_their_bar(spans: list[Span]) -> None:
    for bar in bars(spans, AXIS, 10.0)[0]:
        for letters in lettering(bar.span.label, bar.boxes, before=bar.before, beyond=bar.beyond):
            if letters.upright:
                box = next(box for box in bar.boxes if box.left <= letters.x <= box.right)
                assert ems(letters.text) * letters.size <= box.height
            else:
                box = next(box for box in bar.boxes
                           if box.left <= letters.x < box.right and box.top < letters.y < box.bottom)
                assert letters.x + ems(letters.text) * letters.size <= box.right - PADDING + 1e-6
                if bar.before and box == bar.boxes[0]:
                    assert letters.x >= box.left + EDGE


def test_a_bar_takes_the_full_height_while_alone_and_shares_it_beside_others() -> None:
    leek = Span("crop", ("leek",), Label("Leek", "Leek", "LE"), date(2026, 8, 1), date(2027, 3, 1))
    clover = Span("cover", ("white-clover",), Label("White clover", "Clover", "WC"), date(2026, 10, 1),
                  date(2027, 5, 1), lane="under", does="legume")
    found, height = bars((leek, clover), AXIS, 0.0)
    assert [(box.top, box.bottom) for box in found[0].boxes] == [(0, height), (0, pytest.approx(28))]
    assert [(box.top, box.bottom) for box in found[1].boxes] == [(pytest.approx(28), height), (0, height)]
    assert found[0].before
    assert not found[1].beyond


def test_a_name_steps_down_to_short_code_upright_code_and_none_as_the_bar_gets_shorter() -> None:
    label = Label("Cereal rye and hairy vetch", "Rye+vetch", "RV")
    shown = []
    for days in (120, 40, 14, 6, 2):
        span = Span("cover", ("cereal-rye",), label, date(2026, 10, 1), date(2026, 10, 1) + timedelta(days))
        bar = bars((span,), AXIS, 0.0)[0][0]
        written = lettering(label, bar.boxes, before=False, beyond=False)
        shown.append([(letters.text, letters.upright) for letters in written])
    assert shown == [[(label.name, False)], [("Rye+vetch", False)], [("RV", False)], [("RV", True)], []]


def test_a_long_bar_is_named_once_for_every_width_of_a_phone() -> None:
    span = Span("cover", ("rye",), Label("Rye", "Rye", "RY"), AXIS.start, AXIS.end)
    bar = bars((span,), AXIS, 0.0)[0][0]
    places = [letters.x for letters in lettering(span.label, bar.boxes, before=False, beyond=False)]
    assert len(places) == 3
    assert max(b - a for a, b in pairwise(places)) < 360


def test_text_is_reckoned_as_wide_as_in_a_wide_bold_screen_font(plot: Schedule) -> None:
    """DejaVu Sans Bold, one of the widest in use; its Condensed cut has nine tenths of its widths (DejaVu 2.37)."""
    from reportlab.pdfbase.ttfonts import TTFont

    font = TTFont("wide", str(Path(calgen.render.fonts.__file__).with_name("DejaVuSansCondensed-Bold.ttf")))
    labels = [span.label for bed in plot.beds for span in bed.spans]
    for text in {text for label in labels for text in (label.name, label.short, label.code)}:
        assert font.stringWidth(text, 1) / 0.9 <= ems(text) * 1.03

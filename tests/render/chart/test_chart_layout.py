"""The laid-out chart: every label has a place, whatever the names and dates."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest
from calgen.render.chart.axis import Axis
from calgen.render.chart.foot import reading_distance_m
from calgen.render.chart.layout import chart_pages
from calgen.render.chart.style import Range, default_style
from calgen.render.chart.words import ChartWords
from calgen.render.fonts.face import Typesetter
from calgen.render.pdf.shape import Text
from calgen.schedule.model import BedSchedule, Job, Label, Span
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

START, END = date(2026, 9, 1), date(2027, 9, 1)
NAMES = st.one_of(
    st.text(min_size=1, max_size=60),
    st.text(alphabet="abcdefghijklmnop äéßğ-", min_size=1, max_size=40),
    st.text(alphabet="אבגדהוזחט ", min_size=1, max_size=30),
    st.text(alphabet="حديقةبلاسم ", min_size=1, max_size=30),
    st.text(alphabet="огрдкапуст Ёщ", min_size=1, max_size=40),
    st.text(alphabet="菜園大根白菜", min_size=1, max_size=12),
).filter(str.strip)
RANDOM = settings(max_examples=40, deadline=None,
                  suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
LABELS = st.builds(lambda name, short: Label(name, short[:12].strip() or "x", (short.strip() or "x")[:3]), NAMES, NAMES)


@st.composite
def beds(draw, count):
    """Beds with spans end to end of any length, some with something under them, some killed by frost."""
    found = []
    for index in range(count):
        edges = sorted(draw(st.sets(st.integers(-60, 420), min_size=2, max_size=9)))
        spans = []
        for first, last in pairwise(edges):
            kind = draw(st.sampled_from(["crop", "cover", "mulch", "bare"]))
            does = draw(st.sampled_from(["grass", "legume", "brassica", "other"])) if kind == "cover" else None
            start, to = START + timedelta(days=first), START + timedelta(days=last)
            killed = draw(st.sampled_from([None, "likely", "unsure"])) if kind == "cover" else None
            spans.append(Span(kind, ("plant",), draw(LABELS), start, to, does=does, killed=killed,
                              killed_from=start + timedelta(days=draw(st.integers(0, 90))) if killed else None))
            if draw(st.booleans()):
                shift = draw(st.integers(-20, 20))
                spans.append(Span("cover", ("under",), draw(LABELS), start + timedelta(days=shift),
                                  to + timedelta(days=shift), "under", "legume", companion=True))
        found.append(BedSchedule(draw(NAMES), str(index + 1), draw(NAMES), tuple(spans)))
    return found


@st.composite
def jobs(draw, bed):
    """Jobs of any kind on any day of the year, several on one."""
    found = []
    for index, day in enumerate(draw(st.lists(st.integers(0, 364), max_size=14))):
        on = START + timedelta(days=day)
        latest = on + timedelta(days=draw(st.integers(0, 60)))
        kind = draw(st.sampled_from(["sow", "undersow", "drill", "plant", "look", "cut-down", "mulch"]))
        found.append(Job(f"{bed}/{index}", f"{index}@example.org", bed, kind, ("plant",), on, on, latest, latest, 0,
                         "Title", "Text", "Why", last_call=draw(st.booleans()),
                         done=draw(st.booleans())))
    return found


def texts(page, *roles):
    """The texts of a page with one of these roles."""
    return [item for item in page.items if isinstance(item, Text) and (not roles or item.role in roles)]


def overlapping(page):
    """Pairs of texts whose boxes from baseline to cap height share an area."""
    found = []
    ordered = sorted((text for text in texts(page) if text.width), key=lambda text: text.cap_box[0])
    for index, one in enumerate(ordered):
        for other in ordered[index + 1:]:
            if other.cap_box[0] >= one.cap_box[2] - 0.05:
                break
            if one.cap_box[1] < other.cap_box[3] - 0.05 and other.cap_box[1] < one.cap_box[3] - 0.05:
                found.append((one.line.text, other.line.text))
    return found


@RANDOM
@given(st.data(), st.integers(1, 5), st.sampled_from(["A4", "A3", "Tabloid"]))
def test_any_plan_is_drawn_apart_and_inside(make_plot, data, count, paper):
    """Random names in many scripts, random spans and jobs: no text on another, none outside, none too small."""
    rows = data.draw(beds(count))
    work = [job for bed in rows for job in data.draw(jobs(bed.name))]
    schedule = replace(make_plot(0), site=data.draw(NAMES), beds=tuple(rows), jobs=tuple(work))
    style = default_style(paper)
    least = {"bed-code": style.sizes.bed_code.least, "bed-name": style.sizes.bed_name.least,
             "bar-name": min(style.sizes.bar_name.least, style.sizes.bar_code), "bar-code": style.sizes.bar_code}
    margin = style.margin_mm * 72 / 25.4 - 0.1
    for page in chart_pages(schedule, style, ChartWords(), Typesetter()):
        assert overlapping(page) == []
        for text in texts(page):
            left, bottom, right, top = text.cap_box
            assert not text.line.missing
            assert left >= margin
            assert bottom >= margin
            assert right <= page.width - margin
            assert top <= page.height - margin
            assert text.size >= least.get(text.role, 7.0) - 1e-6


@RANDOM
@given(st.data())
def test_no_label_is_dropped(make_plot, data):
    """Each crop, cover and mulch that is on the sheet has its name, short name, code or number at its place."""
    (bed,) = data.draw(beds(1))
    style = default_style("A3")
    schedule = replace(make_plot(0), beds=(bed,), jobs=())
    setter = Typesetter()
    pages = chart_pages(schedule, style, ChartWords(), setter)
    frame = _axis_of(pages[0])
    written = texts(pages[0], "bar-name", "bar-code", "number")
    notes = " ".join(text.line.text for page in pages for text in texts(page, "note"))
    for span in bed.spans:
        first, last = max(span.start, START), min(span.to, END)
        if span.kind == "bare" or last <= first:
            continue
        crosses = span.start < START or span.to > END
        if crosses and (last - first).days < 3:
            assert "just" in notes
            continue
        there = [text for text in written if frame.x(first) - 30 <= text.x <= frame.x(last) + 30]
        names = {setter.drawable(name, "plant under") for name in (span.label.name, span.label.short, span.label.code)}
        said = {text.line.text for text in there}
        assert any(text.role == "number" for text in there) or \
            any(set(part.split()) & set(name.split()) or part in name for part in said for name in names) or \
            said & {"plant", "under", "PLA", "UND"}


def _axis_of(page):
    """The axis as the month names' places and the year's length give it."""
    months = texts(page, "month")[:12]
    centres = [text.x + text.width / 2 for text in months]
    days = [30, 31, 30, 31, 31, 28, 31, 30, 31, 30, 31, 31]
    middle = [sum(days[:index]) + days[index] / 2 for index in range(12)]
    width = (centres[11] - centres[0]) / (middle[11] - middle[0])
    left = centres[0] - middle[0] * width
    return Axis(START, END, left, left + 365 * width)


@pytest.mark.parametrize("paper", ["A4", "A3", "A2", "A1", "Letter", "Tabloid"])
@pytest.mark.parametrize("language", ["en", "de", "pl", "el"])
def test_every_month_is_named_above_and_below(paper, language, make_plot):
    """Twelve names in the head and twelve under the rows, whatever their length."""
    (page, *_) = chart_pages(make_plot(8, language=language), default_style(paper), ChartWords(), Typesetter())
    assert len(texts(page, "month")) == 24


@pytest.mark.parametrize(("paper", "beds"), [("A3", 14), ("A2", 20), ("A1", 30)])
def test_one_sheet_holds_what_its_size_promises(paper, beds, make_plot):
    """Beds on one sheet with codes read from 2 m by 90 % of people (0.003 rad, Smith 1979): 14, 20 and 30 at least."""
    pages = chart_pages(make_plot(beds), default_style(paper), ChartWords(), Typesetter())
    codes = texts(pages[0], "bed-code")
    assert len(codes) == beds
    assert min(reading_distance_m(code.size) for code in codes) >= 1.9


@pytest.mark.parametrize(("size", "metres"), [(23.3, 2.0), (11.7, 1.0), (8.2, 0.7)])
def test_reading_distance(size, metres):
    """90 % of people read a capital of 0.003 rad (Smith 1979, Human Factors 21:661): 6 mm at 2 m, 3 mm at 1 m."""
    assert reading_distance_m(size) == pytest.approx(metres, rel=0.01)


def test_forty_beds_share_sheets_evenly_in_order(make_plot):
    """The grower's order is kept and no sheet is left with a few beds only."""
    pages = chart_pages(make_plot(40), default_style("A3"), ChartWords(), Typesetter())
    codes = [[text.line.text for text in texts(page, "bed-code")] for page in pages]
    assert [code for page in codes for code in page] == [str(number) for number in range(1, 41)]
    sizes = [len(page) for page in codes if page]
    assert max(sizes) - min(sizes) <= 3


def test_bar_that_crosses_the_edge_ends_open(make_plot):
    """Nothing is stroked along the axis' end where a crop goes on; an arrowhead points there instead."""
    from calgen.render.chart.bar import outline
    from calgen.render.chart.lane import lanes
    from calgen.render.pdf.shape import Area, Strokes

    axis = Axis(START, END, 100.0, 465.0)
    (bar,) = lanes([Span("crop", ("leek",), Label("leeks", "leeks", "LE"), date(2027, 6, 5), date(2028, 3, 1))], axis,
                   0.0, 20.0).bars
    items = outline(bar, None, axis, default_style("A3"))
    ends = [line for item in items if isinstance(item, Strokes) for line in item.lines if line[0] == line[2]]
    assert [line[0] for line in ends] == [axis.x(date(2027, 6, 5))]
    (arrow,) = [item for item in items if isinstance(item, Area)]
    assert arrow.box[2] == pytest.approx(465.0, abs=1)


@pytest.mark.parametrize("parted", [False, True])
def test_cover_under_a_crop_takes_the_bed_when_the_crop_is_gone(parted):
    """The strip is narrow while the crop stands, and as high as the row after it, also if given as two spans."""
    from calgen.render.chart.lane import MAIN_SHARE, lanes

    axis = Axis(START, END, 0.0, 365.0)
    crop = Span("crop", ("leek",), Label("leeks", "leeks", "LE"), START, date(2026, 12, 1))
    cover = Span("cover", ("clover",), Label("clover", "clover", "CL"), date(2026, 10, 1), date(2027, 4, 1), "under",
                 "legume")
    later = replace(cover, start=crop.to, lane="main")
    covers = [replace(cover, to=crop.to), later] if parted else [cover]
    first, second = sorted(lanes([crop, *covers], axis, 0.0, 100.0).bars, key=lambda bar: bar.left)
    assert first.boxes == ((0.0, 0.0, 30.0, 100.0), (30.0, pytest.approx(100 - 100 * MAIN_SHARE), 91.0, 100.0))
    assert second.boxes == ((30.0, 0.0, 91.0, pytest.approx(100 - 100 * MAIN_SHARE)), (91.0, 0.0, 212.0, 100.0))


def test_labels_without_room_are_numbered_even_in_hundreds(make_plot):
    """Beds that change every three days: each name stands in the notes, which go on on a page of their own."""
    spans = tuple(Span("crop", ("radish",), Label(f"radishes of row {index:03}", "radishes of a row", "RADIS"),
                       START + timedelta(days=3 * index), START + timedelta(days=3 * index + 3))
                  for index in range(120))
    rows = tuple(BedSchedule(f"Bed {number}", str(number), "", spans) for number in (1, 2, 3))
    pages = chart_pages(replace(make_plot(0), beds=rows, jobs=()), default_style("A3"), ChartWords(), Typesetter())
    notes = " ".join(text.line.text for page in pages for text in texts(page, "note"))
    assert len(pages) > 1
    for number in range(1, 361):
        assert f"({number})" in notes
    assert all(f"row {index:03}" in notes for index in range(120))
    assert all(overlapping(page) == [] for page in pages)


def test_a_code_in_a_bar_is_written_out_in_the_notes(make_plot):
    """Two weeks of a long name leave room for its code only."""
    spans = (Span("crop", ("potato",), Label("potatoes for winter", "winter potatoes", "PTM"), START,
                  START + timedelta(days=13)),)
    rows = (BedSchedule("Bed", "1", "", spans),)
    (page,) = chart_pages(replace(make_plot(0), beds=rows, jobs=()), default_style("A4"), ChartWords(), Typesetter())
    assert [text.line.text for text in texts(page, "bar-code")] == ["PTM"]
    assert "PTM potatoes for winter" in " ".join(text.line.text for text in texts(page, "note"))


def test_long_bed_name_is_cut_on_the_row_and_whole_below(make_plot):
    """With an ellipsis at its place; the key has the full name."""
    name = "The strip along the southern fence behind the old greenhouse and the water butts"
    rows = tuple(replace(bed, name=name if index == 0 else bed.name) for index, bed in enumerate(make_plot(16).beds))
    (page, *_) = chart_pages(replace(make_plot(16), beds=rows), default_style("A3"), ChartWords(), Typesetter())
    assert any(text.line.text.endswith("…") for text in texts(page, "bed-name"))
    assert f"1 {name}" in " ".join(text.line.text for text in texts(page, "note"))


@pytest.mark.parametrize(("language", "month", "units"), [
    ("de", "März", "metric"), ("fr", "mars", "metric"), ("ru", "март", "metric"), ("el", "Μάρτιος", "metric"),
    ("en", "Mar", "us"), ("xx-unknown", "Mar", "metric"),
])
def test_months_are_named_in_the_language(language, month, units, make_plot):
    """Month names of Unicode CLDR in the grower's language; English for a language nobody knows."""
    schedule = make_plot(2, language=language, units=units)
    (page, *_) = chart_pages(schedule, default_style("A2"), ChartWords(), Typesetter())
    assert any(text.line.text.startswith(month) for text in texts(page, "month"))


def test_dates_and_words_without_a_font_are_english_and_said_so(make_plot):
    """Hindi month names and words are not drawn wrong or left out: English stands there, and the sheet says why."""
    words = replace(ChartWords(), crop="फसल", notes="टिप्पणी")
    (page, *_) = chart_pages(make_plot(2, language="hi"), default_style("A3"), words, Typesetter())
    assert any(text.line.text.startswith("Sept") for text in texts(page, "month"))
    assert any(text.line.text == "crop" for text in texts(page, "key"))
    assert "No font here has U+09" in " ".join(text.line.text for text in texts(page, "note"))
    assert not any(text.line.missing for text in texts(page))


def test_distances_are_said_in_the_units_of_the_grower(make_plot):
    """Metres, or feet where the site is in US units."""
    said = {}
    for units in ("metric", "us"):
        (page, *_) = chart_pages(make_plot(14, units=units), default_style("A3"), ChartWords(), Typesetter())
        said[units] = " ".join(text.line.text for text in texts(page, "note"))
    assert "Bed codes can be read from 2.6 m" in said["metric"]
    assert "Bed codes can be read from 8.5 ft" in said["us"]


@pytest.mark.parametrize(("size", "said"), [(16.0, True), (24.0, False)])
def test_small_codes_say_that_larger_paper_reads_further(size, said, make_plot):
    """Where bed codes are not read from 2 m (23 points), the sheet says what helps."""
    style = default_style("A4")
    style = replace(style, sizes=replace(style.sizes, bed_code=Range(size, size)))
    (page, *_) = chart_pages(make_plot(6), style, ChartWords(), Typesetter())
    notes = " ".join(text.line.text for text in texts(page, "note"))
    assert ("print on larger paper or as tiles" in notes) is said


def test_job_for_no_bed_has_its_own_strip(make_plot):
    """Ordering seed for several beds is not lost."""
    (page, *_) = chart_pages(make_plot(2), default_style("A3"), ChartWords(), Typesetter())
    assert any(text.line.text == "every bed" for text in texts(page))

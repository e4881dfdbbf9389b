"""The finished chart file, looked at with other programs than the one that wrote it."""

from __future__ import annotations

import subprocess
from datetime import date
from io import BytesIO

import pytest
from calgen.render.chart import chart_pdf
from calgen.render.chart.style import PAPERS_MM, default_style
from msgspec.structs import replace

PAPERS = sorted(PAPERS_MM)
MM = 72 / 25.4


def fonts_of(data):
    """Names of every font a page refers to, with whether its program is in the file."""
    from pypdf import PdfReader

    found = {}
    for page in PdfReader(BytesIO(data)).pages:
        for reference in page["/Resources"]["/Font"].values():
            font = reference.get_object()
            descriptor = font.get("/FontDescriptor")
            found[font["/BaseFont"]] = bool(descriptor and descriptor.get_object().get("/FontFile2"))
    return found


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("inks", ["colour", "mono"])
def test_letters_stay_apart_uncovered_inside_and_large_enough(paper, inks, make_plot, ink_of):
    """On every paper: no letter on another, none painted over, nothing in the margin, nothing under 7 points."""
    for page in ink_of(chart_pdf(make_plot(10), default_style(paper, inks))):
        assert page.collisions() == []
        assert page.hidden() == []
        assert page.outside(10 * MM) == []
        assert min(letter.size for letter in page.letters) >= 7.0 - 1e-6
        assert min(page.line_widths) >= 0.35 - 1e-6


@pytest.mark.parametrize("paper", PAPERS)
def test_page_has_the_size_of_the_paper(paper, make_plot):
    """ISO 216 and ANSI/ASME Y14.1 sizes, landscape: A3 is 420 x 297 mm, Tabloid 17 x 11 inches."""
    from pypdf import PdfReader

    inches = {"Letter": (11, 8.5), "Tabloid": (17, 11), "Ledger": (17, 11)}
    millimetres = {"A4": (297, 210), "A3": (420, 297), "A2": (594, 420), "A1": (841, 594)}
    sides = [side * 72 for side in inches[paper]] if paper in inches else [side * MM for side in millimetres[paper]]
    box = PdfReader(BytesIO(chart_pdf(make_plot(3), default_style(paper)))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(tuple(sides), abs=0.01)


def test_every_font_is_embedded(make_plot):
    """Each font in the file carries its program; none is left to the reader's machine."""
    fonts = fonts_of(chart_pdf(make_plot(4), default_style("A3")))
    assert fonts
    assert all(fonts.values()), fonts


def test_file_says_what_it_is(make_plot):
    """Title, language, author, date of making, and a title shown in the window."""
    from pypdf import PdfReader

    reader = PdfReader(BytesIO(chart_pdf(make_plot(2, language="de"), default_style("A4"))))
    assert reader.metadata.title == "Tern Hill plots"
    assert reader.metadata.creation_date.date() == date(2026, 8, 19)
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "de"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]


def test_outline_leads_to_each_bed(make_plot):
    """One entry a sheet, and below it one a bed."""
    from pypdf import PdfReader

    outline = PdfReader(BytesIO(chart_pdf(make_plot(3), default_style("A3")))).outline
    assert [entry.title for entry in outline[1]] == ["1 Long bed", "2 By the shed", "3 South wall"]


def test_each_bed_is_a_figure_that_can_be_read_aloud(make_plot):
    """The structure tree holds a heading and one figure a bed, whose alternative text names crops, covers and jobs."""
    from pypdf import PdfReader

    root = PdfReader(BytesIO(chart_pdf(make_plot(3), default_style("A3")))).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    document = root["/StructTreeRoot"]["/K"]
    kids = [kid.get_object() for kid in document["/K"]]
    assert [kid["/S"] for kid in kids].count("/H1") == 1
    beds = [kid["/Alt"] for kid in kids if kid["/S"] == "/Figure"]
    assert len(beds) == 3
    assert beds[0].startswith("1 Long bed: sweet corn")
    assert "cereal rye with hairy vetch" in beds[0]
    assert "Sow cereal rye with hairy vetch" in beds[0]


def test_same_schedule_gives_the_same_bytes(make_plot, monkeypatch):
    """Twice in one process, and whatever the machine says about its time."""
    first = chart_pdf(make_plot(6), default_style("A3"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    chart_pdf(make_plot(2, language="ru"), default_style("A4", "mono"))
    assert chart_pdf(make_plot(6), default_style("A3")) == first


def test_twelve_beds_on_a4_stay_small(make_plot):
    """A file that a phone can mail."""
    assert len(chart_pdf(make_plot(12), default_style("A4"))) < 200_000


@pytest.mark.parametrize("beds", [1, 14, 25, 40])
def test_every_bed_is_on_some_sheet(beds, make_plot, ink_of):
    """Up to 40 beds: on as many sheets as it takes, each bed once, never smaller than the size for its distance."""
    style = default_style("A3")
    pages = ink_of(chart_pdf(make_plot(beds), style))
    codes = [letter.size for page in pages for letter in page.letters if letter.size >= style.sizes.bed_code.least
             and letter.left < 10 * MM + 60 and letter.text.isdigit() and letter.baseline < page.height - 120]
    assert len(codes) == sum(len(str(number)) for number in range(1, beds + 1))


def test_feed_address_is_a_link_and_a_code(make_plot, ink_of):
    """A schedule that knows its feed's address has it as a link and as squares; another has neither."""
    from pypdf import PdfReader

    address = "https://example.org/calendars/tern-hill/all.ics"
    with_feed = PdfReader(BytesIO(chart_pdf(make_plot(2, feed_address=address), default_style("A3"))))
    links = [note.get_object()["/A"]["/URI"] for note in with_feed.pages[0]["/Annots"]]
    assert links == [address]
    assert "/Annots" not in PdfReader(BytesIO(chart_pdf(make_plot(2), default_style("A3")))).pages[0]


@pytest.mark.parametrize("start", [date(2026, 3, 1), date(2027, 7, 1), date(2028, 1, 1), date(2026, 11, 15)])
def test_year_begins_with_any_month(start, make_plot, ink_of):
    """Frost bands cut by the sheet's edge, leap days and years that begin in mid-month leave nothing hidden."""
    for page in ink_of(chart_pdf(make_plot(8, start=start), default_style("A3"))):
        assert page.collisions() == []
        assert page.hidden() == []
        assert page.outside(10 * MM) == []


def test_empty_schedule_is_a_sheet_to_write_on(make_plot, ink_of):
    """No beds, no frost, no daylight: still a page with its months."""
    bare = replace(make_plot(0), last_frosts=(), first_frosts=(), daylength_h=(), ten_hour=(), climate_words=())
    pages = ink_of(chart_pdf(bare, default_style("A4")))
    assert len(pages) == 1
    assert pages[0].hidden() == []


@pytest.mark.interop
@pytest.mark.parametrize("paper", ["A4", "A3"])
def test_qpdf_finds_no_fault(paper, make_plot, program, tmp_path):
    """The file's structure passes qpdf's check."""
    file = tmp_path / "chart.pdf"
    file.write_bytes(chart_pdf(make_plot(20, feed_address="https://example.org/a.ics"), default_style(paper)))
    done = subprocess.run([program("qpdf"), "--check", str(file)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.interop
def test_pdffonts_lists_embedded_fonts_only(make_plot, program, tmp_path):
    """poppler sees every font embedded, subset and with a map to Unicode."""
    file = tmp_path / "chart.pdf"
    file.write_bytes(chart_pdf(make_plot(5), default_style("A3")))
    listed = subprocess.run([program("pdffonts"), str(file)], capture_output=True, text=True, check=True).stdout
    rows = [line.split() for line in listed.splitlines()[2:]]
    assert rows
    assert all(row[-5:-2] == ["yes", "yes", "yes"] for row in rows), listed


@pytest.mark.interop
def test_poppler_reads_the_structure(make_plot, program, tmp_path):
    """poppler lists the heading and one figure a bed."""
    file = tmp_path / "chart.pdf"
    file.write_bytes(chart_pdf(make_plot(5), default_style("A3")))
    listed = subprocess.run([program("pdfinfo"), "-struct-text", str(file)], capture_output=True, text=True,
                            check=True).stdout
    assert listed.count("Figure") == 5
    assert "H1" in listed

"""The finished job sheets: everything to do is there, apart, embedded and in order."""

from __future__ import annotations

import subprocess
import unicodedata
from datetime import date
from io import BytesIO

import pytest
from calgen.render.chart.style import default_style
from calgen.render.sheets import sheets_pdf
from msgspec.structs import replace

MM = 72 / 25.4
A4, LETTER = default_style("A3"), default_style("Tabloid")


def reader(data):
    """The file as pypdf reads it."""
    from pypdf import PdfReader

    return PdfReader(BytesIO(data))


def titles(outline):
    """The outline as nested lists of titles."""
    return [titles(entry) if isinstance(entry, list) else entry.title for entry in outline]


@pytest.mark.parametrize("style", [A4, LETTER], ids=["A4", "Letter"])
def test_letters_stay_apart_uncovered_inside_and_large_enough(style, make_plot, ink_of):
    """No letter on another, none painted over, nothing in the margin, nothing under 7 points."""
    for page in ink_of(sheets_pdf(make_plot(5, feed_address="https://example.org/a.ics"), style)):
        assert page.collisions() == []
        assert page.hidden() == []
        assert page.outside(10 * MM) == []
        assert min(letter.size for letter in page.letters) >= 7.0 - 1e-6
    wide, high = (612, 792) if style is LETTER else (595.28, 841.89)
    assert (page.width, page.height) == pytest.approx((wide, high), abs=0.1)


def test_every_job_has_its_line_box_and_limit(make_plot):
    """Title, how-to, quantity and last day of each job of the year, in the order of days."""
    schedule = make_plot(4)
    text = " ".join(" ".join(page.extract_text().split()) for page in reader(sheets_pdf(schedule, A4)).pages)
    at = -1
    for job in sorted(schedule.jobs, key=lambda job: (job.on, job.bed, job.key)):
        found = text.find(job.title, at + 1)
        assert found > at, job.title
        if job.quantity:
            assert job.quantity in text
        at = found
    sowing = next(job for job in schedule.jobs if job.last_call and not job.done)
    assert f"last safe day {sowing.latest.day} {sowing.latest:%b}" in text.replace("Sept", "Sep")


def test_boxes_to_tick(make_plot):
    """One square a job and one a seed; jobs done in the diary are ticked."""
    from calgen.render.fonts.face import Typesetter
    from calgen.render.pdf.shape import Area
    from calgen.render.sheets.draw import sheet_pages
    from calgen.render.sheets.words import SheetWords

    schedule = make_plot(4)
    pages = sheet_pages(schedule, A4, SheetWords(), Typesetter())
    sides = [(item.box[2] - item.box[0], item.box[3] - item.box[1]) for page in pages for item in page.items
             if isinstance(item, Area)]
    squares = [wide for wide, high in sides if wide == pytest.approx(high) and wide < 12]
    assert len(squares) == len(schedule.jobs) + len(schedule.seeds)


def test_weekend_stands_in_one_week(make_plot):
    """Saturday and Sunday are under the same heading: weeks begin on Monday (ISO 8601)."""
    (job, *_) = make_plot(1).jobs
    jobs = tuple(replace(job, on=day, key=str(day), uid=str(day), title=f"Job {day.day}")
                 for day in (date(2026, 9, 12), date(2026, 9, 13), date(2026, 9, 14)))
    text = reader(sheets_pdf(replace(make_plot(1), jobs=jobs), A4)).pages[0].extract_text()
    expected = ("Week from 7 Sept 2026", "Job 12", "Job 13", "Week from 14 Sept 2026", "Job 14")
    order = [text.index(words) for words in expected]
    assert order == sorted(order)


def test_outline_leads_to_weeks_beds_seed_and_windows(make_plot):
    """Bookmarks for the parts, and in them for each week with work and each bed."""
    outline = titles(reader(sheets_pdf(make_plot(3), A4)).outline)
    assert outline[0] == "Week by week"
    assert outline[1][0] == "Week from 31 Aug 2026"
    assert outline[outline.index("Bed cards") + 1] == ["1 · Long bed", "2 · By the shed", "3 · South wall"]
    assert "Seed to have in hand" in outline
    assert outline[outline.index("When to sow and plant here") + 1] == ["Covers"]


def test_pages_are_numbered(make_plot):
    """Each with its number and how many there are."""
    pages = reader(sheets_pdf(make_plot(6), A4)).pages
    for number, page in enumerate(pages, 1):
        assert f"{number} of {len(pages)}" in page.extract_text()


def test_cautions_are_on_job_and_card(make_plot):
    """Where seed is poisonous it is said beside the job and on the bed's card."""
    text = " ".join(" ".join(page.extract_text().split()) for page in reader(sheets_pdf(make_plot(1), A4)).pages)
    assert text.count("Vetch seed is poisonous") >= 2


def test_card_longer_than_a_page_goes_on(make_plot, ink_of):
    """Reasons without end are broken over pages and not cut."""
    schedule = make_plot(1)
    (bed,) = schedule.beds
    advice = replace(bed.advice[0], reasons=tuple(f"Reason number {index} holds." for index in range(150)))
    data = sheets_pdf(replace(schedule, beds=(replace(bed, advice=(advice,)),)), A4)
    text = " ".join(page.extract_text() for page in reader(data).pages)
    assert all(f"Reason number {index} holds." in text for index in range(150))
    assert all(page.outside(10 * MM) == [] for page in ink_of(data))


def test_empty_year(make_plot):
    """No jobs, no beds, no seed: a page that says so."""
    schedule = replace(make_plot(0), jobs=(), seeds=(), windows=(), notes=())
    text = " ".join(page.extract_text() for page in reader(sheets_pdf(schedule, A4)).pages)
    assert "Nothing is to be done in this year." in text
    assert "No seed is to be ordered." in text


@pytest.mark.parametrize("name", ["Größe Żółw", "Дача у реки", "Ελλάδα κήπος", "حديقة السلام", "גינת ירק 3"])
def test_names_in_other_scripts(name, make_plot, ink_of):
    """Bed names come out whole and can be searched for, also those written from the right."""
    schedule = make_plot(1, site=name)
    (bed,) = schedule.beds
    schedule = replace(schedule, beds=(replace(bed, name=name),),
                       jobs=tuple(replace(job, bed=name) if job.bed else job for job in schedule.jobs))
    data = sheets_pdf(schedule, A4)
    assert all(page.collisions() == [] for page in ink_of(data))
    assert f"1 · {name}" in titles(reader(data).outline)[titles(reader(data).outline).index("Bed cards") + 1]


@pytest.mark.interop
@pytest.mark.parametrize("name", ["حديقة السلام", "גינת ירק", "Дача у реки"])
def test_text_is_copied_as_typed(name, make_plot, program, tmp_path):
    """pdftotext gives the name back in logical order; Arabic in presentation forms, which searching looks through."""
    file = tmp_path / "sheets.pdf"
    file.write_bytes(sheets_pdf(make_plot(1, site=name), A4))
    text = subprocess.run([program("pdftotext"), str(file), "-"], capture_output=True, text=True, check=True).stdout
    assert name in unicodedata.normalize("NFKC", text)


def test_same_schedule_gives_the_same_bytes(make_plot):
    """Run after run."""
    assert sheets_pdf(make_plot(3), A4) == sheets_pdf(make_plot(3), A4)


@pytest.mark.parametrize(("grams", "units", "words"), [
    (0, "metric", ""), (8.44, "metric", "8.4 g"), (410, "metric", "410 g"), (1250, "metric", "1.25 kg"),
    # NIST Handbook 44, appendix C: 1 ounce avoirdupois is 28.349 523 g, 1 pound 453.592 37 g
    (28.349523, "us", "1 oz (28 g)"), (453.59237, "us", "1 lb (454 g)"), (5, "us", "0.18 oz (5 g)"),
])
def test_weights(grams, units, words, make_plot):
    """In the grower's units, no more digits than a kitchen scale shows."""
    from calgen.render.sheets.table import weight

    assert weight(grams, make_plot(0, units=units)) == words


def test_rejections_with_one_reason_are_one_sentence():
    """The names are listed before the reason they share."""
    from calgen.render.sheets.card import together

    assert together(["White clover: too late.", "Brown mustard: one family.", "Red clover: too late."]) == (
        "White clover, red clover: too late.", "Brown mustard: one family.")


@pytest.mark.interop
def test_qpdf_finds_no_fault(make_plot, program, tmp_path):
    """The file's structure passes qpdf's check."""
    file = tmp_path / "sheets.pdf"
    file.write_bytes(sheets_pdf(make_plot(14, feed_address="https://example.org/a.ics"), A4))
    done = subprocess.run([program("qpdf"), "--check", str(file)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_font_is_embedded(make_plot):
    """Each font in the file carries its program."""
    for page in reader(sheets_pdf(make_plot(2), A4)).pages:
        for reference in page["/Resources"]["/Font"].values():
            assert "/FontFile2" in reference.get_object()["/FontDescriptor"].get_object()

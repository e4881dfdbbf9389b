"""Blocks broken into pages."""

from __future__ import annotations

from itertools import pairwise

from calgen.render.chart.style import default_style
from calgen.render.fonts.face import Typesetter
from calgen.render.pdf.shape import Text
from calgen.render.sheets.draw import sheet_pages
from calgen.render.sheets.flow import Block, Format, pages
from calgen.render.sheets.words import SheetWords
from calgen.schedule.model import Advice, Note
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

FORM = Format(595.0, 842.0, 28.0, Typesetter())


def block(number, height, *, glued=False, new_page=False):
    """A block that says its number at its top."""
    line = FORM.typesetter.line(f"no{number}")
    return Block((Text(0.0, -7.0, line, 9.0, "body"),), height, glued=glued, new_page=new_page)


@example([(10.0, False, False), (159.0, True, False), (300.0, True, False), (300.0, False, False)])
@given(st.lists(st.tuples(st.floats(10, 300), st.booleans(), st.booleans()), min_size=1, max_size=40))
def test_blocks_stay_in_order_and_on_the_page(rows):
    """None is lost or moved, none reaches below the margin, and a glued one does not end a page."""
    blocks = [block(number, height, glued=glued, new_page=new_page)
              for number, (height, glued, new_page) in enumerate(rows)]
    found = pages(FORM, blocks, "head", "{number}/{count}", "made")
    texts = [[item.line.text for item in page.items if isinstance(item, Text)] for page in found]
    on_pages = [[int(text[2:]) for text in page if text.startswith("no")] for page in texts]
    assert [number for page in on_pages for number in page] == list(range(len(rows)))
    for page, numbers in zip(found, on_pages, strict=True):
        assert sum(rows[number][0] for number in numbers) <= FORM.room
        assert all(item.y > FORM.margin for item in page.items if isinstance(item, Text))
    for numbers, later in pairwise(on_pages):
        last, first = numbers[-1], later[0]
        group = [last]
        while group[0] > 0 and rows[group[0] - 1][1] and group[0] - 1 in numbers:
            group.insert(0, group[0] - 1)
        fits = sum(rows[number][0] for number in group) + rows[first][0] <= FORM.room
        assert not (rows[last][1] and fits and not rows[first][2] and len(group) < len(numbers))


WORDS = st.one_of(st.text(min_size=1, max_size=120), *(
    st.text(alphabet=letters, min_size=1, max_size=120)
    for letters in ("abcdefghij klmnop-", "אבגדה (3) ", "حديقة بلا ", "огрдка Ё,", "菜園大根")))


@settings(max_examples=30, deadline=None,
          suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_words_stay_apart_and_inside(make_plot, data):
    """Random names, titles, reasons and cautions in many scripts: no line on another, none beyond the margins."""
    schedule = make_plot(2, site=data.draw(WORDS), notes=(Note("note", "bed", data.draw(WORDS)),))
    bed = replace(schedule.beds[0], name=data.draw(WORDS), ground=data.draw(WORDS), cautions=(data.draw(WORDS),),
                  advice=(Advice(data.draw(WORDS), (data.draw(WORDS), data.draw(WORDS)), data.draw(WORDS),
                                 (data.draw(WORDS),), (data.draw(WORDS),)),))
    jobs = tuple(replace(job, bed=bed.name, title=data.draw(WORDS), text=data.draw(WORDS), how=data.draw(WORDS),
                         caution=data.draw(WORDS), quantity=data.draw(WORDS)) for job in schedule.jobs[:4])
    schedule = replace(schedule, beds=(bed, *schedule.beds[1:]), jobs=jobs)
    style = default_style("A4")
    margin = style.margin_mm * 72 / 25.4 - 0.1
    for page in sheet_pages(schedule, style, SheetWords(), Typesetter()):
        texts = [item for item in page.items if isinstance(item, Text) and item.width]
        for text in texts:
            left, bottom, right, top = text.cap_box
            assert not text.line.missing
            assert left >= margin
            assert bottom >= margin
            assert right <= page.width - margin
            assert top <= page.height - margin
        ordered = sorted(texts, key=lambda text: text.y)
        for index, one in enumerate(ordered):
            for other in ordered[index + 1:]:
                if other.cap_box[1] >= one.cap_box[3] - 0.05:
                    break
                assert one.cap_box[2] <= other.cap_box[0] + 0.05 or other.cap_box[2] <= one.cap_box[0] + 0.05

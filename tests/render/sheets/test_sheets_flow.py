"""Blocks broken into pages."""

from __future__ import annotations

from itertools import pairwise

from calgen.render.fonts.face import Typesetter
from calgen.render.pdf.shape import Text
from calgen.render.sheets.flow import Block, Format, pages
from hypothesis import given
from hypothesis import strategies as st

FORM = Format(595.0, 842.0, 28.0, Typesetter())


def block(number, height, *, glued=False, new_page=False):
    """A block that says its number at its top."""
    line = FORM.typesetter.line(f"no{number}")
    return Block((Text(0.0, -7.0, line, 9.0, "body"),), height, glued=glued, new_page=new_page)


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

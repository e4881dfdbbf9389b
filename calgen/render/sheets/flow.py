"""Blocks one below the other, broken into pages: what every sheet is made of.

    quantity               unit
    width, height, x, y    points; within a block y runs down from 0 at its top (negative)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from calgen.render.fonts.bidi import is_right_to_left
from calgen.render.fonts.face import ASCENT_EM
from calgen.render.fonts.wrap import shortened, wrapped
from calgen.render.pdf.shape import BLACK, MM, Bookmark, Drawing, Part, Strokes, Text, moved, rectangle

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Literal

    from calgen.render.fonts.face import Typesetter
    from calgen.render.pdf.shape import Item, Page

LEADING = 1.24
GREY = "#5A5A5A"


class Block(Struct, frozen=True):
    """Items with their height; ``glued`` to the next block, so that no page ends between them.

    ``title`` and ``level`` make an entry in the outline; ``new_page`` begins a page.
    """

    items: tuple[Item, ...]
    height: float
    kind: Literal["H1", "H2", "P"] = "P"
    glued: bool = False
    new_page: bool = False
    title: str = ""
    level: int = 0


class Format(Struct, frozen=True):
    """The paper of the sheets and the sizes of their text."""

    width: float
    height: float
    margin: float
    typesetter: Typesetter
    body: float = 9.5
    small: float = 8.5
    head: float = 13.0
    title: float = 20.0

    @property
    def measure(self) -> float:
        """Width between the margins. [points]"""
        return self.width - 2 * self.margin

    @property
    def room(self) -> float:
        """Height between the running head and the running foot. [points]"""
        return self.height - 2 * self.margin - 2.6 * self.small * LEADING


class Column(Struct):
    """Text set line under line into a column, from ``top`` downwards."""

    form: Format
    x: float
    width: float
    top: float = 0.0
    items: list[Item] = field(default_factory=list)

    def add(self, text: str, size: float, *, bold: bool = False, ink: str = BLACK, role: str = "body") -> None:
        """A paragraph; from the right where its first letter runs that way."""
        setter = self.form.typesetter
        drawn = setter.drawable(text)
        from_right = is_right_to_left(drawn)
        for words in wrapped(drawn, self.width, size, setter, bold=bold):
            line = setter.line(words, bold=bold)
            x = self.x + self.width - line.width_em * size if from_right else self.x
            self.items.append(Text(x, self.top - ASCENT_EM * size, line, size, role, ink))
            self.top -= size * LEADING

    def add_row(self, row: Row, size: float) -> None:
        """Cells beside each other; the column goes on below the deepest."""
        deepest = self.top
        for cell in row.cells:
            if cell.text:
                beside = Column(self.form, self.x + cell.left * self.width, cell.width * self.width, self.top)
                beside.add(cell.text, size, bold=cell.bold or row.title, ink=GREY if row.title else BLACK)
                self.items.extend(beside.items)
                deepest = min(deepest, beside.top)
        self.top = deepest - (0.0 if row.title else size * 0.16)

    def gap(self, height: float) -> None:
        """Blank room."""
        self.top -= height


class Cell(Struct, frozen=True):
    """A piece of a row: its left end and width as shares of the column."""

    text: str
    left: float = 0.0
    width: float = 1.0
    bold: bool = False


class Row(Struct, frozen=True):
    """Cells beside each other; a ``title`` belongs to the row after it."""

    cells: tuple[Cell, ...]
    title: bool = False


def heading(form: Format, text: str, size: float, *, level: int, new_page: bool = False,
            kind: Literal["H1", "H2"] = "H2", rule: bool = True, before: float = 0.0) -> Block:
    """A heading across the measure, kept with what follows; its words stand in the outline."""
    column = Column(form, 0.0, form.measure)
    column.gap(before)
    column.add(text, size, bold=True, role="heading")
    if rule:
        column.items.append(Strokes(((0.0, column.top - 1, form.measure, column.top - 1),), BLACK, 0.8))
        column.gap(3)
    column.gap(size * 0.25)
    return Block(tuple(column.items), -column.top, kind, glued=True, new_page=new_page, title=text, level=level)


def paragraph(form: Format, text: str, *, size: float | None = None, bold: bool = False, indent: float = 0.0,
              ink: str = BLACK, after: float = 2.0, glued: bool = False) -> Block:
    """A paragraph across the measure."""
    column = Column(form, indent, form.measure - indent)
    column.add(text, size or form.body, bold=bold, ink=ink)
    return Block(tuple(column.items), after - column.top, glued=glued)


def row_block(form: Format, row: Row, *, size: float | None = None, rule: bool = False) -> Block:
    """A row across the measure, with a line below it where it is one of a table."""
    column = Column(form, 0.0, form.measure)
    column.add_row(row, size or form.body)
    if rule:
        column.gap(1.5)
        column.items.append(Strokes(((0.0, column.top, form.measure, column.top),), GREY, 0.35))
        column.gap(2.5)
    return Block(tuple(column.items), -column.top, glued=row.title)


def pages(form: Format, blocks: Sequence[Block], running: str, numbered: str, made: str) -> tuple[Page, ...]:
    """Blocks on pages, each with a running head and its number.

    Args:
        form: paper and sizes.
        blocks: in reading order; glued ones stay together as far as a page holds them.
        running: words at the upper left of each page.
        numbered: words for the number, with ``{number}`` and ``{count}``.
        made: words at the lower left.
    """
    split = _split(blocks, form.room)
    found = []
    for number, group in enumerate(split, 1):
        drawing = Drawing()
        y = form.height - form.margin - 1.3 * form.small * LEADING
        for index, block in enumerate(group):
            part = Part(f"b{index}", block.kind)
            drawing.parts.append(part)
            for item in block.items:
                shifted = moved(item, form.margin, y)
                drawing.add(replace(shifted, part=part.id) if isinstance(item, Text) else shifted)
            if block.title:
                drawing.bookmarks.append(Bookmark(form.typesetter.drawable(block.title), block.level, y + 4))
            y -= block.height
        _running(form, drawing, running, numbered.format(number=number, count=len(split)), made)
        found.append(drawing.page(form.width, form.height))
    return tuple(found)


def _split(blocks: Sequence[Block], room: float) -> list[list[Block]]:
    split: list[list[Block]] = [[]]
    left = room
    for index, block in enumerate(blocks):
        together = _together(blocks, index, room)
        if split[-1] and (block.new_page or together > left):
            taken = [] if block.new_page else _taken_along(split[-1], block, room)
            split.append(taken)
            left = room - sum(one.height for one in taken)
        split[-1].append(block)
        left -= block.height
    return split


def _taken_along(page: list[Block], block: Block, room: float) -> list[Block]:
    """What is glued to a block that begins a page is taken off the page before, if it fits and leaves something there.

    It stands there only where blocks glued to each other are too high for one page.
    """
    count = 0
    while count < len(page) and page[-1 - count].glued:
        count += 1
    group = page[len(page) - count:]
    if not group or count == len(page) or sum(one.height for one in group) + block.height > room:
        return []
    del page[len(page) - count:]
    return group


def _together(blocks: Sequence[Block], index: int, room: float) -> float:
    """Height of the blocks that must stand on one page with this one; only its own if they never fit."""
    height = blocks[index].height
    while blocks[index].glued and index + 1 < len(blocks):
        index += 1
        if height + blocks[index].height > room:
            break
        height += blocks[index].height
    return height


def _running(form: Format, drawing: Drawing, head: str, number: str, made: str) -> None:
    setter, size = form.typesetter, form.small
    top = form.height - form.margin - ASCENT_EM * size
    title = setter.line(shortened(setter.drawable(head), form.measure, size, setter))
    drawing.add(Text(form.margin, top, title, size, "running", GREY))
    line = setter.line(number)
    drawing.add(Text(form.width - form.margin - line.width_em * size, form.margin + 2, line, size, "running", GREY))
    drawing.add(Text(form.margin, form.margin + 2, setter.line(made), size, "running", GREY))


def capital(text: str) -> str:
    """The text as the beginning of a sentence."""
    return text[:1].upper() + text[1:]


def tick_box(x: float, top: float, side: float, *, done: bool) -> tuple[Item, ...]:
    """A box to tick below ``top``; ticked when the job is done."""
    box = rectangle(x, top - side, x + side, top, stroke=BLACK, width=0.9)
    if not done:
        return (box,)
    return box, Strokes(((x + side * 0.2, top - side * 0.5, x + side * 0.42, top - side * 0.78),
                         (x + side * 0.42, top - side * 0.78, x + side * 0.85, top - side * 0.15)), BLACK, 1.4,
                        round_ends=True)


def ruled_lines(form: Format, count: int, step_mm: float = 8.0) -> Block:
    """Lines to write on."""
    step = step_mm * MM
    lines = tuple((0.0, -step * index, form.measure, -step * index) for index in range(1, count + 1))
    return Block((Strokes(lines, GREY, 0.35),), step * count + 6)

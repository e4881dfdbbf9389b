"""Pages of shapes to the bytes of a PDF file. Nothing is computed here but the order of operators."""

from __future__ import annotations

from hashlib import md5
from io import BytesIO
from typing import TYPE_CHECKING, Any

from msgspec import Struct, field

from calgen.render.fonts.face import REGULAR, Typesetter
from calgen.render.pdf.shape import Area, Circle, Squares, Strokes, Text
from calgen.render.pdf.tag import Structure

if TYPE_CHECKING:
    from datetime import date

    from calgen.render.pdf.shape import Item, Page, Part, Window


class About(Struct, frozen=True):
    """What the file says about itself. ``made`` is the day written as its date."""

    title: str
    subject: str
    language: str
    made: date


def document(pages: tuple[Page, ...], about: About) -> bytes:
    """The pages as a PDF 1.7 file: fonts embedded, tagged, with outline; the same pages give the same bytes.

    Raises:
        ValueError: there is no page.
    """
    from reportlab import rl_config  # noqa: PLC0415
    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415

    if not pages:
        raise ValueError("a document has at least one page")
    rl_config.useA85 = 0  # streams as bytes: written as text they are a quarter larger
    Typesetter().line(" ")  # registers the bundled face
    into = BytesIO()
    canvas = Canvas(into, pagesize=(pages[0].width, pages[0].height), initialFontName=REGULAR, invariant=1,
                    pdfVersion=(1, 7), lang=about.language)
    canvas._doc.signature = md5(b"calgen", usedforsecurity=False)  # the file's identifier, else taken from the clock
    canvas.setTitle(about.title)
    canvas.setSubject(about.subject)
    canvas.setAuthor("calgen")
    canvas.setCreator("calgen")
    canvas.setProducer("calgen, reportlab")
    canvas.setDateFormatter(lambda *_: f"D:{about.made:%Y%m%d}000000Z")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    painter = _Painter(canvas, Structure(canvas))
    for index, page in enumerate(pages):
        painter.paint(page, index)
    if any(page.bookmarks for page in pages):
        canvas.showOutline()
    painter.structure.write()
    canvas.save()
    return into.getvalue()


class _Painter(Struct):
    canvas: Any
    structure: Structure
    state: dict[str, object] = field(default_factory=dict)
    forms: dict[int, str] = field(default_factory=dict)

    def paint(self, page: Page, index: int) -> None:
        canvas = self.canvas
        canvas.setPageSize((page.width, page.height))
        if page.window:
            self._show(page.window)
        self.state.clear()
        parts = {part.id: part for part in page.parts}
        current: Part | None = None
        marked = False
        for item in page.items:
            part = parts.get(item.part)
            if not marked or part != current:
                if marked:
                    self.structure.end()
                self.structure.begin(part)
                current, marked = part, True
            self._item(item, part)
        if marked:
            self.structure.end()
        for number, bookmark in enumerate(page.bookmarks):
            key = f"p{index}b{number}"
            canvas.bookmarkHorizontalAbsolute(key, bookmark.y, left=0)
            canvas.addOutlineEntry(bookmark.title, key, bookmark.level, closed=bookmark.level > 0)
        for link in page.links:
            canvas.linkURL(link.address, link.box, relative=0)
        self.structure.end_page(page.parts)
        canvas.showPage()

    def _show(self, window: Window) -> None:
        canvas = self.canvas
        if id(window.page) not in self.forms:
            name = f"sheet{len(self.forms) + 1}"
            canvas.beginForm(name, 0, 0, window.page.width, window.page.height)
            self.state.clear()
            for item in window.page.items:
                self._item(item)
            canvas.endForm()
            self.forms[id(window.page)] = name
        self.structure.begin(None)
        canvas.saveState()
        left, bottom, right, top = window.box
        clip = canvas.beginPath()
        clip.rect(left, bottom, right - left, top - bottom)
        canvas.clipPath(clip, stroke=0, fill=0)
        canvas.translate(window.dx, window.dy)
        canvas.doForm(self.forms[id(window.page)])
        canvas.restoreState()
        self.structure.end()

    def _item(self, item: Item, part: Part | None = None) -> None:
        if isinstance(item, Text):
            self._text(item, parted=part is not None and part.kind != "Figure")
        elif isinstance(item, Area):
            self._area(item)
        elif isinstance(item, Strokes):
            self._stroke(item.ink, item.width, item.dash, round_ends=item.round_ends)
            self.canvas.lines(item.lines)
        elif isinstance(item, Squares):
            self._fill(item.ink)
            path = self.canvas.beginPath()
            for left, bottom, right, top in item.boxes:
                path.rect(left, bottom, right - left, top - bottom)
            self.canvas.drawPath(path, stroke=0, fill=1)
        elif isinstance(item, Circle):
            self._outline(item)
            self.canvas.circle(item.x, item.y, item.radius, stroke=int(item.stroke is not None),
                               fill=int(item.fill is not None))

    def _area(self, item: Area) -> None:
        self._outline(item, item.dash)
        path = self.canvas.beginPath()
        path.moveTo(*item.points[0])
        for point in item.points[1:]:
            path.lineTo(*point)
        path.close()
        self.canvas.drawPath(path, stroke=int(item.stroke is not None), fill=int(item.fill is not None))

    def _text(self, item: Text, *, parted: bool) -> None:
        self._fill(item.ink)
        x = item.x
        last = item.line.runs[-1] if item.line.runs else None
        for run in item.line.runs:
            if self._changed("font", (run.face, item.size)):
                self.canvas.setFont(run.face, item.size)
            # a blank after the line keeps its last word apart from the next line's first for who hears the text
            self.canvas.drawString(x, item.y, run.text + (" " if parted and run is last else ""))
            x += run.width_em * item.size

    def _outline(self, item: Area | Circle, dash: tuple[float, ...] = ()) -> None:
        if item.fill is not None:
            self._fill(item.fill)
        if item.stroke is not None:
            self._stroke(item.stroke, item.width, dash)

    def _fill(self, ink: str) -> None:
        if self._changed("fill", ink):
            self.canvas.setFillColor(_colour(ink))

    def _stroke(self, ink: str, width: float, dash: tuple[float, ...], *, round_ends: bool = False) -> None:
        if self._changed("stroke", ink):
            self.canvas.setStrokeColor(_colour(ink))
        if self._changed("width", width):
            self.canvas.setLineWidth(width)
        if self._changed("dash", dash):
            self.canvas.setDash(*([list(dash)] if dash else []))
        if self._changed("ends", round_ends):
            self.canvas.setLineCap(1 if round_ends else 0)

    def _changed(self, what: str, value: object) -> bool:
        if self.state.get(what) == value:
            return False
        self.state[what] = value
        return True


def _colour(ink: str) -> Any:
    from reportlab.lib.colors import HexColor  # noqa: PLC0415

    return HexColor(ink)

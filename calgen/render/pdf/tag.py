"""Structure of a PDF document: which text and which figure a piece of a page belongs to.

reportlab has no interface for this, so the tree is built from its document objects; attributes that begin with an
underscore are its private ones (pinned below version 6, and covered by a test). No conformance is claimed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct, field

if TYPE_CHECKING:
    from calgen.render.pdf.shape import Part


class Structure(Struct):
    """Collects marked content page by page and writes the tree when the document is saved."""

    canvas: Any
    pages: list[Any] = field(default_factory=list)
    marks: list[list[Part]] = field(default_factory=lambda: [[]])
    order: list[list[Part]] = field(default_factory=list)

    def __post_init__(self) -> None:
        add_page = self.canvas._doc.addPage

        def add(page: Any) -> None:
            from reportlab.pdfbase.pdfdoc import PDFName  # noqa: PLC0415

            page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
            page.StructParents, page.Tabs = len(self.pages), PDFName("S")
            add_page(page)
            self.pages.append(page)

        self.canvas._doc.addPage = add

    def begin(self, part: Part | None) -> None:
        """Begin content of a structure element, or content outside the structure (lines, hatches)."""
        if part is None:
            self.canvas._code.append("/Artifact BMC")
            return
        self.canvas._code.append(f"/{part.kind} <</MCID {len(self.marks[-1])}>> BDC")
        self.marks[-1].append(part)

    def end(self) -> None:
        """End what ``begin`` began."""
        self.canvas._code.append("EMC")

    def end_page(self, order: tuple[Part, ...]) -> None:
        """Close a page whose elements are to be read in this order."""
        self.order.append(list(order))
        self.marks.append([])

    def write(self) -> None:
        """Attach the tree to the document; call before saving."""
        from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFString  # noqa: PLC0415

        document = self.canvas._doc
        top = PDFDictionary({"Type": PDFName("StructElem"), "S": PDFName("Document")})
        top_reference = document.Reference(top)
        kids: list[Any] = []
        numbers: list[Any] = []
        for index, page in enumerate(self.pages):
            elements = {}
            for part in self.order[index]:
                marks = [number for number, owner in enumerate(self.marks[index]) if owner == part]
                if not marks:
                    continue
                entry = {"Type": PDFName("StructElem"), "S": PDFName(part.kind), "P": top_reference,
                         "Pg": document.Reference(page), "K": PDFArray(marks)}
                if part.alternative:
                    entry["Alt"] = PDFString(part.alternative)
                elements[part] = document.Reference(PDFDictionary(entry))
            kids.extend(elements.values())
            numbers.extend([index, PDFArray([elements[part] for part in self.marks[index]])])
        root = PDFDictionary({
            "Type": PDFName("StructTreeRoot"), "K": top_reference, "ParentTreeNextKey": len(self.pages),
            "ParentTree": document.Reference(PDFDictionary({"Nums": PDFArray(numbers)}))})
        top.dict["K"] = PDFArray(kids)
        top.dict["P"] = document.Reference(root)
        document._catalog.StructTreeRoot = root
        document._catalog.MarkInfo = PDFDictionary({"Marked": "true"})

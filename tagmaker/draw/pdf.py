"""Pages of marks as a PDF whose bytes depend on nothing but the marks.

reportlab keeps the numbers of objects, the faces and the file's structure; pages and their streams are
written by hand, since its canvas took 0.98 ms a label (now 0.07) and ASCII85 made files four times as large.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from tagmaker.draw.fonts import numbered
from tagmaker.draw.forms import Form
from tagmaker.draw.ink import MM, Inked, ink_page
from tagmaker.draw.marks import FaceFile, Page
from tagmaker.draw.undated import undated

__all__ = ["draw_pdf", "pdf_of"]

PDF_VERSION = (1, 7)


def draw_pdf(title: str, author: str, pages: Iterable[Page], faces: tuple[FaceFile, ...]) -> bytes:
    """A PDF of the pages with every face that they use embedded; the same pages give the same bytes."""
    return pdf_of(title, author, (ink_page(page, faces) for page in pages), faces)


def pdf_of(title: str, author: str, inked: Iterable[Inked], faces: tuple[FaceFile, ...]) -> bytes:
    """Pages drawn in these faces as one document."""
    document = _document()
    document.setTitle(title)
    document.setAuthor(author)
    document.setCreator("tagmaker")
    paper = _Paper(document)
    used: dict[str, set[str]] = {}
    for page in inked:
        paper.add(page)
        for name, signs in page.signs.items():
            used.setdefault(name, set()).update(signs)
    for face in faces:
        if face.name in used:
            numbered(face).embed(document, used[face.name])
    return bytes(document.GetPDFData(None))


def _document() -> Any:
    """An empty document with reportlab's fixed date, to be printed as large as it is.

    A viewer's print dialogue begins without "fit to page" where PrintScaling is None: a scaled sheet misses
    its labels, and a scaled module is no whole dots. ISO 32000-1, table 150; since PDF 1.6.
    """
    from reportlab.pdfbase.pdfdoc import (  # noqa: PLC0415 — heavy, and `check` draws nothing
        PDFDocument,
        ViewerPreferencesPDFDictionary,
    )

    with undated():
        document = PDFDocument(compression=1, invariant=1, pdfVersion=PDF_VERSION)
    preferences = document.Catalog.ViewerPreferences = ViewerPreferencesPDFDictionary()
    preferences["PrintScaling"] = "None"
    return document


class _Paper:
    """The pages of a document, written as they come; reportlab keeps the numbers of objects."""

    def __init__(self, document: Any) -> None:
        self.document = document
        self.form: Form | None = None
        self.parent = self._reference(document.Reference(document.Pages))
        self.fonts = self._reference(document.Reference(document.idToObject["BasicFonts"]))

    def _reference(self, reference: Any) -> bytes:
        """A reference as it is written in the file: b"7 0 R"."""
        return bytes(reference.format(self.document))

    def add(self, page: Inked) -> None:
        """One more page; its number is taken first, because its fields refer to their page."""
        document, name = self.document, self.document.thisPageName()
        reference = document.Reference(b"", name)
        document.idToObject[name] = self._page(page, self._reference(reference))
        document.Pages.addPage(reference)
        document.updateSignature(page.stream)
        document.pageCounter += 1

    def _page(self, page: Inked, own: bytes) -> bytes:
        """A page's dictionary, its stream and fields written before it."""
        head = b"<< /Filter /FlateDecode /Length %d >>\nstream\n" % len(page.stream)
        content = self._reference(
            self.document.Reference(head + page.stream + b"\nendstream", f"ink of {own.decode()}")
        )
        notes = b" /Annots [ %b ]" % b" ".join(self._fields(page, own)) if page.fields else b""
        size = f"{page.width * MM:.4f} {page.height * MM:.4f}".encode()
        return (
            b"<< /Type /Page /Parent %b /MediaBox [ 0 0 %b ] "
            b"/Resources << /Font %b /ProcSet [ /PDF /Text ] >> /Contents %b%b >>"
            % (self.parent, size, self.fonts, content, notes)
        )

    def _fields(self, page: Inked, own: bytes) -> Iterator[bytes]:
        """The references of a page's fields."""
        self.form = self.form or Form(self.document)
        for field in page.fields:
            yield self.form.add(field, own, page.height)

"""Pages of marks as a PDF whose bytes depend on nothing but the marks.

reportlab keeps the faces and the catalog; pages and their streams are written by hand, since its canvas took
0.98 ms a label (now 0.07) and ASCII85 made files four times as large. Every document can be read aloud: it is
tagged as PDF/UA-1 (ISO 14289-1) asks, as far as `tests/outside/test_read_aloud.py` sees.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from tagmaker.draw.attachments import NOTHING, Attachment, Enclosed, attach
from tagmaker.draw.embedding import embed_signs
from tagmaker.draw.forms import Form
from tagmaker.draw.ink import MM, Inked, ink_page
from tagmaker.draw.marks import FaceFile, Page
from tagmaker.draw.metadata import metadata
from tagmaker.draw.objects import Objects, references
from tagmaker.draw.pictures import add_picture
from tagmaker.draw.structure import Structure
from tagmaker.draw.undated import undated

__all__ = ["draw_pdf", "pdf_pieces"]

LANGUAGE = "en"  # of the printed words, layouts/words/en.toml
PREFERENCES = b"<< /PrintScaling /None /DisplayDocTitle true >>"
"""A viewer's print dialogue begins without "fit to page": a scaled sheet misses its labels, and a scaled
module is no whole dots. ISO 32000-1, table 150; since PDF 1.6."""


def draw_pdf(
    title: str,
    author: str,
    pages: Iterable[Page],
    faces: tuple[FaceFile, ...],
    enclosed: Enclosed = NOTHING,
) -> bytes:
    """A PDF of the pages with every face that they use embedded; the same pages give the same bytes."""
    return b"".join(pdf_pieces(title, author, pages, faces, enclosed))


def pdf_pieces(
    title: str,
    author: str,
    pages: Iterable[Page],
    faces: tuple[FaceFile, ...],
    enclosed: Enclosed = NOTHING,
) -> Iterator[bytes]:
    """The same piece by piece, each dropped as it is given; the first is there once all pages are drawn."""
    document = _document()
    document.setTitle(title)
    document.setAuthor(author)
    document.setCreator("tagmaker")
    paper = _Paper(document, faces)
    used: dict[str, set[str]] = {}
    for page in pages:
        inked = ink_page(page, faces)
        paper.add(inked)
        for name, signs in inked.signs.items():
            used.setdefault(name, set()).update(signs)
    paper.embed(used)
    yield from paper.end(metadata(title, author, enclosed.identifier), enclosed.files)


def _document() -> Any:
    """An empty document with reportlab's fixed date."""
    from reportlab.pdfbase.pdfdoc import PDFDocument  # noqa: PLC0415 — heavy, and `check` draws nothing

    with undated():
        return PDFDocument(compression=1, invariant=1, lang=LANGUAGE)


class _Paper:
    """The pages of a document, written as they come."""

    def __init__(self, document: Any, faces: tuple[FaceFile, ...]) -> None:
        self.document, self.faces = document, faces
        self.objects = Objects(document)
        self.structure = Structure(self.objects)
        self.form: Form | None = None
        self.pictures: dict[str, int] = {}
        self.parent = self._reference(document.Reference(document.Pages))
        self.fonts = self.objects.number()

    def _reference(self, reference: Any) -> str:
        """A reference as it is written in the file: "7 0 R"."""
        return str(reference.format(self.document).decode("ascii"))

    def add(self, page: Inked) -> None:
        """One more page; its number is taken first, because its fields and elements refer to it."""
        document, name = self.document, self.document.thisPageName()
        reference = document.Reference(b"", name)
        number = int(self._reference(reference).split()[0])
        key = self.structure.keys(len(page.fields))
        fields = self._fields(page, number, key)
        self.objects.put_page(number, self._page(page, key, fields))
        self.structure.add(number, key, page.kids, fields)
        self.objects.page_ends()
        document.Pages.addPage(reference)
        document.updateSignature(page.stream)
        document.pageCounter += 1

    def _page(self, page: Inked, key: int, fields: list[int]) -> str:
        """A page's dictionary, its stream written before it."""
        content = self.objects.stream("/Filter /FlateDecode", page.stream)
        notes = f"/Annots {self._notes(fields)} 0 R" if fields else ""
        return (
            f"<</Type/Page/Parent {self.parent}/MediaBox[0 0 {page.width * MM:.4f} {page.height * MM:.4f}]"
            f"/Tabs/S/StructParents {key}/Resources<</Font {self.fonts} 0 R{self._pictures(page)}"
            f"/ProcSet[/PDF/Text]>>/Contents {content} 0 R{notes}>>"
        )

    def _notes(self, fields: list[int]) -> int:
        """The list of a page's fields; its number."""
        number = self.objects.number()
        self.objects.put_list(number, "[", references(fields), "]")
        return number

    def _pictures(self, page: Inked) -> str:
        """A page's pictures among its resources; each is in the file once."""
        for name, png in page.pictures.items():
            if name not in self.pictures:
                self.pictures[name] = add_picture(self.objects, png)
        own = "".join(f"/{name} {self.pictures[name]} 0 R" for name in page.pictures)
        return f"/XObject<<{own}>>" if own else ""

    def _fields(self, page: Inked, number: int, key: int) -> list[int]:
        """The numbers of a page's fields, which are written."""
        if page.fields and self.form is None:
            self.form = Form(self.objects, self.faces[0])
        fields = [self.objects.number() for _ in page.fields]
        for place, (field, own) in enumerate(zip(page.fields, fields, strict=True), start=1):
            if self.form:
                self.form.add(field, own, number, page.height, key + place)
        return fields

    def embed(self, used: Mapping[str, Iterable[str]]) -> None:
        """The fonts of all pages, with the signs that each face is used for beyond ASCII."""
        own = (face for face in self.faces if face.name in used)
        fonts = dict(each for face in own for each in embed_signs(self.objects, face, used[face.name]))
        names = "".join(f"/{name} {number} 0 R" for name, number in sorted(fonts.items()))
        self.objects.put(self.fonts, f"<<{names}>>")

    def end(self, packet: bytes, attached: Sequence[Attachment]) -> Iterator[bytes]:
        """The finished file piece by piece."""
        catalog = self.document.Catalog
        catalog.MarkInfo = b"<< /Marked true >>"
        catalog.ViewerPreferences = PREFERENCES
        catalog.StructTreeRoot = b"%d 0 R" % self.structure.end()
        catalog.Metadata = b"%d 0 R" % self.objects.stream("/Type /Metadata /Subtype /XML", packet)
        if attached:
            catalog.__NoDefault__ = [*catalog.__NoDefault__, "AF"]  # reportlab writes the keys that it knows
            catalog.Names, catalog.AF = attach(self.objects, attached)
        if self.form:
            catalog.AcroForm = self.form.end()
        return self.objects.file()

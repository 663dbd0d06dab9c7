"""Every document drawn and proved, and all that is listed of its pages on the way.

Takes a job as laid out and the set that is written; each page is made, drawn and dropped before the next.
What is listed of it (rows of the register, places of form fields, codes to be read back) waits on disk.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import SupportsBytes

from msgspec import Struct

from tagmaker.catalog.words import load_words
from tagmaker.draw.ink import Put
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import pdf_pieces
from tagmaker.files.output_set import OutputSet
from tagmaker.files.packed import pack, unpack
from tagmaker.outputs.proof import Part, Parts, Proof, prove
from tagmaker.outputs.register import register_rows
from tagmaker.revisions.form_pages import form_page
from tagmaker.revisions.plan_pieces import listed
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.cores import cores
from tagmaker.workflows.documents import Document, aligned, png_pages
from tagmaker.workflows.laid_out import LaidOut, Sheet

__all__ = ["Printed", "Printing", "ToProve", "prove_part"]


class Printed(Struct, frozen=True):
    """A document's file as written: its pages, its pictures' names; its rows and forms as listed."""

    file: str
    pages: int
    pictures: tuple[str, ...]
    rows: list[SupportsBytes]
    forms: list[SupportsBytes]


class ToProve(Struct, frozen=True):
    """A part of a file on disk whose codes are to be read back, and the first code of the whole file."""

    file: Path
    first: SupportsBytes
    part: SupportsBytes
    dots_per_mm: float


def prove_part(each: ToProve) -> Proof:
    """Read the codes of a part back, in whatever process this is."""
    part: Part = unpack(each.part)
    first = unpack(each.first)  # gives the place of a problem that no code of the part has
    expected = part.expected if first.page in part.numbers else [first, *part.expected]
    return prove(each.file.name, each.file, expected, part.pages, each.dots_per_mm, part.numbers)


class Printing:
    """The documents of a job printed into a set; what waits is where `put` has it."""

    def __init__(self, laid_out: LaidOut, output_set: OutputSet) -> None:
        self.laid_out, self.output_set = laid_out, output_set
        self.put: Put = laid_out.put
        self.printed: list[Printed] = []

    def print(self, document: Document) -> Iterator[ToProve]:
        """Draw a document and write its file; gives the parts of it that are to be proved."""
        pages = _Pages(document, self.laid_out)
        job = self.laid_out.job
        title = f"{job.title} – {document.title(load_words())}"
        pdf = pdf_pieces(title, job.prepared_by, pages.drawn(), all_faces())
        self.output_set.write_pieces(document.file, pdf)
        pictures = self._pictures(document) if self.laid_out.selection.png else ()
        count = len(document.sheets)
        self.printed.append(Printed(document.file, count, tuple(pictures), pages.rows, pages.forms))
        return self._to_prove(document, pages)

    def _pictures(self, document: Document) -> Iterator[str]:
        """A written document's pages written as pictures; their names."""
        pdf = self.output_set.new / document.file
        for number, picture in enumerate(png_pages(pdf, document.dots_per_mm), start=1):
            name = f"png/{document.file.removesuffix('.pdf')}-{number}.png"
            self.output_set.write(name, picture)
            yield name

    def _to_prove(self, document: Document, pages: "_Pages") -> Iterator[ToProve]:
        if pages.codes.first is None:
            return
        first = self.put(pack(pages.codes.first))
        for part in pages.parts:
            yield ToProve(self.output_set.new / document.file, first, part, document.dots_per_mm)


class _Pages:
    """The pages of one document as they are drawn, and what is listed of them."""

    def __init__(self, document: Document, laid_out: LaidOut) -> None:
        self.document, self.laid_out = document, laid_out
        self.codes = Parts(cores())
        self.parts: list[SupportsBytes] = []
        self.rows: list[SupportsBytes] = []
        self.forms: list[SupportsBytes] = []

    def drawn(self) -> Iterator[Page]:
        """Each page, noted before it is given."""
        for number, sheet in enumerate(aligned(self.document), start=1):
            self._list(number, sheet)
            yield sheet.page
        self._wait(self.codes.end())

    def _list(self, number: int, sheet: Sheet) -> None:
        """Note the page's rows of the register, form fields, and codes."""
        put, row = self.laid_out.put, self.document.row
        if sheet.labels:
            self.rows.append(put(register_rows(sheet.labels)))
        if form := form_page(self.document.file, number, sheet.page):
            self.forms += map(put, listed([form]))
        if self.laid_out.selection.proof:
            for part in self.codes.add(sheet.page, row.codes(number, sheet, self.laid_out.job.where)):
                self._wait(part)

    def _wait(self, part: Part) -> None:
        self.parts.append(self.laid_out.put(pack(part)))

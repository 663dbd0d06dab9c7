"""Finished pages read for their codes: whole, or only where codes were placed, straight from the renderer.

Takes a PDF and places in mm; gives the codes that read there. A place is rendered at the very dots of the
whole page, and the renderer's own buffer goes to the reader: a third of the time of whole pages as pictures.
What a place does not show is counted: the things drawn on a page that could be codes.
"""

import ctypes
import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

import pypdfium2
from pypdfium2 import raw

from tagmaker.symbols.encode import SymbolKind
from tagmaker.symbols.read import (
    MM_AN_INCH,
    PDFIUM,
    PIXELS_AT_MOST,
    POINTS_AN_INCH,
    Decoded,
    Place,
    read_print,
    to_whole_dots,
)

__all__ = ["FinishedFile", "FinishedPage"]

AROUND = 3.0  # mm read on each side of a place: more than a reader needs of a quiet zone
ROW = 4  # bytes of which a grey bitmap's rows are a multiple
WHITE = 255
FORMS_HELD = 50  # then the document is opened again: of a page with a form pdfium keeps half a megabyte
PIECES = 40  # of a path: those that are no codes have 17 at most, the least code has some hundreds
THIN = 1.3  # mm of height of a filled shape that could be a module
SMALL_PIECES = 40  # shapes so small on one page: no page has any but in its codes, which are one path each


class FinishedFile:
    """A PDF, its pages read at so many dots an inch; to be closed."""

    def __init__(self, pdf: bytes, dpi: float) -> None:
        self.pdf, self.dpi = pdf, dpi
        self.bitmaps: dict[tuple[int, int], tuple[Any, memoryview]] = {}
        with PDFIUM:
            self._open()
            self.pages = len(self.document)

    def _open(self) -> None:
        self.document: Any = pypdfium2.PdfDocument(self.pdf)
        self.held = 0

    def close(self) -> None:
        """Give back what the renderer holds."""
        with PDFIUM:
            for bitmap, _ in self.bitmaps.values():
                bitmap.close()
            self.document.close()

    @contextmanager
    def page(self, number: int) -> "Iterator[FinishedPage]":
        """One of its pages, from 1; closed afterwards, or its glyphs are kept until the document's end."""
        with PDFIUM:
            if self.held == FORMS_HELD:
                self.document.close()
                self._open()
            page = self.document[number - 1]
            self.held += raw.FPDFPage_GetAnnotCount(page) > 0
            to_whole_dots(page, self.dpi / POINTS_AN_INCH)
        try:
            yield FinishedPage(self, page)
        finally:
            with PDFIUM:
                page.close()

    def bitmap(self, width: int, height: int) -> tuple[Any, memoryview]:
        """A bitmap of that size, which is the same one each time, and its rows of grey dots."""
        found = self.bitmaps.get((width, height))
        if found is None:
            bitmap: Any = pypdfium2.PdfBitmap.new_native(width, height, raw.FPDFBitmap_Gray)
            dots = memoryview(bitmap.buffer).cast("B").cast("B", (height, width))
            found = self.bitmaps[width, height] = bitmap, dots
        return found


class FinishedPage:
    """A page to be read, whole or in places."""

    def __init__(self, file: FinishedFile, page: Any) -> None:
        self.file, self.page = file, page
        self.dots_per_mm = file.dpi / MM_AN_INCH
        wide, high = page.get_size()
        self.width, self.height = (math.ceil(each * file.dpi / POINTS_AN_INCH) for each in (wide, high))
        if self.width * self.height > PIXELS_AT_MOST:
            raise ValueError("a page is too large")

    def whole(self, kinds: Iterable[SymbolKind]) -> list[Decoded]:
        """The codes of these kinds anywhere on the page."""
        return self._read(0, 0, self.width, self.height, kinds)

    def within(self, place: Place, kinds: Iterable[SymbolKind]) -> list[Decoded]:
        """The codes of these kinds whose middle is within a place."""
        x, y, width, height = place
        left, top = (max(0, int((start - AROUND) * self.dots_per_mm)) for start in (x, y))
        right = min(self.width, math.ceil((x + width + AROUND) * self.dots_per_mm))
        bottom = min(self.height, math.ceil((y + height + AROUND) * self.dots_per_mm))
        if right <= left or bottom <= top:
            return []
        return [
            code
            for code in self._read(left, top, right - left, bottom - top, kinds)
            if 0 <= code.x + code.width / 2 - x <= width and 0 <= code.y + code.height / 2 - y <= height
        ]

    def _read(
        self, left: int, top: int, width: int, height: int, kinds: Iterable[SymbolKind]
    ) -> list[Decoded]:
        """The codes in a part of the page, in dots; it is widened to whole rows of the renderer's."""
        with PDFIUM:
            width += -width % ROW
            bitmap, dots = self.file.bitmap(width, height + -height % ROW)
            ctypes.memset(bitmap.buffer, WHITE, bitmap.width * bitmap.height)
            place = (-left, -top, self.width, self.height, 0)
            raw.FPDF_RenderPageBitmap(bitmap, self.page, *place, raw.FPDF_ANNOT | raw.FPDF_GRAYSCALE)
        return read_print(dots, self.file.dpi, kinds, (left, top))

    def code_like(self) -> int:
        """How many things are drawn that could be codes: paths of many pieces, pictures, heaps of modules.

        Texts can be none.
        """
        with PDFIUM:
            count, small = 0, 0
            for number in range(raw.FPDFPage_CountObjects(self.page)):
                thing = raw.FPDFPage_GetObject(self.page, number)
                kind = raw.FPDFPageObj_GetType(thing)
                if kind == raw.FPDF_PAGEOBJ_PATH and raw.FPDFPath_CountSegments(thing) <= PIECES:
                    small += _is_small(thing)
                elif kind != raw.FPDF_PAGEOBJ_TEXT:
                    count += 1
        return count + (small > SMALL_PIECES)


def _is_small(path: Any) -> bool:
    """Whether a path is a filled shape as low as a module."""
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(path, fill, stroke)
    if not fill.value:
        return False
    left, bottom, right, top = (ctypes.c_float() for _ in range(4))
    raw.FPDFPageObj_GetBounds(path, left, bottom, right, top)
    return top.value - bottom.value < THIN * POINTS_AN_INCH / MM_AN_INCH

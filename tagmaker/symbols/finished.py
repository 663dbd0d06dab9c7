"""Finished pages read for their codes: whole, or only where codes were placed, straight from the renderer.

Takes a PDF and places in mm; gives the codes that read there. A place is rendered at the very dots of the
whole page, and the renderer's own buffer goes to the reader: a third of the time of whole pages as pictures.
What a place does not show is counted: the things drawn on a page that could be codes.
"""

import ctypes
import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
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
    read_alone,
    read_print,
    to_whole_dots,
)

__all__ = ["FinishedFile", "FinishedPage"]

Part = tuple[int, int, int, int]
"""Left, top, width and height in dots."""

AROUND = 3.0  # mm read on each side of a place: more than a reader needs of a quiet zone
ALONE = 1.1  # mm on each side: with what is widened to whole rows, less than four modules of 0.4 mm
QR: Sequence[SymbolKind] = ["qr"]
ROW = 4  # bytes of which a grey bitmap's rows are a multiple
WHITE = 255
FORMS_HELD = 50  # then the document is opened again: of a page with a form pdfium keeps half a megabyte
PIECES = 40  # of a path: those that are no codes have 17 at most, the least code has some hundreds
THIN = 1.3  # mm of height of a filled shape that could be a module
SMALL_PIECES = 40  # shapes so small on one page: no page has any but in its codes, which are one path each


def _address(function: Any) -> int:
    """Where a function of pdfium's is."""
    return ctypes.cast(function, ctypes.c_void_p).value or 0


# Called for each thing on a page: without the pointers that pypdfium2 makes of it, in half the time.
THING = ctypes.CFUNCTYPE(ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int)(_address(raw.FPDFPage_GetObject))
KIND = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p)(_address(raw.FPDFPageObj_GetType))


class FinishedFile:
    """A PDF, its pages read at so many dots an inch; to be closed."""

    def __init__(self, pdf: bytes | Path, dpi: float) -> None:
        self.pdf, self.dpi = pdf, dpi
        self.are_alone = True  # so far: its QR codes are upright, with nothing in their quiet zones
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

    def whole(self, kinds: Sequence[SymbolKind]) -> list[Decoded]:
        """The codes of these kinds anywhere on the page."""
        return self._read((0, 0, self.width, self.height), kinds)

    def within(self, place: Place, kinds: Sequence[SymbolKind]) -> list[Decoded]:
        """The codes of these kinds whose middle is within a place.

        A QR code that is alone there, nothing else in its quiet zone, is read without being looked for.
        """
        x, y, width, height = place
        return [
            code
            for code in self._alone(place, kinds) or self._read(self._dots(place, AROUND), kinds)
            if 0 <= code.x + code.width / 2 - x <= width and 0 <= code.y + code.height / 2 - y <= height
        ]

    def _alone(self, place: Place, kinds: Sequence[SymbolKind]) -> list[Decoded]:
        """The QR code that fills a place, none where it is not alone, or turned; then no other is tried."""
        if kinds != QR or not self.file.are_alone:
            return []
        part = self._dots(place, ALONE)
        dots = self._rendered(part)
        found = read_alone(dots, self.file.dpi, part[:2]) if dots else []
        self.file.are_alone = bool(found)
        return found

    def _dots(self, place: Place, around: float) -> Part:
        """A place and so many mm around it, as far as it is on the page."""
        x, y, width, height = place
        left, top = (max(0, int((start - around) * self.dots_per_mm)) for start in (x, y))
        right = min(self.width, math.ceil((x + width + around) * self.dots_per_mm))
        bottom = min(self.height, math.ceil((y + height + around) * self.dots_per_mm))
        return left, top, right - left, bottom - top

    def _read(self, part: Part, kinds: Sequence[SymbolKind]) -> list[Decoded]:
        """The codes in a part of the page."""
        dots = self._rendered(part)
        return read_print(dots, self.file.dpi, kinds, part[:2]) if dots else []

    def _rendered(self, part: Part) -> memoryview | None:
        """The grey dots of a part of the page, widened to whole rows of the renderer's; None of no part."""
        left, top, width, height = part
        if width <= 0 or height <= 0:
            return None
        with PDFIUM:
            bitmap, dots = self.file.bitmap(width + -width % ROW, height + -height % ROW)
            ctypes.memset(bitmap.buffer, WHITE, bitmap.width * bitmap.height)
            place = (-left, -top, self.width, self.height, 0)
            raw.FPDF_RenderPageBitmap(bitmap, self.page, *place, raw.FPDF_ANNOT | raw.FPDF_GRAYSCALE)
        return dots

    def code_like(self) -> int:
        """How many things are drawn that could be codes: paths of many pieces, pictures, heaps of modules.

        Texts can be none.
        """
        with PDFIUM:
            page, count, small = ctypes.cast(self.page.raw, ctypes.c_void_p), 0, 0
            for number in range(raw.FPDFPage_CountObjects(self.page)):
                kind = KIND(THING(page, number))
                if kind == raw.FPDF_PAGEOBJ_TEXT:
                    continue
                thing = raw.FPDFPage_GetObject(self.page, number)
                if kind == raw.FPDF_PAGEOBJ_PATH and raw.FPDFPath_CountSegments(thing) <= PIECES:
                    small += _is_small(thing)
                else:
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

"""A finished set drawn again by plain reportlab calls, its codes encoded by plain qrcode: the plain loop.

What is drawn is taken from the printed files, by other libraries than those that wrote them: texts and shapes
by pdfium, codes by zxing-cpp, form fields by pikepdf. Taking it is not timed; drawing and encoding it is.
"""

import ctypes
import io
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache, partial
from itertools import groupby
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import qrcode
import zxingcpp
from pypdfium2 import raw
from reportlab.lib.colors import white
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from tagmaker.typeset.fonts import BOLD, PLAIN, face

__all__ = ["Printed", "Replay", "taken"]

LEVELS = {"L": 1, "M": 0, "Q": 3, "H": 2}  # qrcode's own numbers
DOTS_A_POINT = 8 * 25.4 / 72  # at which codes are read
SYMBOL_RUNS = 40  # so many rectangles in one shape are a symbol
HIDDEN = 2  # a flag of a note, ISO 32000-1 table 165 [memory]
Call = Callable[[Canvas], Any]


@dataclass(frozen=True)
class Code:
    """A printed QR code: its text and level, its lower left corner and side in points."""

    text: str
    level: str
    x: float
    y: float
    side: float


@dataclass(frozen=True)
class Printed:
    """A page as calls of a canvas, and its codes."""

    size: tuple[float, float]
    calls: tuple[Call, ...]
    codes: tuple[Code, ...]


def taken(path: Path) -> Iterator[Printed]:
    """The pages of a printed file, one at a time."""
    document = pypdfium2.PdfDocument(path)
    with pikepdf.open(path) as with_fields:
        for number, page in enumerate(document):
            calls, symbols = _drawn(page)
            notes: Iterable[Any] = with_fields.pages[number].obj.get("/Annots", ())
            fields = [_field(note) for note in notes]
            yield Printed(page.get_size(), (*calls, *fields), tuple(_codes(page, symbols)))
            page.close()
    document.close()


# --- texts and shapes ------------------------------------------------------------------------------------


def _drawn(page: Any) -> tuple[list[Call], list[tuple[float, ...]]]:
    """Texts and shapes of a page as calls, and the corners of its symbols."""
    calls: list[Call] = []
    symbols: list[tuple[float, ...]] = []
    for each in page.get_objects(textpage=page.get_textpage()):
        if each.type == raw.FPDF_PAGEOBJ_TEXT:
            calls += _text(each)
        elif each.type == raw.FPDF_PAGEOBJ_PATH:
            shape = _points(each)
            starts = sum(kind == raw.FPDF_SEGMENT_MOVETO for kind, _, _ in shape)
            if starts >= SYMBOL_RUNS:
                symbols.append(each.get_bounds())
            else:
                calls += _shape(each, shape)
    return calls, symbols


def _text(each: Any) -> Iterator[Call]:
    """A line of text: its ink, face and size, then itself."""
    _, _, _, scale, x, y = each.get_matrix().get()
    name = BOLD if "Bold" in each.get_font().get_base_name() else PLAIN
    size = each.get_font_size() * scale
    grey, text = _grey(each, raw.FPDFPageObj_GetFillColor), each.extract()
    yield lambda canvas: canvas.setFillGray(grey)
    yield lambda canvas: canvas.setFont(name, size)
    yield lambda canvas: canvas.drawString(x, y, text)


def _grey(each: Any, get: Callable[..., object]) -> float:
    inks = [ctypes.c_uint() for _ in range(4)]
    get(each, *inks)
    return inks[0].value / 255


def _points(each: Any) -> list[tuple[int, float, float]]:
    """The points of a shape on the page, each with what leads to it."""
    a, _, _, d, e, f = each.get_matrix().get()
    x, y = ctypes.c_float(), ctypes.c_float()
    found = []
    for index in range(raw.FPDFPath_CountSegments(each)):
        segment = raw.FPDFPath_GetPathSegment(each, index)
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        found.append((raw.FPDFPathSegment_GetType(segment), a * x.value + e, d * y.value + f))
    return found


def _shape(each: Any, points: list[tuple[int, float, float]]) -> Iterator[Call]:
    """A line, a rectangle or another path, with its inks."""
    mode, stroke, width = ctypes.c_int(), ctypes.c_int(), ctypes.c_float()
    raw.FPDFPath_GetDrawMode(each, mode, stroke)
    raw.FPDFPageObj_GetStrokeWidth(each, width)
    count = raw.FPDFPageObj_GetDashCount(each)
    dashes = (ctypes.c_float * count)()
    raw.FPDFPageObj_GetDashArray(each, dashes, count)
    line, fill = _grey(each, raw.FPDFPageObj_GetStrokeColor), _grey(each, raw.FPDFPageObj_GetFillColor)
    if stroke.value:
        lengths = list(dashes)
        yield lambda canvas: canvas.setStrokeGray(line)
        yield lambda canvas: canvas.setLineWidth(width.value)
        yield lambda canvas: canvas.setDash(lengths)
    if mode.value:
        yield lambda canvas: canvas.setFillGray(fill)
    kinds = [kind for kind, _, _ in points]
    inks = {"stroke": stroke.value, "fill": int(mode.value > 0)}
    if len(points) == 2:
        (_, x1, y1), (_, x2, y2) = points
        yield lambda canvas: canvas.line(x1, y1, x2, y2)
    elif raw.FPDF_SEGMENT_BEZIERTO not in kinds and len(points) in {4, 5}:
        xs, ys = [x for _, x, _ in points], [y for _, _, y in points]
        x, y, wide, high = min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)
        yield lambda canvas: canvas.rect(x, y, wide, high, **inks)
    else:
        yield partial(_path, points=points, inks=inks)


def _path(canvas: Canvas, points: list[tuple[int, float, float]], inks: dict[str, int]) -> None:
    path = canvas.beginPath()
    left = iter(points)
    for kind, x, y in left:
        if kind == raw.FPDF_SEGMENT_MOVETO:
            path.moveTo(x, y)
        elif kind == raw.FPDF_SEGMENT_LINETO:
            path.lineTo(x, y)
        else:
            (_, x2, y2), (_, x3, y3) = next(left), next(left)
            path.curveTo(x, y, x2, y2, x3, y3)
    path.close()
    canvas.drawPath(path, **inks)


# --- fields and codes ------------------------------------------------------------------------------------


def _field(note: Any) -> Call:
    """A form field with its name, tooltip and place."""
    left, bottom, right, top = (float(each) for each in note.Rect)
    place = {
        "x": left,
        "y": bottom,
        "name": str(note.T),
        "tooltip": str(note.get("/TU", "")),
        "fillColor": white,
    }
    if note.FT == "/Btn":
        return lambda canvas: canvas.acroForm.checkbox(
            **place, size=right - left, borderWidth=0.5, buttonStyle="cross", fieldFlags=""
        )
    flags = "hidden" if int(note.get("/F", 0)) & HIDDEN else "print"
    size = {"width": right - left, "height": top - bottom, "value": str(note.get("/V", "")), "maxlen": None}
    return lambda canvas: canvas.acroForm.textfield(
        **place, **size, borderWidth=0.4, fieldFlags="", annotationFlags=flags, fontSize=8
    )


def _codes(page: Any, symbols: list[tuple[float, ...]]) -> Iterator[Code]:
    """Every symbol of a page with the code that reads within it."""
    if not symbols:
        return
    picture = page.render(scale=DOTS_A_POINT, grayscale=True).to_pil()
    height = page.get_size()[1]
    for code in zxingcpp.read_barcodes(picture, formats=(zxingcpp.BarcodeFormat.QRCode,)):
        corners = code.position.top_left, code.position.bottom_right
        x = sum(corner.x for corner in corners) / 2 / DOTS_A_POINT
        y = height - sum(corner.y for corner in corners) / 2 / DOTS_A_POINT
        for left, bottom, right, top in symbols:
            if left < x < right and bottom < y < top:
                yield Code(code.text, code.ec_level, left, bottom, right - left)


# --- drawing it again ------------------------------------------------------------------------------------


@dataclass
class Replay:
    """Draws pages again: the seconds of one processor and on the clock, the codes drawn, the documents."""

    seconds: float = 0.0
    wall: float = 0.0
    codes: int = 0
    printed: list[bytes] = field(default_factory=list)

    def document(self, pages: Iterable[Printed]) -> None:
        """One document; only what draws and encodes is timed."""
        out = io.BytesIO()
        with self._timed():
            canvas = Canvas(out, invariant=1, pageCompression=1)
            for name in (PLAIN, BOLD):
                pdfmetrics.registerFont(TTFont(name, face(name).file.path))
        for page in pages:
            with self._timed():
                self._page(canvas, page)
        with self._timed():
            canvas.save()
        self.printed.append(out.getvalue())

    @contextmanager
    def _timed(self) -> Iterator[None]:
        processor, wall = time.process_time(), time.perf_counter()
        yield
        self.seconds += time.process_time() - processor
        self.wall += time.perf_counter() - wall

    def _page(self, canvas: Canvas, page: Printed) -> None:
        canvas.setPageSize(page.size)
        for call in page.calls:
            call(canvas)
        for code in page.codes:
            self._code(canvas, code)
        canvas.showPage()

    def _code(self, canvas: Canvas, code: Code) -> None:
        """Its dark modules, a rectangle a run."""
        rows = _encoded(code.text, code.level)
        side = code.side / len(rows)
        canvas.setFillGray(0)
        for number, row in enumerate(rows, start=1):
            column = 0
            for dark, run in groupby(row):
                count = sum(1 for _ in run)
                if dark:
                    x, y = code.x + column * side, code.y + code.side - number * side
                    canvas.rect(x, y, count * side, side, stroke=0, fill=1)
                column += count
        self.codes += 1


@cache
def _encoded(text: str, level: str) -> list[list[bool]]:
    code = qrcode.QRCode(error_correction=LEVELS[level], border=0)
    code.add_data(text)
    code.make(fit=True)
    modules: list[list[bool]] = code.modules
    return modules

"""Pages of marks as a PDF whose bytes depend on nothing but the marks."""

import io
from collections.abc import Iterable
from functools import cache
from typing import TYPE_CHECKING, Any

from tagmaker.draw.undated import undated
from tagmaker.marks import Bars, FaceFile, Field, Line, Mark, Page, Polygon, Rect, Text

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

__all__ = ["draw_pdf"]

MM = 72 / 25.4  # points a millimetre
FIELD_POINTS = 8
FIELD_CHARACTERS = 2000


def draw_pdf(title: str, author: str, pages: Iterable[Page], faces: tuple[FaceFile, ...]) -> bytes:
    """A PDF of the pages with every face embedded; the same pages give the same bytes."""
    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415 — heavy, and `check` draws nothing

    fonts = {face.name: _font(face) for face in faces}
    out = io.BytesIO()
    first = next(iter(fonts.values()), None)  # else every page would name Helvetica, which is not embedded
    with undated():
        canvas = Canvas(out, invariant=1, pageCompression=1, initialFontName=first)
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setCreator("tagmaker")
    for page in pages:
        canvas.setPageSize((page.width * MM, page.height * MM))
        if page.adjust:
            scale_x, scale_y, dx, dy = page.adjust
            canvas.transform(scale_x, 0, 0, scale_y, dx * MM, (page.height * (1 - scale_y) - dy) * MM)
        pen = _Pen(canvas, page.height, fonts)
        for mark in page.marks:
            pen.draw(mark)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


@cache
def _font(face: FaceFile) -> str:
    """The name under which a face is known to reportlab, its substitute glyphs in place."""
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415 — as above
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415

    font = TTFont(f"tagmaker-{face.name}", face.path)
    for character, glyph in face.glyphs:
        font.face.charToGlyph[ord(character)] = glyph
    pdfmetrics.registerFont(font)
    return str(font.fontName)


class _Pen:
    """Draws marks on one page; turns millimetres from the top into points from the bottom."""

    def __init__(self, canvas: "Canvas", height: float, fonts: dict[str, str]) -> None:
        self.canvas: Any = canvas
        self.height = height
        self.fonts = fonts

    def draw(self, mark: Mark) -> None:
        match mark:
            case Text():
                self.text(mark)
            case Rect():
                self.rect(mark)
            case Line():
                self.line(mark)
            case Polygon():
                self.polygon(mark)
            case Bars():
                self.bars(mark)
            case Field():
                self.field(mark)

    def up(self, y: float) -> float:
        return (self.height - y) * MM

    def text(self, mark: Text) -> None:
        self.canvas.setFillGray(mark.ink)
        self.canvas.setFont(self.fonts[mark.face], mark.size * MM)
        draw = {
            "left": self.canvas.drawString,
            "center": self.canvas.drawCentredString,
            "right": self.canvas.drawRightString,
        }[mark.align]
        draw(mark.x * MM, self.up(mark.y), mark.text)

    def rect(self, mark: Rect) -> None:
        self.stroke(mark.line, mark.ink, mark.dash)
        if mark.fill is not None:
            self.canvas.setFillGray(mark.fill)
        options = {"stroke": int(mark.line > 0), "fill": int(mark.fill is not None)}
        x, y = mark.x * MM, self.up(mark.y + mark.height)
        if mark.radius:
            self.canvas.roundRect(x, y, mark.width * MM, mark.height * MM, mark.radius * MM, **options)
        else:
            self.canvas.rect(x, y, mark.width * MM, mark.height * MM, **options)

    def line(self, mark: Line) -> None:
        self.stroke(mark.width, mark.ink, mark.dash)
        self.canvas.line(mark.x1 * MM, self.up(mark.y1), mark.x2 * MM, self.up(mark.y2))

    def stroke(self, width: float, ink: float, dash: tuple[float, ...]) -> None:
        self.canvas.setStrokeGray(ink)
        self.canvas.setLineWidth(width * MM)
        self.canvas.setDash([length * MM for length in dash] or [])

    def polygon(self, mark: Polygon) -> None:
        self.canvas.setFillGray(mark.fill)
        path = self.canvas.beginPath()
        (x, y), *rest = mark.points
        path.moveTo(x * MM, self.up(y))
        for x, y in rest:
            path.lineTo(x * MM, self.up(y))
        path.close()
        self.canvas.drawPath(path, stroke=0, fill=1)

    def bars(self, mark: Bars) -> None:
        """One path for the whole symbol, so that no hairline shows between its cells."""
        self.canvas.setFillGray(0)
        path = self.canvas.beginPath()
        for column, row, columns, rows in mark.runs:
            y = mark.y + (row + rows) * mark.cell_height
            path.rect(
                (mark.x + column * mark.cell_width) * MM,
                self.up(y),
                columns * mark.cell_width * MM,
                rows * mark.cell_height * MM,
            )
        self.canvas.drawPath(path, stroke=0, fill=1)

    def field(self, mark: Field) -> None:
        """A form field, empty; a kept one is hidden and cannot be changed."""
        from reportlab.lib.colors import white  # noqa: PLC0415 — as above

        form = self.canvas.acroForm
        place = {
            "x": mark.x * MM,
            "y": self.up(mark.y + mark.height),
            "name": mark.name,
            "tooltip": mark.told,
        }
        if mark.kind == "check":
            size = min(mark.width, mark.height) * MM
            form.checkbox(
                **place, size=size, borderWidth=0.5, fillColor=white, buttonStyle="cross", fieldFlags=""
            )
            return
        options = {
            "fieldFlags": "", "annotationFlags": "print", "borderWidth": 0.4, "maxlen": FIELD_CHARACTERS
        }  # fmt: skip
        if mark.kind == "kept":
            flags = {"fieldFlags": "readOnly multiline", "annotationFlags": "hidden"}
            options = {**flags, "borderWidth": 0, "maxlen": None}
        form.textfield(
            **place,
            **options,
            width=mark.width * MM,
            height=mark.height * MM,
            value=mark.value,
            fillColor=white,
            fontSize=FIELD_POINTS,
        )

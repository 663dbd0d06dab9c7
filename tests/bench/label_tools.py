"""Labels by what an engineer would take in place of this program: typst, fpdf2, reportlab.

Takes a file of texts, JSON, and writes a PDF. Texts and sizes are given, and nothing is fitted; codes are
zxing-cpp's, which encodes in compiled code. It is run by `tests.bench.labels`; typst and fpdf2 are the extra
`bench`. Nothing of this program is imported but where its typeface is.
"""

import json
import re
import sys
import tempfile
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any

import zxingcpp

from tagmaker.typeset.fonts import BOLD, FILES, font_folder

__all__ = ["TOOLS", "by_fpdf2", "by_reportlab", "by_typst"]

PAGE, LABEL, COLUMNS, ROWS = (215.9, 279.4), (66.7, 25.4), 3, 10  # mm
EDGE = (7.9, 12.7)  # mm at the left and the top of a sheet
SIDE, CODE = 12.0, (52.0, 6.0)  # mm of a code, and where it is on its label
POINTS = 72 / 25.4
PLACES = (
    ("port", 2.0, 17.0, 14.0),
    ("box", 16.0, 8.0, 5.0),
    ("kind", 16.0, 14.0, 4.0),
    ("unit", 16.0, 21.0, 4.0),
)
"""Where each text is on a label: its left end, its line and its size, in mm."""
Text = dict[str, str]


def corners() -> Iterator[tuple[int, float, float]]:
    """The number of each label, from 0, and its corner on its sheet in mm."""
    for number in count():
        row, column = divmod(number % (COLUMNS * ROWS), COLUMNS)
        yield number, EDGE[0] + column * LABEL[0], EDGE[1] + row * LABEL[1]


def runs_of(text: str) -> Iterator[tuple[float, float, float, float]]:
    """A QR code's dark cells as rectangles within the code's square, in mm."""
    symbol = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    cells = memoryview(symbol.to_image(add_quiet_zones=False))
    rows, _ = cells.shape or (0, 0)
    cell = SIDE / rows
    for row in range(rows):
        dark = "".join("0" if cells[row, column] else "1" for column in range(rows))
        for run_of in re.finditer("1+", dark):
            yield run_of.start() * cell, row * cell, (run_of.end() - run_of.start()) * cell, cell


def by_reportlab(texts: Path, out: Path) -> None:
    """A call of a canvas for each text, a path for each code."""
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415 — each tool loads its own
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415
    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415

    pdfmetrics.registerFont(TTFont("bold", str(font_folder() / FILES[BOLD])))
    canvas: Any = Canvas(str(out), pagesize=tuple(side * POINTS for side in PAGE))
    for text, (number, x, y) in zip(json.loads(texts.read_bytes()), corners(), strict=False):
        if number and number % (COLUMNS * ROWS) == 0:
            canvas.showPage()
        for key, left, line, size in PLACES:
            canvas.setFont("bold", size * POINTS)
            canvas.drawString((x + left) * POINTS, (PAGE[1] - y - line) * POINTS, text[key])
        path = canvas.beginPath()
        for left, top, wide, high in runs_of(text["code"]):
            foot = PAGE[1] - y - CODE[1] - top - high
            path.rect((x + CODE[0] + left) * POINTS, foot * POINTS, wide * POINTS, high * POINTS)
        canvas.drawPath(path, stroke=0, fill=1)
    canvas.save()


def by_fpdf2(texts: Path, out: Path) -> None:
    """A call for each text and for each run of a code's cells."""
    from fpdf import FPDF  # noqa: PLC0415 — an extra of its own

    pdf = FPDF(unit="mm", format=PAGE)
    pdf.set_auto_page_break(auto=False)
    pdf.add_font("bold", fname=str(font_folder() / FILES[BOLD]))
    for text, (number, x, y) in zip(json.loads(texts.read_bytes()), corners(), strict=False):
        if number % (COLUMNS * ROWS) == 0:
            pdf.add_page()
        for key, left, line, size in PLACES:
            pdf.set_font("bold", size=size * POINTS)
            pdf.text(x + left, y + line, text[key])
        for left, top, wide, high in runs_of(text["code"]):
            pdf.rect(x + CODE[0] + left, y + CODE[1] + top, wide, high, style="F")
    pdf.output(str(out))


TEMPLATE = """
#set page(width: {wide}mm, height: {high}mm, margin: (x: 7.9mm, y: 12.7mm))
#set text(font: "IBM Plex Sans", stretch: 75%, weight: "bold")
#set block(spacing: 0mm)
#let label(it) = block(width: 66.7mm, height: 25.4mm, breakable: false, {{
  {places}
  place(dx: 52mm, dy: 6mm, image(bytes(it.svg), format: "svg", width: 12mm))
}})
#let all = json("texts.json")
#grid(columns: 3, ..all.map(label))
"""


def by_typst(texts: Path, out: Path) -> None:
    """A grid of labels with fixed sizes; codes as pictures."""
    import typst  # noqa: PLC0415 — an extra of its own

    places = "\n  ".join(
        f"place(dx: {left}mm, dy: {line - 0.7 * size}mm, text(size: {size}mm, it.{key}))"
        for key, left, line, size in PLACES
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "main.typ").write_text(TEMPLATE.format(wide=PAGE[0], high=PAGE[1], places=places))
        all_texts = [each | {"svg": _svg(each["code"])} for each in json.loads(texts.read_bytes())]
        (folder / "texts.json").write_text(json.dumps(all_texts))
        typst.compile(folder / "main.typ", output=str(out), font_paths=[str(font_folder())])


def _svg(text: str) -> str:
    symbol = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    return str(symbol.to_svg(add_quiet_zones=False))


TOOLS: dict[str, Callable[[Path, Path], None]] = {
    "typst": by_typst,
    "fpdf2": by_fpdf2,
    "reportlab": by_reportlab,
}

if __name__ == "__main__":
    TOOLS[sys.argv[1]](Path(sys.argv[2]), Path(sys.argv[3]))

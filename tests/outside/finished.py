"""Finished sets made for real, the codes of their PDFs read by zxing-cpp past the program's own reader."""

import csv
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import pypdfium2
import zxingcpp
from PIL.Image import Image

from tagmaker import pipeline
from tagmaker.plan.records import Plan

ROOT = Path(__file__).resolve().parent.parent.parent
MISTAKES = "full-of-mistakes"
EXAMPLES = tuple(
    sorted(
        path.parent.name
        for path in (ROOT / "example_jobs").glob("*/job.toml")
        if path.parent.name != MISTAKES
    )
)
BAR_CODES = "letter-10-102x51"
PRINTS = {
    "every label a bar code": f'pipe = "{BAR_CODES}"\ncable = "{BAR_CODES}"\nterminal = "{BAR_CODES}"',
    "a roll of labels, A4 placard": 'pipe = "roll-51x25-203dpi"\ncable = "a4-21-63x38"\nplacard = "a4"',
    "placards on two labels": 'placard = "4x6"',
}
"""What the smallest example prints on otherwise, so that every stock and both kinds of symbol are read."""
DPI = 300
MM = 25.4 / DPI


@dataclass(frozen=True)
class Read:
    """A symbol as zxing-cpp reads it: text, kind, error level, and its box in mm from the page's top left."""

    text: str
    kind: str
    level: str
    x: float
    y: float
    right: float
    bottom: float


@dataclass(frozen=True)
class Finished:
    """A job's finished set: its plan, its register, and its PDFs."""

    name: str
    plan: Plan
    out: Path

    @cached_property
    def register(self) -> list[dict[str, str]]:
        """The rows of register.csv."""
        with (self.out / "register.csv").open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    @cached_property
    def tag_files(self) -> list[str]:
        """The label files that are there, whatever the register says."""
        return sorted(path.name for path in self.out.glob("tags-*.pdf"))

    @cached_property
    def reads(self) -> dict[tuple[str, int], list[Read]]:
        """Every symbol of every page of every PDF, by file and page from 1."""
        return {
            (path.name, number): read(picture)
            for path in sorted(self.out.glob("*.pdf"))
            for number, picture in pages(path)
        }


def make(name: str, folder: Path) -> Finished:
    """A finished set of an example job, or of the smallest one printed on other stocks."""
    source = ROOT / "example_jobs" / ("bakery" if name in PRINTS else name)
    job = shutil.copytree(source, folder / "job")
    if name in PRINTS:
        with (job / "job.toml").open("a", encoding="utf-8") as file:
            file.write(f"\n[print]\n{PRINTS[name]}\n")
    made = pipeline.make(job, folder / "out")
    assert made.files
    assert made.checked.plan is not None
    return Finished(name, made.checked.plan, folder / "out")


def pages(pdf: Path) -> Iterator[tuple[int, Image]]:
    """Each page as a grey picture at 300 dpi, numbered from 1."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        for number, page in enumerate(document, start=1):
            yield number, page.render(scale=DPI / 72, grayscale=True).to_pil()
    finally:
        document.close()


def read(picture: Image) -> list[Read]:
    """Every QR code and Code 128 of a picture."""
    formats = (zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.Code128)
    return [_read(code) for code in zxingcpp.read_barcodes(picture, formats=formats)]


def _read(code: zxingcpp.Barcode) -> Read:
    place = code.position
    corners = (place.top_left, place.top_right, place.bottom_left, place.bottom_right)
    xs, ys = sorted(corner.x * MM for corner in corners), sorted(corner.y * MM for corner in corners)
    kind = "qr" if code.format == zxingcpp.BarcodeFormat.QRCode else "code128"
    return Read(code.text, kind, code.ec_level, xs[0], ys[0], xs[-1], ys[-1])

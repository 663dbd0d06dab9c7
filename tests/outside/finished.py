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

from tagmaker.catalog.stock import Stock
from tagmaker.plan.model import Plan
from tagmaker.revisions.selection import Selection
from tagmaker.symbols.encode import code128, qr
from tagmaker.workflows import make as workflow
from tests.paths import ROOT
from tests.records import replace

MISTAKES = "full-of-mistakes"
EXAMPLES = tuple(
    sorted(
        path.parent.name
        for path in (ROOT / "example_jobs").glob("*/job.toml")
        if path.parent.name != MISTAKES
    )
)
PRINTS = {
    "bar codes": {
        "pipe": "letter-10-102x51",
        "cable": "letter-10-102x51",
        "terminal": "tape-12-cut-90-203dpi",
        "locator": "letter-10-102x51",
        "placard": "letter",
    },
    "A4 sheets": {
        "pipe": "a4-21-63x38",
        "cable": "a4-65-38x21",
        "terminal": "a4-65-38x21",
        "locator": "a4-21-63x38",
        "placard": "a4",
    },
    "letter sheets": {
        "pipe": "letter-8-tie-on-102x64",
        "cable": "letter-25-wrap-38x51",
        "terminal": "letter-80-44x13",
        "locator": "letter-30-67x25",
        "placard": "half-letter",
    },
    "rolls of labels": {
        "pipe": "tape-25-cut-60-203dpi",
        "cable": "roll-51x25-300dpi",
        "terminal": "roll-51x25-203dpi",
        "locator": "roll-51x25-300dpi",
        "placard": "4x6",
    },
    "tapes": {
        "pipe": "tape-25-cut-60-203dpi",
        "terminal": "tape-12-strip-300dpi",
        "terminal_pitch": "0.4 in",
        "placard": "4x6-300dpi",
    },
    "flags and tie-ons": {
        "pipe": "roll-tie-on-76x51-203dpi",
        "cable": "roll-flag-102x25-300dpi",
        "terminal": "tape-12-cut-45-300dpi",
        "placard": "a5",
    },
    "pipe flags and cable wraps": {"pipe": "roll-flag-254x38-203dpi", "cable": "roll-wrap-38x51-300dpi"},
    "pipe wraps of letter sheet": {"pipe": "letter-5-pipe-wrap-254x38"},
    "pipe wraps of A4 sheet": {"pipe": "a4-5-pipe-wrap-254x38", "placard": "a4"},
    "tie-on tags at 300 dpi": {"pipe": "roll-tie-on-76x51-300dpi"},
    "pipe wraps of 6 in": {"pipe": "roll-pipe-wrap-152x38-203dpi"},
    "pipe wraps of 10 in": {"pipe": "roll-pipe-wrap-254x38-203dpi"},
    "pipe wraps of 16 in": {"pipe": "roll-pipe-wrap-406x38-203dpi"},
}
"""What the smallest example prints on otherwise, so that every stock's codes are read."""
DIAMETERS = 'liquid = "3/8 in"\ngas = "5/8 in"\ninsulation = "3/8 in"\ncable = "0.26 in"\n'
"""What its rows then give too: wraps and flags must be told what they go round."""
PLACARDS = "placards.pdf"
WALK = "walk.pdf"
SYSTEMS = "systems.pdf"
DAYS = "first-days.pdf"
WALK_DPI = 203  # of a coarse printer
DPI = 300
ROUGH_DPI = 150  # shows whether there is a code
MM = 25.4 / DPI
WHITE = 250
EDGE_MM = 0.2  # zxing-cpp gives corners in whole pixels; an edge is blurred over one or two


@dataclass(frozen=True)
class Read:
    """A symbol as zxing-cpp reads it: text, kind, error level, and its box in mm from the page's top left.

    `is_quiet`: nothing is printed in its quiet zone.
    """

    text: str
    kind: str
    level: str
    x: float
    y: float
    right: float
    bottom: float
    is_quiet: bool


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

    @property
    def coded(self) -> list[dict[str, str]]:
        """The rows whose labels carry codes; a strip has no room for one, no reader reaches a locator."""
        codeless = {f"tags-{each.name}.pdf" for each in self.stocks if each.symbol == "none"}
        return [row for row in self.register if row["file"] not in codeless and row["kind"] != "locator"]

    @property
    def stocks(self) -> list[Stock]:
        """The stocks that the job may print on."""
        return list(self.plan.job.prints.stocks.values())

    @cached_property
    def tag_files(self) -> list[str]:
        """The label files that are there, whatever the register says."""
        return sorted(path.name for path in self.out.glob("tags-*.pdf"))

    @cached_property
    def reads(self) -> dict[tuple[str, int], list[Read]]:
        """Every symbol of every page of label files and placards, by file and page from 1."""
        files = (*self.tag_files, PLACARDS)
        return {(file, number): read(picture) for file in files for number, picture in pages(self.out / file)}

    @property
    def walk_reads(self) -> list[list[str]]:
        """The texts of the symbols on each page of the verification sheets, at a coarse printer's dots."""
        return self._reads(WALK)

    @property
    def system_reads(self) -> list[list[str]]:
        """The same of the sheets of systems; none where the job has no systems."""
        return self._reads(SYSTEMS) if (self.out / SYSTEMS).exists() else []

    @property
    def days_reads(self) -> list[list[str]]:
        """The same of the sheets of first days."""
        return self._reads(DAYS) if (self.out / DAYS).exists() else []

    def _reads(self, name: str) -> list[list[str]]:
        pictures = (picture for _, picture in pages(self.out / name, WALK_DPI))
        return [[code.text for code in zxingcpp.read_barcodes(picture)] for picture in pictures]

    @property
    def other_reads(self) -> list[str]:
        """The texts of every symbol on any other page, where none should stand."""
        coded = {*self.tag_files, PLACARDS, WALK, SYSTEMS, DAYS}
        others = (path for path in sorted(self.out.glob("*.pdf")) if path.name not in coded)
        pictures = (picture for path in others for _, picture in pages(path, ROUGH_DPI))
        return [code.text for picture in pictures for code in zxingcpp.read_barcodes(picture)]


def make(name: str, folder: Path) -> Finished:
    """A finished set of an example job, or of the smallest one printed on other stocks."""
    source = ROOT / "example_jobs" / ("bakery" if name in PRINTS else name)
    job = shutil.copytree(source, folder / "job")
    if name in PRINTS:
        text = (job / "job.toml").read_text(encoding="utf-8").replace("[[unit]]\n", f"[[unit]]\n{DIAMETERS}")
        prints = "".join(f'{use} = "{stock}"\n' for use, stock in PRINTS[name].items())
        (job / "job.toml").write_text(f"{text}\n[print]\n{prints}", encoding="utf-8")
    made = workflow.make(job, folder / "out", selection=Selection(proof=False))
    assert made.files
    assert made.checked.plan is not None
    return Finished(name, made.checked.plan, folder / "out")


def pages(pdf: Path, dpi: float = DPI) -> Iterator[tuple[int, Image]]:
    """Each page as a grey picture, numbered from 1."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        for number, page in enumerate(document, start=1):
            yield number, page.render(scale=dpi / 72, grayscale=True).to_pil()
    finally:
        document.close()


def read(picture: Image) -> list[Read]:
    """Every QR code and Code 128 of a picture."""
    formats = (zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.Code128)
    return [_read(code, picture) for code in zxingcpp.read_barcodes(picture, formats=formats)]


def _read(code: zxingcpp.Barcode, picture: Image) -> Read:
    place = code.position
    corners = (place.top_left, place.top_right, place.bottom_left, place.bottom_right)
    xs, ys = sorted(corner.x * MM for corner in corners), sorted(corner.y * MM for corner in corners)
    kind = "qr" if code.format == zxingcpp.BarcodeFormat.QRCode else "code128"
    found = Read(code.text, kind, code.ec_level, xs[0], ys[0], xs[-1], ys[-1], is_quiet=False)
    return replace(found, is_quiet=all(is_white(picture, strip) for strip in quiet_strips(found)))


def quiet_strips(code: Read) -> list[tuple[float, float, float, float]]:
    """The strips (left, top, right, bottom, in mm) that must be white, up to the edge's own blur.

    Widths of quiet zones: 4 modules around a QR code, ISO/IEC 18004, 10 at a Code 128's ends,
    ISO/IEC 15417 [read].
    """
    bars = code.kind == "code128"
    columns = (code128(code.text) if bars else qr(code.text, code.level)).columns
    quiet = (10 if bars else 4) * (code.right - code.x) / columns - EDGE_MM
    left = (code.x - quiet, code.y, code.x - EDGE_MM, code.bottom)
    right = (code.right + EDGE_MM, code.y, code.right + quiet, code.bottom)
    above = (code.x - quiet, code.y - quiet, code.right + quiet, code.y - EDGE_MM)
    below = (code.x - quiet, code.bottom + EDGE_MM, code.right + quiet, code.bottom + quiet)
    return [left, right] if bars else [left, right, above, below]


def is_white(picture: Image, strip: tuple[float, float, float, float]) -> bool:
    """Whether a strip of a page is bare paper; beyond the page there is none to print on."""
    left, top, right, bottom = (round(mm / MM) for mm in strip)
    place = (max(0, left), max(0, top), min(picture.width, right), min(picture.height, bottom))
    darkest = picture.crop(place).getextrema()[0]
    return float(str(darkest)) >= WHITE

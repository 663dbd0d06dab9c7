"""Real sets as 1-bit PNG files at their printers' dots, read by two decoders that know nothing of each other.

Every label stock is printed on: rolls at their own 203 or 300 dots an inch, sheets cut to one bit at 203.
Each label is cut out where the register says that it lies, and read by zxing-cpp and by zbar. On stocks with
a printer's dots, symbols are measured too: a QR module is whole dots, 4 or more [read], and 0.4 mm or more
(common practice).
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from pyzbar import pyzbar

from tagmaker.catalog.stock import Stock
from tagmaker.revisions.selection import Selection
from tagmaker.workflows import make
from tests.job_files import write_files
from tests.records import replace
from tests.strategies import label_stocks

PRINTS = (
    {"pipe": "letter-8-tie-on-102x64", "cable": "a4-65-38x21", "terminal": "letter-80-44x13"},
    {"pipe": "roll-flag-254x38-203dpi", "cable": "letter-25-wrap-38x51", "terminal": "tape-12-cut-45-300dpi"},
    {"pipe": "roll-pipe-wrap-152x38-203dpi", "cable": "roll-flag-102x25-300dpi", "terminal": "a4-65-38x21"},
    {"pipe": "roll-pipe-wrap-254x38-203dpi", "cable": "roll-wrap-38x51-300dpi", "locator": "a4-21-63x38"},
    {
        "pipe": "roll-pipe-wrap-406x38-203dpi",
        "terminal": "tape-12-cut-90-203dpi",
        "locator": "letter-10-102x51",
    },
    {"pipe": "roll-tie-on-76x51-203dpi", "cable": "roll-51x25-300dpi", "terminal": "roll-51x25-203dpi"},
    {"pipe": "roll-tie-on-76x51-300dpi"},
    {"pipe": "letter-5-pipe-wrap-254x38"},
    {"pipe": "a4-5-pipe-wrap-254x38"},
    {"pipe": "tape-25-cut-60-203dpi", "terminal": "tape-12-strip-300dpi", "terminal_pitch": "0.4 in"},
)
"""Which stock serves what, so that each is printed on; cables not named are on the sheet of 30."""
MEASURES = 'liquid = "3/8 in"\ngas = "5/8 in"\ninsulation = "3/8 in"\ncable = "0.26 in"\n'
JOB = f"""[job]
name = "Tide Street Bakery"
family = "four-port-boards"
[[box]]
tag = "BX-1"
ports = 4
place = "Roof void"
mains = {{ liquid = "1/2 in", suction = "3/4 in", insulation = "3/8 in" }}
[[unit]]
unit = "FC-1"
box = "BX-1"
port = "A"
capacity = "9 kBtu/h"
room = "Shop"
{MEASURES}
[[unit]]
unit = "AH-1"
box = "BX-1"
port = "C+D"
capacity = "72 kBtu/h"
room = "Bakehouse"
{MEASURES}
"""
PORTS = Selection(only=("BX-1/A", "BX-1/B", "BX-1/C", "BX-1/D"))
"""Tags alone: their pictures take long enough."""
Dots = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
FINDER = 7  # modules, the side of a QR code's finder pattern, ISO/IEC 18004 [memory]
FIRST_BAR = 2  # modules, of a Code 128's start character, ISO/IEC 15417 [memory]
LEAST_DOTS = 4  # a QR module [read]
LEAST_MM = 0.4  # a QR module that a phone reads at arm's length (common practice)


@dataclass(frozen=True)
class Label:
    """A row of the register, and its label in one bit, cut out of its PNG file."""

    code: str
    stock: Stock
    picture: Image.Image
    is_one_bit: bool

    @cached_property
    def ink(self) -> Dots:
        """Its dark dots."""
        return np.asarray(self.picture) < 128

    def symbol(self) -> Dots:
        """The dots of its symbol, cut along the edges of its ink, where zxing-cpp finds it."""
        (code,) = zxingcpp.read_barcodes(self.picture)
        place = code.position
        xs = sorted(
            corner.x for corner in (place.top_left, place.bottom_left, place.top_right, place.bottom_right)
        )
        ys = sorted(
            corner.y for corner in (place.top_left, place.bottom_left, place.top_right, place.bottom_right)
        )
        reach = 4  # dots, less than a quiet zone
        area = self.ink[max(0, ys[0] - reach) : ys[-1] + reach, max(0, xs[0] - reach) : xs[-1] + reach]
        rows, columns = np.flatnonzero(area.any(axis=1)), np.flatnonzero(area.any(axis=0))
        return area[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


@pytest.fixture(scope="module", params=PRINTS, ids=lambda prints: prints["pipe"])
def labels(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> list[Label]:
    """Every label with a code of a set that is made for real with `--png`."""
    folder = tmp_path_factory.mktemp("set")
    prints = "".join(f'{use} = "{stock}"\n' for use, stock in request.param.items())
    write_files(folder / "job", {"job.toml": f"{JOB}\n[print]\n{prints}"})
    part = Selection() if "locator" in request.param else PORTS
    made = make.make(folder / "job", folder / "out", replace(part, proof=False, png=True))
    assert made.files
    assert made.checked.plan
    stocks = {stock.name: stock for stock in label_stocks()}
    found = list(read_labels(folder / "out", stocks))
    assert len(found) == made.tags
    locators = {label.code for label in found if label.code.endswith("/LOC")}  # no reader reaches the ceiling
    return [label for label in found if label.stock.symbol != "none" and label.code not in locators]


def read_labels(out: Path, stocks: dict[str, Stock]) -> Iterator[Label]:
    """The labels of a set, in the register's order."""
    with (out / "register.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        stem = row["file"].removesuffix(".pdf")
        stock = stocks[stem.removeprefix("tags-")]
        dots = stock.dots_per_mm or 8
        with Image.open(out / "png" / f"{stem}-{row['page']}.png") as picture:
            assert float(picture.info["dpi"][0]) == pytest.approx(dots * 25.4, abs=0.02)
            x, y, width, height = (
                float(row[key]) * dots for key in ("x_mm", "y_mm", "width_mm", "height_mm")
            )
            room = (round(x), round(y), round(x + width), round(y + height))
            grey = picture.convert("L").crop(room)
            one_bit = grey.point(lambda value: 255 * (value >= 128))
            yield Label(row["code"], stock, one_bit, picture.mode == "1")


def with_paper(picture: Image.Image) -> Image.Image:
    """A label on white paper: zbar wants room around a symbol."""
    paper = Image.new("L", (picture.width + 40, picture.height + 40), 255)
    paper.paste(picture, (20, 20))
    return paper


# --- read ---------------------------------------------------------------------------------------------------


def test_every_label_stock_is_printed_on() -> None:
    """No stock ships whose codes nobody reads here."""
    used = {stock for prints in PRINTS for stock in prints.values()} | {"letter-30-67x25"}
    assert {stock.name for stock in label_stocks()} - used == set()


def test_thermal_printers_get_one_bit(labels: list[Label]) -> None:
    """A stock with a printer's dots has black and white pictures; a sheet's are grey, for a screen."""
    assert [label.code for label in labels if label.is_one_bit != (label.stock.dots_per_mm > 0)] == []


def test_every_code_reads_with_zxing(labels: list[Label]) -> None:
    """One symbol a label, and it says what its row of the register says."""
    read = [[code.text for code in zxingcpp.read_barcodes(label.picture)] for label in labels]
    assert read == [[label.code] for label in labels]


def test_every_code_reads_with_zbar(labels: list[Label]) -> None:
    """A second reader, which shares nothing with the first, reads the same."""
    read = [[code.data.decode() for code in pyzbar.decode(with_paper(label.picture))] for label in labels]
    assert read == [[label.code] for label in labels]


# --- measured -----------------------------------------------------------------------------------------------


def dotted(labels: list[Label], symbol: str) -> list[Label]:
    """The labels of stocks with a printer's dots and that kind of symbol."""
    return [label for label in labels if label.stock.dots_per_mm and label.stock.symbol == symbol]


def test_modules_are_whole_dots(labels: list[Label]) -> None:
    """A QR module is 4 dots and 0.4 mm or more, all its dots alike; a side is 17 + 4 x version modules.

    ISO/IEC 18004 [read]; the module's size from the finder pattern's top edge, 7 modules [memory].
    """
    for label in dotted(labels, "qr"):
        dots = label.symbol()
        module, left = divmod(int(np.flatnonzero(~dots[0])[0]), FINDER)
        assert (left, module >= LEAST_DOTS) == (0, True)
        assert module / label.stock.dots_per_mm >= LEAST_MM
        modules = dots.shape[0] // module
        assert dots.shape == (modules * module, modules * module)
        assert (modules - 17) % 4 == 0
        cells = dots.reshape(modules, module, modules, module)
        assert (cells == cells[:, :1, :, :1]).all()


def test_bars_are_whole_dots(labels: list[Label]) -> None:
    """A Code 128's bars and spaces are 1 to 4 modules of whole dots, 0.25 mm or more [practice].

    11 modules a character and 13 for the stop, ISO/IEC 15417 [read].
    """
    for label in dotted(labels, "code128"):
        dots = label.symbol()
        assert (dots == dots[:1]).all()
        edges = np.flatnonzero(np.diff(dots[0].astype(np.int8))) + 1
        widths = np.diff([0, *edges.tolist(), dots.shape[1]])
        module, left = divmod(int(widths[0]), FIRST_BAR)
        assert (left, module / label.stock.dots_per_mm >= 0.25) == (0, True)
        assert set((widths % module).tolist()) == {0}
        assert set((widths // module).tolist()) <= {1, 2, 3, 4}
        assert (dots.shape[1] // module - 13) % 11 == 0


def test_something_was_measured(labels: list[Label]) -> None:
    """Each set has stocks with a printer's dots, unless it is of sheets alone."""
    measured = [*dotted(labels, "qr"), *dotted(labels, "code128")]
    assert (measured == []) == all(label.stock.kind == "sheet" for label in labels)

"""Symbols measured on rasters of the finished pages, dot by dot, as their printer would put them down.

A page is rasterised at its stock's dots (600 to the inch, 24 a millimetre, where it has no dot grid) and cut
to one bit. From ISO/IEC 18004 [read]: a QR code's side is 17 + 4 modules a version, its quiet zone 4 modules;
from memory: its finder patterns are 1:1:3:1:1, its timing patterns alternate. From ISO/IEC 15417 [read]: 11
modules a character, 13 for the stop, a quiet zone of 10; from memory: elements of 1 to 4 modules, an even
number of them in a character's bars, the start characters and the stop as below.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np
import pypdfium2
import pytest
import zxingcpp

from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import Stock, load_stock
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Where
from tagmaker.sheets.label import fit_label
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.place import place_labels, tag_pages
from tagmaker.tags.kits import box_tags
from tagmaker.typeset.fonts import all_faces
from tests.records import replace
from tests.strategies import JobSketch, first_box, label_stocks, one_box, words
from tests.tags.facts import code_texts

FINE_DOTS = 24
TRIFLE = 0.001  # of a dot, so that a renderer rounds no page up to one dot more
QR_QUIET, BARS_QUIET = 4, 10
STARTS = {(2, 1, 1, 4, 1, 2), (2, 1, 1, 2, 1, 4), (2, 1, 1, 2, 3, 2)}
STOP = (2, 3, 3, 1, 1, 1, 2)
MODULE_LEAST_MM = 0.4  # that a phone reads at arm's length (common practice)
DOTS_A_MODULE = 4  # that a QR code's module needs at least [read]
BAR_LEAST_MM = 0.25  # of bars that a hand scanner reads (common practice)
STOCKS = tuple(stock for stock in label_stocks() if stock.symbol != "none")
JOB = one_box(("FC-1", "A", "12 kBtu/h"), ("FC-2", "B", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))
LABELS = 12
INSIDE = 2  # dots from a symbol's edge, where no sliver of a dot is left
Dots = np.ndarray[tuple[int, int], np.dtype[np.bool_]]


@dataclass(frozen=True)
class Symbol:
    """A symbol on its label or page, in dots: True is ink; `left` to `bottom` is the box around its ink.

    It is turned clockwise by so many `quarters`.
    """

    text: str
    kind: str
    dots: Dots
    grey: int
    left: int
    top: int
    right: int
    bottom: int
    quarters: int

    @property
    def ink(self) -> Dots:
        """The symbol alone, upright."""
        return np.rot90(self.dots[self.top : self.bottom, self.left : self.right], self.quarters)


def raster(page: Page, dots_per_mm: float) -> "np.ndarray[tuple[int, int], np.dtype[np.uint8]]":
    """A page's greys, a value a dot; filled up to whole dots, so that a renderer stretches none."""
    width, height = (
        (math.ceil(each * dots_per_mm) - TRIFLE) / dots_per_mm for each in (page.width, page.height)
    )
    page = replace(page, width=width, height=height)
    document = pypdfium2.PdfDocument(draw_pdf("", "", [page], all_faces()))
    try:
        picture = document[0].render(scale=dots_per_mm * 25.4 / 72, grayscale=True).to_numpy()
    finally:
        document.close()
    return np.asarray(picture).reshape(picture.shape[0], picture.shape[1])


def symbols(area: "np.ndarray[tuple[int, int], np.dtype[np.uint8]]") -> Iterator[Symbol]:
    """The symbols of a label or page, found by zxing-cpp and measured here."""
    dots = area < 128
    for code in zxingcpp.read_barcodes(area):
        place = code.position
        corners = (place.top_left, place.top_right, place.bottom_left, place.bottom_right)
        left, right = min(each.x for each in corners) - 2, max(each.x for each in corners) + 3
        top, bottom = min(each.y for each in corners) - 2, max(each.y for each in corners) + 3
        rows, columns = np.nonzero(dots[top:bottom, left:right])
        box = (left + columns.min(), top + rows.min(), left + columns.max() + 1, top + rows.max() + 1)
        inside = area[box[1] : box[3], box[0] : box[2]].astype(int)
        kind = "qr" if code.format == zxingcpp.BarcodeFormat.QRCode else "code128"
        grey, quarters = int(np.minimum(inside, 255 - inside).max()), round(code.orientation / 90) % 4
        left, top, right, bottom = map(int, box)
        yield Symbol(code.text, kind, dots, grey, left, top, right, bottom, quarters)


@cache
def on_labels(stock: Stock) -> tuple[tuple[str, Symbol], ...]:
    """The code of a tag and the one symbol on its label, cut out of its page at the label's edges."""
    job = replace(JOB, stocks=tuple((use, stock.name) for use in ("pipe", "cable", "terminal"))).record()
    tags = box_tags(job, first_box(job), words())[:LABELS]
    fitted = [label for tag in tags if (label := fit_label(tag, stock, words())[0])]
    placed = place_labels(fitted, job)
    density = stock.dots_per_mm or FINE_DOTS
    rasters = [raster(page, density) for page in tag_pages(placed)]
    found = []
    for each in placed:
        left, top, width, height = (round(mm * density) for mm in (each.x, each.y, *stock.label))
        (symbol,) = symbols(rasters[each.page - 1][top : top + height, left : left + width])
        found.append((each.label.tag.code, symbol))
    return tuple(found)


def runs(row: "np.ndarray[tuple[int], np.dtype[np.bool_]]") -> list[int]:
    """Lengths of what is alike in a row, from its first ink to its last."""
    edges = np.nonzero(np.diff(row.astype(int)))[0]
    return [int(length) for length in np.diff([-1, *edges, len(row) - 1])]


def in_modules(lengths: list[int], module: float, slack: int) -> list[int]:
    """Lengths in whole modules, none of which is off by more than the slack in dots."""
    whole = [round(length / module) for length in lengths]
    off = [abs(length - each * module) for length, each in zip(lengths, whole, strict=True)]
    assert max(off) <= slack + 1e-6
    return whole


def slack_of(stock: Stock) -> int:
    """How far an edge may lie from its place: nowhere else on a grid of dots, else one dot."""
    return 0 if stock.dots_per_mm else 1


def white_around(symbol: Symbol) -> tuple[int, int, int, int]:
    """Dots without ink left, above, right and below the symbol, as far as its label goes."""
    rows, columns = slice(symbol.top, symbol.bottom), slice(symbol.left, symbol.right)
    sides = (
        symbol.dots[rows, : symbol.left][:, ::-1].any(axis=0),
        symbol.dots[: symbol.top, columns][::-1].any(axis=1),
        symbol.dots[rows, symbol.right :].any(axis=0),
        symbol.dots[symbol.bottom :, columns].any(axis=1),
    )
    left, above, right, below = (int(np.append(side, True).argmax()) for side in sides)
    return left, above, right, below


# --- QR codes -----------------------------------------------------------------------------------------------


def check_qr(symbol: Symbol, module: float, slack: int) -> None:
    """Side, finder patterns, timing patterns and quiet zone of a QR code."""
    side = symbol.ink.shape[1]
    across = round(side / module)
    assert abs(symbol.ink.shape[0] - side) <= slack
    middle, timing = int(3.5 * module), int(6.5 * module)
    finder = [1, 1, 3, 1, 1]
    for line in (symbol.ink[middle], symbol.ink[middle, ::-1], symbol.ink[:, middle], symbol.ink[-middle]):
        assert in_modules(runs(line)[:5], module, slack) == finder
    expected = [7, *[1] * (across - 14), 7]
    for line in (symbol.ink[timing], symbol.ink[:, timing]):
        assert in_modules(runs(line), module, slack) == expected
    assert min(white_around(symbol)) >= QR_QUIET * module - slack


def qr_module(symbol: Symbol) -> float:
    """A QR code's module in dots: its first row begins with seven dark ones, its side is 17 + 4 a version."""
    side, seven = symbol.ink.shape[1], runs(symbol.ink[INSIDE])[0]
    version = round((7 * side / seven - 17) / 4)
    return float(side / (17 + 4 * version))


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_every_symbol_is_as_its_standard_says(stock: Stock) -> None:
    """Measured on its label: modules alike, quiet zones clear and on the label, patterns in their places."""
    for code, symbol in on_labels(stock):
        assert symbol.text == code
        if symbol.kind == "qr":
            check_qr(symbol, qr_module(symbol), slack_of(stock))
        else:
            check_bars(symbol, stock)


@pytest.mark.parametrize("stock", [s for s in STOCKS if s.dots_per_mm], ids=lambda stock: stock.name)
def test_on_a_grid_of_dots_no_edge_lies_between_two(stock: Stock) -> None:
    """Every module is whole dots wide and begins at a dot: not one dot of a symbol is grey."""
    assert {code for code, symbol in on_labels(stock) if symbol.grey > 8} == set()
    modules = {
        qr_module(symbol) if symbol.kind == "qr" else bars_module(symbol) for _, symbol in on_labels(stock)
    }
    assert {module for module in modules if module != int(module)} == set()


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_no_module_is_smaller_than_its_printer_can_print(stock: Stock) -> None:
    """Four dots of the printer and 0.4 mm for a QR code's module; 0.25 mm for a bar."""
    density = stock.dots_per_mm or FINE_DOTS
    for _, symbol in on_labels(stock):
        if symbol.kind == "qr":
            assert qr_module(symbol) >= DOTS_A_MODULE
            side = symbol.ink.shape[1]  # dots, of which one may be lost at the edges
            assert side + 1 >= round(side / qr_module(symbol)) * MODULE_LEAST_MM * density
        else:
            assert bars_module(symbol) / density >= BAR_LEAST_MM - 1e-6


# --- Code 128 -----------------------------------------------------------------------------------------------


def bars_module(symbol: Symbol) -> float:
    """A bar's module in dots, from the number of elements: 6 a character, 7 for the stop."""
    elements = len(runs(symbol.ink[symbol.ink.shape[0] // 2]))
    characters, rest = divmod(elements - 7, 6)
    assert rest == 0
    return float(symbol.ink.shape[1] / (11 * characters + 13))


def check_bars(symbol: Symbol, stock: Stock) -> None:
    """Elements, characters, start, stop and quiet zones of a Code 128, alike over all its height."""
    module, slack = bars_module(symbol), slack_of(stock)
    height = symbol.ink.shape[0]
    lines = [runs(symbol.ink[at]) for at in (INSIDE, height // 2, height - 1 - INSIDE)]
    assert lines[0] == lines[1] == lines[2]
    widths = in_modules(lines[1], module, slack)
    assert set(widths) <= {1, 2, 3, 4}
    characters = [tuple(widths[at : at + 6]) for at in range(0, len(widths) - 7, 6)]
    assert {sum(each) for each in characters} == {11}
    assert {sum(each[::2]) % 2 for each in characters} == {0}
    assert characters[0] in STARTS
    assert tuple(widths[-7:]) == STOP
    left, _, right, _ = white_around(symbol)
    assert min(left, right) >= BARS_QUIET * module - slack


def test_both_kinds_of_symbols_are_measured() -> None:
    """With and without a grid of dots."""
    kinds = {(symbol.kind, stock.dots_per_mm > 0) for stock in STOCKS for _, symbol in on_labels(stock)}
    assert kinds == {("qr", True), ("qr", False), ("code128", True), ("code128", False)}


# --- placards -----------------------------------------------------------------------------------------------


def papers() -> list[Stock]:
    """Every stock of the program that placards are printed on."""
    found = (load_stock(name, "placard", None, Where(""))[0] for name in names("stocks", None))
    return [stock for stock in found if stock and stock.kind == "page"]


def on_placard(sketch: JobSketch, paper: Stock) -> tuple[list[str], list[Symbol]]:
    """What a placard's codes say and its symbols, measured on its pages."""
    job = sketch.record()
    box = plan_job(job)[0].boxes[0]
    pages, _ = placard_pages(job, box, paper, words())
    density = paper.dots_per_mm or 12
    return code_texts(job, box), [each for page in pages for each in symbols(raster(page, density))]


@pytest.mark.parametrize("paper", papers(), ids=lambda stock: stock.name)
def test_both_codes_of_a_placard_are_as_their_standard_says(paper: Stock) -> None:
    """On every paper, of a full box of twelve ports: one text in two forms, each with its quiet zone."""
    rows = [(f"FC-{number}", letter, "53.999 kBtu/h") for number, letter in enumerate("ABCDEFGHIJKL")]
    texts, found = on_placard(replace(one_box(*rows, ports=12), number="ML-2024/117"), paper)
    assert [symbol.text for symbol in found] == texts
    for symbol in found:
        check_qr(symbol, qr_module(symbol), slack_of(paper))

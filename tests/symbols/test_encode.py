"""Texts to modules: what is encoded is what two decoders read, zxing-cpp and zbar."""

import itertools
import string

import pytest
import zxingcpp
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pyzbar import pyzbar

from tagmaker.symbols.encode import CODE128_QUIET, QR_QUIET, Symbol, code128, qr
from tagmaker.symbols.qr_modules import modules
from tests.symbols.pictures import picture

FINDER_RUNS = 15  # of the three finder patterns, which are higher than a row
MEDIUM = 0  # qrcode's number of level M
CODE_SIGNS = string.ascii_uppercase + string.digits + "-/"
CODES = st.text(CODE_SIGNS, min_size=1, max_size=60)
PRINTED = "".join(chr(code) for code in range(32, 127))
PLACARD = (
    "BOX BB-1 REV 2 JOB ML-24\nLEFT A-D: BANK 1 ON 1; BANK 2 ON none\nRIGHT I-J: BANK 1 ON 2; BANK 2 ON 4\n"
    "kBtu/h: A spare | C 24/54 | G+H 72/108\nCRC 7F3A91C2\n"
)
FEW = settings(max_examples=40, deadline=None, derandomize=True)  # a decoder may misread one in thousands


def zxing(symbol: Symbol) -> list[tuple[str, str]]:
    """Texts and error levels that zxing-cpp reads."""
    kinds = (zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.Code128)
    return [(code.text, code.ec_level) for code in zxingcpp.read_barcodes(picture(symbol), formats=kinds)]


def zbar(symbol: Symbol) -> list[tuple[str, str]]:
    """Texts and kinds that zbar reads."""
    kinds = [pyzbar.ZBarSymbol.QRCODE, pyzbar.ZBarSymbol.CODE128]
    return [(code.data.decode(), code.type) for code in pyzbar.decode(picture(symbol), kinds)]


@FEW
@given(CODES, st.sampled_from("LMQH"))
def test_a_qr_code_reads_as_its_text(text: str, level: str) -> None:
    """Both decoders read a tag's code from its QR code, at the error level asked for."""
    assert zxing(qr(text, level)) == [(text, level)]
    assert zbar(qr(text, level)) == [(text, "QRCODE")]


@FEW
@given(CODES)
@example("0123456789")
@example("99")
@example("9901/A/LIQ")
@example("BB-11/A/COM/FC-1234567890/ON")
def test_a_code_128_reads_as_its_text(text: str) -> None:
    """Both decoders read a tag's code from its bars, runs of digits included."""
    assert zxing(code128(text)) == [(text, "")]
    assert zbar(code128(text)) == [(text, "CODE128")]


@FEW
@given(st.text(PRINTED, min_size=1, max_size=40))
def test_any_ascii_text_survives(text: str) -> None:
    """No sign of printable ASCII is lost or changed in a QR code."""
    assert [read for read, _ in zxing(qr(text))] == [text]


@pytest.mark.parametrize("decoder", [zxing, zbar])
def test_a_placards_lines_come_back_whole(decoder: object) -> None:
    """The line ends of a placard's text are read back as they were."""
    assert callable(decoder)
    assert [text for text, _ in decoder(qr(PLACARD))] == [PLACARD]


@pytest.mark.parametrize("number", ["Å-1", "Baustelle-Süd 7", "Nº 12", "№ 3", "工事-4", "ÄÖÜ"])
def test_a_text_beyond_ascii_comes_back(number: str) -> None:
    """A job's number may have any letter; the text is UTF-8 and is read as such."""
    text = PLACARD.replace("ML-24", number)
    assert [read for read, _ in zxing(qr(text))] == [text]


def test_the_level_is_m_unless_another_is_asked_for() -> None:
    """About 15 % of a tag's code may be lost."""
    assert qr("BB-1/A/LIQ") == qr("BB-1/A/LIQ", "M")
    assert zxing(qr("BB-1/A/LIQ")) == [("BB-1/A/LIQ", "M")]


@FEW
@given(CODES)
def test_a_symbol_knows_what_it_is(text: str) -> None:
    """Its text and kind; a QR code is square, a Code 128 one row."""
    square, bars = qr(text), code128(text)
    assert (square.text, square.kind, square.rows) == (text, "qr", square.columns)
    assert (bars.text, bars.kind, bars.rows) == (text, "code128", 1)


@FEW
@given(CODES, st.sampled_from([qr, code128]))
def test_runs_are_whole_and_do_not_touch(text: str, encode: object) -> None:
    """Runs lie inside the symbol, one row high, by row and column, with a light cell between two of a row."""
    assert callable(encode)
    symbol = encode(text)
    runs = symbol.runs[:-FINDER_RUNS] if symbol.kind == "qr" else symbol.runs
    places = [(row, column, column + columns) for column, row, columns, _ in runs]
    assert places == sorted(places)
    assert all(0 <= row < symbol.rows and 0 <= first < last <= symbol.columns for row, first, last in places)
    assert {rows for _, _, _, rows in runs} == {1}
    assert all(
        row != below or last < first for (row, _, last), (below, first, _) in itertools.pairwise(places)
    )


@pytest.mark.parametrize("text", ["BB-1/A/LIQ", "BB-12/L/COM/FC-345/LEVEL-2", PLACARD])
def test_runs_are_the_modules_each_once(text: str) -> None:
    """The dark modules that the symbol was placed with, finder patterns among them."""
    symbol = qr(text)
    side, number = modules(text, MEDIUM)
    cells = f"{number:0{side * (side + 1)}b}"
    dark = [divmod(at, side + 1)[::-1] for at, cell in enumerate(cells) if cell == "1"]
    assert sorted(dark_of(symbol)) == sorted(dark)


def test_quiet_zones_are_those_of_the_standards() -> None:
    """4 modules, ISO/IEC 18004; 10 modules, ISO/IEC 15417 [read]."""
    assert (QR_QUIET, CODE128_QUIET) == (4, 10)


def test_every_qr_code_has_its_three_finders() -> None:
    """A 7 x 7 square with a 3 x 3 core in three corners, not in the fourth, ISO/IEC 18004 [memory]."""
    symbol = qr("BB-1/A/LIQ")
    dark = set(dark_of(symbol))
    far = symbol.columns - 7
    corners = {(0, 0): True, (far, 0): True, (0, far): True, (far, far): False}
    assert corners == {(x, y): is_finder(dark, x, y) for x, y in corners}


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_a_turned_code_has_the_same_modules_turned(quarters: int) -> None:
    """Clockwise, each once; its last run is at its foot, where its size is seen."""
    upright, turned = qr(PLACARD), qr(PLACARD, "M", quarters)
    cells = dark_of(upright)
    for _ in range(quarters):
        cells = [(upright.rows - 1 - y, x) for x, y in cells]
    assert sorted(dark_of(turned)) == sorted(cells)
    _, row, _, rows = turned.runs[-1]
    assert row + rows == turned.rows


def dark_of(symbol: Symbol) -> list[tuple[int, int]]:
    """The dark modules of a symbol's runs, by column and row."""
    return [
        (x, y)
        for column, row, columns, rows in symbol.runs
        for x in range(column, column + columns)
        for y in range(row, row + rows)
    ]


def is_finder(dark: set[tuple[int, int]], x: int, y: int) -> bool:
    """Whether a finder stands there: a dark rim and a dark core of 3 x 3, light between them."""
    return all(
        ((x + column, y + row) in dark) == (max(abs(column - 3), abs(row - 3)) != 2)
        for column in range(7)
        for row in range(7)
    )

"""QR codes (ISO/IEC 18004) and Code 128 (ISO/IEC 15417) as runs of dark cells.

Takes a text; gives a symbol in whole cells, without a size: how large a cell may be is `typeset.codes`'
matter.
"""

from functools import cache, lru_cache
from itertools import compress
from typing import Literal

from msgspec import Struct

__all__ = ["CODE128_QUIET", "QR_QUIET", "Level", "Symbol", "SymbolKind", "code128", "qr", "qr_columns"]

QR_QUIET = 4
"""Modules of quiet zone on every side, ISO/IEC 18004."""
CODE128_QUIET = 10
"""Modules of quiet zone at either end, ISO/IEC 15417."""
SymbolKind = Literal["qr", "code128"]
Level = Literal["L", "M", "Q", "H"]
LEVELS: dict[Level, int] = {"L": 1, "M": 0, "Q": 3, "H": 2}  # qrcode's own numbers

Run = tuple[int, int, int, int]
"""Dark cells: the first one's column and row, columns, rows."""
FINDER: tuple[Run, ...] = ((0, 0, 7, 1), (0, 1, 1, 5), (6, 1, 1, 5), (2, 2, 3, 3), (0, 6, 7, 1))
"""A finder pattern, ISO/IEC 18004: a rim and a core. Light cells are around it: no other run touches it."""
FINDER_SIDE = 7
BITS = bytes.maketrans(b"01", b"\0\1")
SHARED = 29  # rows of a symbol that shares its runs: those of larger ones are too many to be at hand
REMEMBERED = 256  # symbols: each is asked for a few times in a row, and a campus has tens of thousands


class Symbol(Struct, frozen=True):
    """A symbol of so many columns and rows; `runs` are its dark cells, of a QR code the finders last."""

    text: str
    kind: SymbolKind
    columns: int
    rows: int
    runs: tuple[Run, ...]


@lru_cache(maxsize=REMEMBERED)
def qr(text: str, level: Level = "M", quarters: int = 0) -> Symbol:
    """The smallest QR code of a text at an error level: L, M, Q or H (about 7, 15, 25, 30 % recovery).

    It is turned clockwise by so many quarters; a reader takes it from any side.
    """
    from tagmaker.symbols.qr_modules import modules  # noqa: PLC0415 — heavy, and `check` draws no codes

    side, dark = modules(text, LEVELS[level])
    for _ in range(quarters):
        dark = _turned(dark, side)
    finders = _finders(side, quarters)
    return Symbol(text, "qr", side, side, _runs(dark & ~finders.dark, side, side) + finders.runs)


def _turned(dark: int, side: int) -> int:
    """The modules of a symbol a quarter clockwise, each row and a light one."""
    cells = f"{dark:0{side * (side + 1)}b}"
    return int("0".join([cells[column :: side + 1][::-1] for column in range(side)]) + "0", 2)


@lru_cache(maxsize=REMEMBERED)
def qr_columns(text: str, level: Level = "M") -> int:
    """How many columns the QR code of a text has, without making it; 0 where no code holds the text."""
    from tagmaker.symbols.qr_modules import side  # noqa: PLC0415 — as above

    try:
        return side(text, LEVELS[level])
    except ValueError:
        return 0


class _Finders(Struct, frozen=True):
    """The three finder patterns of a symbol: a fourth of its runs where each row has its own."""

    dark: int
    runs: tuple[Run, ...]


@cache
def _finders(side: int, quarters: int) -> _Finders:
    """Those of a symbol of that side, turned clockwise; the last run is at its foot."""
    far = side - FINDER_SIDE
    free = ((far, far), (0, far), (0, 0), (far, 0))[quarters]
    runs = tuple(
        (left + column, top + row, columns, rows)
        for left, top in ((0, 0), (far, 0), (0, far), (far, far))
        if (left, top) != free
        for column, row, columns, rows in FINDER
    )
    end = side * (side + 1)  # of the rows, a light cell after each; the first cell is the highest bit
    dark = (
        ((1 << columns) - 1) << end - (row + below) * (side + 1) - column - columns
        for column, row, columns, rows in runs
        for below in range(rows)
    )
    return _Finders(sum(dark), runs)


class _Runs(dict[tuple[int, int], Run]):
    """Runs by where they begin and end in a symbol's rows, each row and a light cell; each is made once."""

    def __init__(self, side: int) -> None:
        self.side = side

    def __missing__(self, span: tuple[int, int]) -> Run:
        row, column = divmod(span[0], self.side + 1)
        run = self[span] = (column, row, span[1] - span[0], 1)
        return run


@cache
def _shared_runs(side: int) -> _Runs:
    """The runs of all symbols of a size, shared: a campus has tens of thousands of tags."""
    return _Runs(side)


@cache
def _places(count: int) -> tuple[int, ...]:
    """The numbers from 0, each made once."""
    return tuple(range(count))


def _runs(dark: int, columns: int, rows: int) -> tuple[Run, ...]:
    """The dark cells, a bit each, of so many rows, each with a light cell after it.

    A run begins, or ends, where a cell differs from the one before it.
    """
    wide = columns + 1
    changed = f"{dark ^ dark >> 1:0{wide * rows}b}".encode().translate(BITS)
    changes = compress(_places(wide * rows), changed)
    spans = zip(changes, changes, strict=True)
    if rows > SHARED:
        return tuple([(start % wide, start // wide, end - start, 1) for start, end in spans])
    return tuple(map(_shared_runs(columns).__getitem__, spans))


@lru_cache(maxsize=REMEMBERED)
def code128(text: str) -> Symbol:
    """The Code 128 of an ASCII text; one row of bars."""
    from barcode.codex import Code128  # noqa: PLC0415 — as above

    code = Code128(text)
    code._charset = "B"  # begun in its set C, python-barcode 0.16.1 drops the first two digits of "99…"
    modules: str = code.build()[0]
    return Symbol(text, "code128", len(modules), 1, _runs(int(f"{modules}0", 2), len(modules), 1))

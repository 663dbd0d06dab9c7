"""QR codes (ISO/IEC 18004) and Code 128 (ISO/IEC 15417) as runs of dark cells."""

from dataclasses import dataclass
from functools import lru_cache

__all__ = ["CODE128_QUIET", "QR_QUIET", "Symbol", "code128", "qr"]

QR_QUIET = 4
"""Modules of quiet zone on every side, ISO/IEC 18004."""
CODE128_QUIET = 10
"""Modules of quiet zone at either end, ISO/IEC 15417."""


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol of so many columns and rows; `runs` are (column, row, columns, rows) of dark cells."""

    text: str
    kind: str
    columns: int
    rows: int
    runs: tuple[tuple[int, int, int, int], ...]


@lru_cache(maxsize=4096)
def qr(text: str, level: str = "M") -> Symbol:
    """The smallest QR code of a text at an error level: L, M, Q or H (about 7, 15, 25, 30 % recovery)."""
    import qrcode  # noqa: PLC0415 — heavy, and `check` and `--help` draw no codes

    levels = {"L": 1, "M": 0, "Q": 3, "H": 2}  # qrcode's own numbers for the levels
    code = qrcode.QRCode(error_correction=levels[level], border=0)
    code.add_data(text)
    code.make(fit=True)
    rows = code.modules
    runs = [run for number, row in enumerate(rows) for run in _row_runs(number, row)]
    return Symbol(text, "qr", len(rows), len(rows), tuple(runs))


def _row_runs(number: int, row: list[bool | None]) -> list[tuple[int, int, int, int]]:
    runs: list[tuple[int, int, int, int]] = []
    start = None
    for column, dark in enumerate([*row, False]):
        if dark and start is None:
            start = column
        elif not dark and start is not None:
            runs.append((start, number, column - start, 1))
            start = None
    return runs


@lru_cache(maxsize=4096)
def code128(text: str) -> Symbol:
    """The Code 128 of an ASCII text; one row of bars."""
    from barcode.codex import Code128  # noqa: PLC0415 — as above

    code = Code128(text)
    code._charset = "B"  # begun in its set C, python-barcode 0.16.1 drops the first two digits of "99…"
    modules = code.build()[0]
    runs = _row_runs(0, [module == "1" for module in modules])
    return Symbol(text, "code128", len(modules), 1, tuple(runs))

"""Bytes in rows of one length, each as its difference from the row above (PNG's filter "up").

ISO 32000-1, 7.4.4.4 [memory]. Rows that differ in a counted digit alone become rows that are the same, and
those pack into next to nothing.
"""

from collections.abc import Iterable
from functools import lru_cache

__all__ = ["CELL", "differences", "filled", "in_cells", "parameters"]

UP = b"\2"  # the sign of this filter before a row
PREDICTOR = 12  # every row has a sign of its filter
AT_ONCE = 50  # rows: numbers of some thousand bytes stay in a processor's nearest memory
CELL = 12  # characters, of a number or reference in a list


def differences(rows: bytes, columns: int) -> bytes:
    """The rows as a predictor of `columns` bytes gives them back; the last one must be whole."""
    above, step = bytes(columns) + rows, AT_ONCE * columns
    return b"".join(
        [
            _signed(_less(rows[at : at + step], above[at : at + step]), columns)
            for at in range(0, len(rows), step)
        ]
    )


def _signed(rows: bytes, columns: int) -> bytes:
    """Rows with the sign of their filter before each."""
    return b"".join([UP + rows[at : at + columns] for at in range(0, len(rows), columns)])


def _less(now: bytes, above: bytes) -> bytes:
    """Each byte less the one at its place, all at once: high bits are set so that no borrow leaves a byte."""
    size = len(now)
    high, low = _masks(size)
    left, right = int.from_bytes(now), int.from_bytes(above[:size])
    return (((left | high) - (right & low)) ^ ((left ^ right ^ high) & high)).to_bytes(size)


@lru_cache(maxsize=64)
def _masks(size: int) -> tuple[int, int]:
    """The high bit of each byte, and the seven others."""
    return int.from_bytes(b"\x80" * size), int.from_bytes(b"\x7f" * size)


def parameters(columns: int) -> str:
    """The filter of a stream of such rows, packed."""
    return f"/Filter /FlateDecode /DecodeParms << /Predictor {PREDICTOR} /Columns {columns} >>"


def filled(text: str, columns: int) -> str:
    """A text with blanks up to whole rows."""
    return text.ljust(-(-len(text) // columns) * columns)


def in_cells(texts: Iterable[str]) -> str:
    """Short texts one after another, each with blanks up to a whole cell."""
    return "".join([f"{text:<{CELL}}" for text in texts])

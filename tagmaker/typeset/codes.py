"""How large a code may be on a label: whole printer dots, quiet zones kept, never below what reads.

Takes a text and the space for its code; gives the symbol with its cell in mm, or None where a code of that
size would not read. On a stock with a dot grid a cell is a whole number of dots: a printer would otherwise
round each edge by itself, and bars would differ in width.
"""

import math

from msgspec import Struct

from tagmaker.symbols.encode import CODE128_QUIET, QR_QUIET, Symbol, code128, qr

__all__ = [
    "BAR_LEAST",
    "MODULE_LEAST",
    "MODULE_MOST",
    "PlacedCode",
    "bar_code",
    "least_module",
    "on_dots",
    "square_code",
    "whole_dots",
]

DOTS_A_MODULE = 4
"""Printer dots that a QR module needs at least (common practice)."""
MODULE_LEAST = 0.4  # mm that a phone reads at arm's length (common practice): 4 dots at 203 dpi, 5 at 300
MODULE_MOST = 0.6
BAR_LEAST = 0.25  # mm: thinner bars do not read by hand (common practice)
BAR_MOST = 0.5
BAR_HEIGHT_LEAST = 6.0


class PlacedCode(Struct, frozen=True):
    """A symbol, its cell in mm, and the width and height that it takes with its quiet zones."""

    symbol: Symbol
    cell: float
    width: float
    height: float

    @property
    def quiet(self) -> float:
        """Quiet zone at the left, in mm."""
        return (QR_QUIET if self.symbol.kind == "qr" else CODE128_QUIET) * self.cell


def square_code(text: str, side: float, dots_per_mm: float, most: float = MODULE_MOST) -> PlacedCode | None:
    """The QR code of a text within a square of that side, its modules as large as `most` allows.

    None where its modules would be too small. The least module of whole dots is taken even where it is more
    than `most`.
    """
    symbol, least = qr(text), least_module(dots_per_mm)
    modules = symbol.columns + 2 * QR_QUIET
    cell = whole_dots(min(max(most, least), side / modules), dots_per_mm)
    if cell < least - 1e-9:
        return None
    return PlacedCode(symbol, cell, modules * cell, modules * cell)


def bar_code(text: str, width: float, height: float, dots_per_mm: float) -> PlacedCode | None:
    """The Code 128 of a text within that width; None where its bars would be too thin or too low."""
    symbol = code128(text)
    modules = symbol.columns + 2 * CODE128_QUIET
    cell = whole_dots(min(BAR_MOST, width / modules), dots_per_mm)
    if cell < BAR_LEAST - 1e-9 or height < BAR_HEIGHT_LEAST:
        return None
    return PlacedCode(symbol, cell, modules * cell, height)


def least_module(dots_per_mm: float, least: float = MODULE_LEAST) -> float:
    """The least module of a QR code that is not below `least`, in mm; whole dots on a dot grid."""
    if not dots_per_mm:
        return least
    return max(DOTS_A_MODULE, math.ceil(least * dots_per_mm - 1e-9)) / dots_per_mm


def on_dots(place: float, dots_per_mm: float) -> float:
    """The printer's last dot before a place, so that no quiet zone leaves the label."""
    return int(place * dots_per_mm + 1e-9) / dots_per_mm if dots_per_mm else place


def whole_dots(cell: float, dots_per_mm: float) -> float:
    """The largest cell of whole dots that is not larger."""
    return int(cell * dots_per_mm + 1e-9) / dots_per_mm if dots_per_mm else cell

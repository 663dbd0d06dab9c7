"""Symbols as pictures, drawn cell by cell, for decoders that share no code with the encoders."""

from PIL import Image, ImageDraw

from tagmaker.symbols.encode import CODE128_QUIET, QR_QUIET, Symbol

CELL = 4
BAR_HEIGHT = 80


def picture(symbol: Symbol) -> Image.Image:
    """A symbol with its quiet zone, four pixels a module."""
    quiet = (QR_QUIET if symbol.kind == "qr" else CODE128_QUIET) * CELL
    high = CELL if symbol.kind == "qr" else BAR_HEIGHT
    size = (symbol.columns * CELL + 2 * quiet, symbol.rows * high + 2 * quiet)
    image = Image.new("L", size, 255)
    pen = ImageDraw.Draw(image)
    for column, row, columns, rows in symbol.runs:
        left, top = quiet + column * CELL, quiet + row * high
        pen.rectangle((left, top, left + columns * CELL - 1, top + rows * high - 1), fill=0)
    return image

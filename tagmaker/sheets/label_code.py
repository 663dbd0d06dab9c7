"""Where a label's code is, and the room that it leaves for words.

Takes the label's frame; adds the code to the layout and gives the frame for words, or None where no code
fits.
"""

from tagmaker.catalog.stock import Stock
from tagmaker.symbols.encode import QR_QUIET
from tagmaker.tags.model import Tag
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.codes import PlacedCode, bar_code, on_dots, square_code
from tagmaker.typeset.frame import Frame

__all__ = ["LOW", "PAD", "edge_pad", "place_code"]

PAD = 1.4  # mm between a label's edge and its words
LOW = 15.0  # mm of height below which there is no room for a heading above the letter
BESIDE = 24.0  # mm of height below which bars are beside the words, not under them


def place_code(layout: Layout, tag: Tag, stock: Stock, label: Frame, module_most: float) -> Frame | None:
    """The room left for words once the code has its place; None where no code fits."""
    if stock.symbol == "none":
        return label.inset(PAD, edge_pad(label))
    if stock.symbol == "code128":
        room = _place_bars(layout, tag, stock, label)
        if room:
            return room
    side = min(label.height - 0.6, label.width * 0.4)
    code = square_code(tag.code, side, stock.dots_per_mm, module_most)
    if code is None:
        return None
    _place_square(layout, code, label, stock.dots_per_mm)
    width = label.width - code.width - 2 * PAD + code.quiet / 2
    return Frame(label.x + PAD, label.y + edge_pad(label), width, label.height - 2 * edge_pad(label))


def edge_pad(label: Frame) -> float:
    """Low labels have less to spare at their edges."""
    return PAD if label.height > LOW else 0.7


def _place_bars(layout: Layout, tag: Tag, stock: Stock, label: Frame) -> Frame | None:
    """Bars under the words, or beside them on a low label."""
    if label.height < BESIDE:
        code = bar_code(tag.code, label.width * 0.66, label.height - 2, stock.dots_per_mm)
        if code is None:
            return None
        left = on_dots(label.right - code.width + code.quiet, stock.dots_per_mm)
        layout.symbol(code.symbol, left, label.y + 1, code.cell, code.height)
        return Frame(
            label.x + PAD,
            label.y + edge_pad(label),
            label.width - code.width - PAD,
            label.height - 2 * edge_pad(label),
        )
    strip = label.height * 0.26
    code = bar_code(tag.code, label.width - 2, strip - 1.2, stock.dots_per_mm)
    if code is None:
        return None
    left = on_dots(label.x + (label.width - code.width) / 2 + code.quiet, stock.dots_per_mm)
    layout.symbol(code.symbol, left, on_dots(label.bottom - strip, stock.dots_per_mm), code.cell, code.height)
    return Frame(label.x + PAD, label.y + PAD, label.width - 2 * PAD, label.height - strip - 1.5 * PAD)


def _place_square(layout: Layout, code: PlacedCode, label: Frame, dots_per_mm: float) -> None:
    """At the right edge, in the middle of the height, on the printer's dots."""
    quiet = QR_QUIET * code.cell
    x = on_dots(label.right - code.width + quiet, dots_per_mm)
    y = on_dots(label.y + (label.height - code.height) / 2 + quiet, dots_per_mm)
    layout.symbol(code.symbol, x, y, code.cell)

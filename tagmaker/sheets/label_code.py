"""Where a label's code is.

Takes the label's frame; adds the code to the layout and gives the frame for words and what of it the code
takes, or None where no code fits.
"""

from typing import Literal

from msgspec import Struct

from tagmaker.catalog.stock import Stock
from tagmaker.sheets.label_needs import Setting
from tagmaker.symbols.encode import QR_QUIET
from tagmaker.tags.model import Tag
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.codes import PlacedCode, bar_code, on_dots, square_code
from tagmaker.typeset.frame import Frame

__all__ = ["LOW", "PAD", "Corner", "Room", "edge_pad", "place_code"]

PAD = 1.0  # mm between a label's edge and its words
LOW = 15.0  # mm of height below which a label is low
OVERSHOOT = 0.009  # of a label's height, by which its huge letter may be higher than its capitals
BESIDE = 24.0  # mm of height below which bars are beside the words, not under them
Corner = Literal["top", "middle", "bottom", "foot"]
"""Where at a label's right edge a square code is; at the foot of a narrow face it is below the words."""


class Room(Struct, frozen=True):
    """The frame for words, and the part of it that the code takes with its quiet zone."""

    frame: Frame
    code: Frame | None = None

    def slot(self, top: float, bottom: float) -> Frame:
        """The part of the room between two heights, as far as the code leaves it."""
        right = self.frame.right
        if self.code and self.code.y < bottom - 0.01 and self.code.bottom > top + 0.01:
            right = min(right, self.code.x)
        return Frame(self.frame.x, top, right - self.frame.x, bottom - top)


def place_code(
    layout: Layout, setting: Setting, label: Frame, module_most: float, corner: Corner
) -> Room | None:
    """The room for words once the code has its place; None where no code fits."""
    tag, stock = setting.tag, setting.stock
    room = label.inset(PAD, edge_pad(label, stock))
    if stock.symbol == "none":
        return Room(room)
    if stock.symbol == "code128":
        frame = _place_bars(layout, tag, stock, label)
        if frame:
            return Room(frame)
    across = label.width * (1.0 if corner == "foot" else 0.55)
    code = square_code(tag.code, min(label.height, across), stock.dots_per_mm, module_most)
    if code is None:
        return None
    taken = _place_square(layout, code, label, stock.dots_per_mm, corner)
    return Room(room.top(taken.y - room.y)[0]) if corner == "foot" else Room(room, taken)


def edge_pad(label: Frame, stock: Stock) -> float:
    """What is kept above and below, in mm: on a sheet, which may slip by 1 mm, with what letters overshoot.

    A low label of a roll has less to spare: a roll is fed by the gap before each label.
    """
    is_low = label.height <= LOW
    if stock.kind == "sheet":
        return PAD if is_low else PAD + OVERSHOOT * label.height
    return 0.7 if is_low else PAD


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
            label.y + edge_pad(label, stock),
            label.width - code.width - PAD,
            label.height - 2 * edge_pad(label, stock),
        )
    strip = label.height * 0.22
    code = bar_code(tag.code, label.width - 2, strip - 1.2, stock.dots_per_mm)
    if code is None:
        return None
    left = on_dots(label.x + (label.width - code.width) / 2 + code.quiet, stock.dots_per_mm)
    layout.symbol(code.symbol, left, on_dots(label.bottom - strip, stock.dots_per_mm), code.cell, code.height)
    pad = edge_pad(label, stock)
    return Frame(label.x + PAD, label.y + pad, label.width - 2 * PAD, label.height - strip - pad - 1.2 * PAD)


def _place_square(layout: Layout, code: PlacedCode, label: Frame, dots: float, corner: Corner) -> Frame:
    """At the right edge, on the printer's dots; the frame that it takes.

    Words stay a dot away: a shape that ends between two dots may ink both.
    """
    quiet = QR_QUIET * code.cell
    spare = label.height - code.height
    down = {"top": 0.0, "middle": spare / 2}.get(corner, spare)
    left = label.x + (label.width - code.width) / 2 if corner == "foot" else label.right - code.width
    x = on_dots(left + quiet, dots)
    y = on_dots(label.y + down + quiet, dots)
    layout.symbol(code.symbol, x, y, code.cell)
    dot = 1 / dots if dots else 0.0
    return Frame(x - quiet - dot, y - quiet, code.width + dot, code.height)

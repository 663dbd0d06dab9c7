"""Paragraphs at sizes that are given, one below the other: how high they are, and where each is.

Takes paragraphs and a width; gives a height, or adds the texts to a layout. Unlike a stack nothing shrinks:
who asks first how high they are gives them that room.
"""

from collections.abc import Sequence

from msgspec import Struct

from tagmaker.draw.marks import Align
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LINES_AT_MOST, Style, lines_needed, text_height

__all__ = ["Paragraph", "draw_paragraphs", "paragraphs_height"]


class Paragraph(Struct, frozen=True):
    """A text at one height of capitals; `gap` mm are above it; `on_black` sets it white on a black bar."""

    text: str
    caps: float
    bold: bool = False
    align: Align = "left"
    gap: float = 0.0
    on_black: bool = False

    def height(self, width: float) -> float:
        """Its lines with the gap above them, in mm."""
        lines = lines_needed(self.text, self.room(width), self.caps, bold=self.bold)
        return text_height(self.caps, lines) + self.gap + (BAR_PAD if self.on_black else 0.0)

    def room(self, width: float) -> float:
        """What its lines may be wide."""
        return width - 2 * BAR_PAD if self.on_black else width

    def draw(self, layout: Layout, frame: Frame) -> None:
        """Set it in a frame of its height."""
        ink = 1.0 if self.on_black else 0.0
        place = Frame(frame.x, frame.y + self.gap, frame.width, frame.height - self.gap)
        if self.on_black:
            layout.rect(place, fill=0.0)
            place = place.inset(BAR_PAD, 0)
        style = Style(
            self.caps, self.caps, LINES_AT_MOST, bold=self.bold, align=self.align, upright="middle", ink=ink
        )
        layout.text(self.text, place, style)


BAR_PAD = 1.2  # mm beside a text on a black bar, and half of it above and below


def paragraphs_height(paragraphs: Sequence[Paragraph], width: float) -> float:
    """All of them, in mm; empty ones take no room."""
    return sum(each.height(width) for each in paragraphs if each.text)


def draw_paragraphs(layout: Layout, paragraphs: Sequence[Paragraph], frame: Frame) -> None:
    """Set them from the top of a frame down."""
    for each in paragraphs:
        if each.text:
            place, frame = frame.top(each.height(frame.width))
            each.draw(layout, place)

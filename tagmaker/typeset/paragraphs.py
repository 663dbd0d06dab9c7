"""Paragraphs one below the other, at sizes that are given: how high they are, and where each is.

Takes paragraphs and a width; gives a height, or adds the texts to a layout. A paragraph is smaller only where
a word of it is longer than a line; who asks first how high they are gives them that room.
"""

import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

from tagmaker.draw.marks import Align
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LINES_AT_MOST, Style, lines_needed, text_height

__all__ = ["Paragraph", "accent_room", "draw_paragraphs", "paragraphs_height"]

BAR_PAD = 1.2  # mm beside a text on a black bar
STEP = 0.1  # mm between the heights of capitals that are tried
ACCENT = 0.25  # of a capital, what accents reach above a line's own room


class Paragraph(Struct, frozen=True):
    """A text at one height of capitals, not below `least`.

    `gap` mm are above it; `on_black` sets it white on a black bar, which reaches beyond a text at the left:
    the text is in line with others.
    """

    text: str
    caps: float
    least: float
    bold: bool = False
    align: Align = "left"
    gap: float = 0.0
    on_black: bool = False

    def height(self, width: float) -> float:
        """Its lines with the gap above them, in mm."""
        caps, lines = self._sized(width)
        return text_height(caps, lines) + accent_room(self.text, caps) + self.gap

    def draw(self, layout: Layout, frame: Frame) -> None:
        """Set it in a frame of its height."""
        caps, _ = self._sized(frame.width)
        place = Frame(frame.x, frame.y + self.gap, frame.width, frame.height - self.gap)
        if self.on_black:
            layout.rect(place.inset(-BAR_PAD if self.align == "left" else 0, 0), fill=0.0)
        ink = 1.0 if self.on_black else 0.0
        style = Style(caps, caps, LINES_AT_MOST, bold=self.bold, align=self.align, upright="bottom", ink=ink)
        layout.text(self.text, place, style)

    def _sized(self, width: float) -> tuple[float, int]:
        """Its capitals and lines; one line, which is then reported, where no size allows any."""
        caps = self.caps
        while not (lines := lines_needed(self.text, width, caps, bold=self.bold)) and caps > self.least:
            caps = max(self.least, caps - STEP)
        return caps, max(1, lines)


@lru_cache(maxsize=4096)
def accent_room(text: str, caps: float) -> float:
    """What the accents of capitals need above a text's own room, in mm; 0 without any."""
    has_accents = not text.isascii() and any(
        sign.isupper() and unicodedata.decomposition(sign) for sign in text
    )
    return caps * ACCENT if has_accents else 0.0


def paragraphs_height(paragraphs: Sequence[Paragraph], width: float) -> float:
    """All of them, in mm; empty ones take no room."""
    return sum(each.height(width) for each in paragraphs if each.text)


def draw_paragraphs(layout: Layout, paragraphs: Sequence[Paragraph], frame: Frame) -> None:
    """Set them from the top of a frame down."""
    for each in paragraphs:
        if each.text:
            place, frame = frame.top(each.height(frame.width))
            each.draw(layout, place)

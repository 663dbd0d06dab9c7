"""Rows that run down as many pages as they take, under heads that are repeated at the top of each.

Takes rows of cells one by one; gives the marks of every page. A row's height is known before it is drawn,
from the lines that its texts need, so that no row is split between pages.
"""

from collections.abc import Sequence

from msgspec import Struct

from tagmaker.draw.marks import Align, Mark, Role
from tagmaker.files.packed import Packed, pack
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Block, Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.paragraphs import accent_room
from tagmaker.typeset.text import LEGIBLE_MM, Style, lines_needed, text_height

__all__ = ["PAD", "Cell", "Running", "Table"]

PAD = 0.7  # mm above and below a row's text
GAP = 2.0  # mm between columns
SMALLER = (2.1, 1.9, 1.7, LEGIBLE_MM)
"""Capitals in mm that are tried for a word which is longer than its column."""


class Cell(Struct, frozen=True):
    """A text in a row: as many lines as it takes at this height of capitals."""

    text: str
    caps: float = 2.3
    bold: bool = False
    align: Align = "left"

    def sized(self, width: float) -> tuple[float, int]:
        """Its capitals and lines; a word that is longer than the width makes it smaller, never cut."""
        if not self.text:
            return self.caps, 1
        for caps in (self.caps, *SMALLER):
            if lines := lines_needed(self.text, width, caps, bold=self.bold):
                return caps, lines
        return SMALLER[-1], 1

    def height(self, width: float) -> float:
        """What its lines take, in mm."""
        caps, lines = self.sized(width)
        return text_height(caps, lines) + accent_room(self.text, caps)

    def style(self, width: float) -> Style:
        """How it is set."""
        caps, lines = self.sized(width)
        return Style(caps, caps, lines, bold=self.bold, align=self.align, upright="bottom")


class Running(Struct):
    """Pages being filled from the top of `room` down.

    Heads wait for the first row below them, so that no page ends with a head, and are repeated on every page
    that their rows run on to. A page that is full waits packed: a summary of a campus took 80 MB as marks.
    """

    layout: Layout
    room: Frame
    full: list[bytes] = []
    heads: list[tuple[int, Block]] = []
    shown: int = 0
    y: float = 0.0
    has_rows: bool = False

    def head(self, level: int, block: Block) -> None:
        """A head for the rows to come, in place of those of its level (from 0) and below."""
        above = [head for head in self.heads if head[0] < level]
        self.heads = [*above, (level, block)]
        self.shown = min(self.shown, len(above))

    def put(self, block: Block, keep: float = 0.0) -> None:
        """A row, on the next page where this one has no room for it, or for so many mm from its top on."""
        tall = sum(head[0] for _, head in self.heads[self.shown :]) + max(block[0], keep)
        if self.has_rows and self.y + tall > self.room.height + 0.001:
            self._turn()
        for _, head in self.heads[self.shown :]:
            self._draw(head)
        self.shown = len(self.heads)
        self._draw(block)
        self.has_rows = True

    def end(self) -> Sequence[list[Mark]]:
        """The marks of every page."""
        self._turn()
        self.heads = []  # they refer back to this, and no garbage is collected while a command runs
        return Packed(self.full, list[Mark])

    def _turn(self) -> None:
        """End a page."""
        self.full.append(pack(self.layout.marks))
        self.layout.marks = []
        self.y, self.shown, self.has_rows = 0.0, 0, False

    def _draw(self, block: Block) -> None:
        """Draw a block at the current height."""
        tall, draw = block
        draw(Frame(self.room.x, self.room.y + self.y, self.room.width, tall))
        self.y += tall


class Table(Struct, frozen=True):
    """Rows of cells over a running page, their widths in these shares, the numbers at the right."""

    running: Running
    shares: tuple[float, ...]

    def head(self, level: int, cells: Sequence[Cell], rule: float = 0.0) -> None:
        """A row that heads the rows to come, such as the names of its columns."""
        self.running.head(level, (self.height(cells), self._draw(cells, rule, is_head=True)))

    def row(
        self,
        cells: Sequence[Cell],
        rule: float = 0.12,
        more: Draw | None = None,
        keep: float = 0.0,
        least: float = 0.0,
    ) -> None:
        """A row with a line above it, at least so high; `more` draws what is no text into its frame.

        `keep` is as in `put`.
        """
        self.running.put((max(self.height(cells), least), self._draw(cells, rule, more)), keep)

    def height(self, cells: Sequence[Cell]) -> float:
        """How high a row of these cells is, in mm."""
        frames = self.frames(self.running.room)
        rise = max(accent_room(cell.text, cell.caps) for cell in cells)
        lines = max(
            cell.height(frame.width) - accent_room(cell.text, cell.caps)
            for cell, frame in zip(cells, frames, strict=True)
        )
        return lines + rise + 2 * PAD

    def frames(self, frame: Frame) -> list[Frame]:
        """The cells of a row that takes this frame."""
        return frame.columns(self.shares, GAP)

    def _draw(
        self, cells: Sequence[Cell], rule: float, more: Draw | None = None, *, is_head: bool = False
    ) -> Draw:
        """What draws these cells into a row's frame."""
        layout = self.running.layout

        def draw(frame: Frame) -> None:
            if rule:
                layout.rule(frame.x, frame.y, frame.right, frame.y, rule)
            rise = max(accent_room(cell.text, cell.caps) for cell in cells)
            with layout.part("TR"):
                for cell, place in zip(cells, self.frames(frame), strict=True):
                    self._cell(cell, place, rise, "TH" if is_head else "TD")
            if more:
                more(frame)

        return draw

    def _cell(self, cell: Cell, place: Frame, rise: float, role: Role) -> None:
        """A cell, its capitals as far below the row's top as those of the cell with the highest accents."""
        y = place.y + PAD + rise - accent_room(cell.text, cell.caps)
        room = Frame(place.x, y, place.width, cell.height(place.width))
        with self.running.layout.part(role):
            self.running.layout.text(cell.text, room, cell.style(place.width))

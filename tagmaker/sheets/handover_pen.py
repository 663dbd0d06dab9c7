"""What a handover record is drawn with: sections, sentences, tables, all of texts that may hold anything."""

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.sheets.handover_text import printable
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.typeset.flow import Block
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Cell, Running, Table

__all__ = ["HandoverPen"]

SECTION_CAPS = 3.2
ABOVE, BELOW = 3.0, 1.2  # mm
FIRST_ROW = 10.0  # mm, what of a section or table stays with its title
RULE, ROW_RULE = 0.35, 0.12
NO_HEAD: Block = (0.0, lambda _frame: None)


class HandoverPen(Struct):
    """The running pages of a record; `shares` are the columns of the table that was begun last."""

    running: Running
    words: Words
    shares: tuple[float, ...] = (1.0,)

    def section(self, text: str, *, keep: float = FIRST_ROW, is_repeated: bool = False) -> None:
        """A title; it stays with so many mm of what follows, or is on each page that follows.

        A table before it ends.
        """
        block = self._title(text)
        self.running.head(0, block if is_repeated else NO_HEAD)
        if not is_repeated:
            self.running.put(block, keep=block[0] + keep)

    def _title(self, text: str) -> Block:
        width = self.running.room.width
        cell = Cell(printable(text, width), SECTION_CAPS, bold=True)
        tall = cell.height(width)

        def draw(frame: Frame) -> None:
            with self.running.layout.part("H2"):
                place = Frame(frame.x, frame.y + ABOVE, frame.width, tall)
                self.running.layout.text(cell.text, place, cell.style(width))

        return ABOVE + tall + BELOW, draw

    def sentence(self, text: str, *, bold: bool = False, above: float = 0.0, keep: float = 0.0) -> None:
        """A sentence over the whole width, so many mm above it. A table before it ends."""
        self.running.head(1, NO_HEAD)
        width = self.running.room.width
        cell = Cell(printable(text, width), PAGE_CAPS, bold=bold)
        tall = cell.height(width)

        def draw(frame: Frame) -> None:
            place = Frame(frame.x, frame.y + above, frame.width, tall)
            with self.running.layout.part("P"):
                self.running.layout.text(cell.text, place, cell.style(width))

        block: Block = (above + tall + BELOW, draw)
        self.running.put(block, keep=block[0] + keep)

    def table(self, shares: tuple[float, ...], heads: Sequence[str], title: str = "") -> None:
        """A table with these heads, which are repeated on every page that it runs on to.

        Tables right below each other have titles: without one a screen reader takes them for one.
        """
        self.shares = shares
        if title:
            self.sentence(title, bold=True, above=BELOW, keep=FIRST_ROW)
        table = Table(self.running, shares)
        table.head(1, [Cell(text, PAGE_CAPS, bold=True) for text in heads], RULE)

    def row(self, cells: Sequence[Cell], least: float = 0.0) -> None:
        """A row of the table begun last, at least so high."""
        table = Table(self.running, self.shares)
        frames = table.frames(self.running.room)
        shown = [
            replace(cell, text=printable(cell.text, frame.width))
            for cell, frame in zip(cells, frames, strict=True)
        ]
        table.row(shown, ROW_RULE, least=least)

    def rule(self) -> None:
        """The line below a table."""
        layout = self.running.layout
        self.running.put((RULE, lambda frame: layout.rule(frame.x, frame.y, frame.right, frame.y, ROW_RULE)))

    def plain_row(self, *texts: str) -> None:
        """A row whose first text is bold."""
        first, *rest = texts
        self.row([Cell(first, bold=True), *map(Cell, rest)])

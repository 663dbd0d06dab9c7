"""The pictures of boards as one faces the open control box: every bank, every switch in its position.

Takes a grid and the frame of a page; adds marks to the layout. Black and white only: a slider is a solid
block at the ON or the OFF end of its slot, with the word below it, so that neither a bad copy nor a
colour-blind reader loses a setting. Switches are in the order of the bank in hand, numbered from its own
end, and ON is drawn where ON is on that bank.
"""

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.plan.model import BankPlan, Board, SwitchPlan
from tagmaker.sheets.board_grid import (
    BANKS_APART,
    BETWEEN,
    LINE,
    PAD,
    SQUARE_GAP,
    Grid,
    Part,
    heading,
    reasons_text,
)
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.tags.reasons import on_list, settings_text
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import BELOW, Style, Unfit, fit, text_width

__all__ = ["BoardPictures"]

REASON_LINES = 20


class BoardPictures(Struct, frozen=True):
    """The boards of one box, drawn on their grid."""

    layout: Layout
    words: Words
    grid: Grid
    cells: list[Frame] = []
    """The column of each switch as it was drawn, board by board, bank by bank, from left to right."""

    def draw(self, parts: Sequence[Part], frame: Frame) -> None:
        """Parts one below the other, from the top of a frame."""
        y = frame.y
        for part in parts:
            tall = self.grid.height_of([part])
            for number, board in enumerate(self.grid.rows[part.row]):
                x = frame.x + number * (self.grid.board_width + BETWEEN)
                with self.layout.figure(self._spoken(board, part)):
                    self._board(board, part, Frame(x, y, self.grid.board_width, tall))
            y += tall + BETWEEN

    def _spoken(self, board: Board, part: Part) -> str:
        """What a screen reader says in place of a board: its letters, and each bank with its own settings."""
        banks = board.banks[part.first * self.grid.across : part.end * self.grid.across]
        settings = [f"{bank.name}: {settings_text(bank, self.words, names_rest=True)}" for bank in banks]
        return ". ".join([f"{heading(board, self.words)} {' '.join(board.letters)}", *settings])

    def _board(self, board: Board, part: Part, frame: Frame) -> None:
        """One board with its heading and some of its banks."""
        grid = self.grid
        self.layout.rect(frame, line=0.35, radius=1.2)
        inside = frame.inset(PAD)
        head, rest = inside.top(grid.head_height)
        self._head(board, head)
        for row in range(part.first, part.end):
            strip, rest = rest.top(grid.bank_height(part.row, row))
            for column, bank in enumerate(board.banks[row * grid.across : (row + 1) * grid.across]):
                x = strip.x + column * (grid.bank_width + BANKS_APART)
                self._bank(bank, Frame(x, strip.y, grid.bank_width, strip.height))

    def _head(self, board: Board, frame: Frame) -> None:
        """The board's place, and its positions in order: letters, or a cross where no port is fitted."""
        grid = self.grid
        side, count = grid.square, len(board.letters) + board.unfitted
        caps = grid.sizes.heading
        name = Frame(frame.x, frame.y, frame.width, side)
        style = Style(caps, min(caps, PAGE_CAPS), bold=True, upright="letter")
        self.layout.text(heading(board, self.words), name, style)
        step = side + SQUARE_GAP
        a_line = int((frame.width + SQUARE_GAP + 1e-6) / step) if grid.squares_apart else count
        left = frame.x if grid.squares_apart else frame.right - step * count + SQUARE_GAP
        top = frame.y + (step if grid.squares_apart else 0)
        for at in range(count):
            row, column = divmod(at, a_line)
            cell = Frame(left + column * step, top + row * step, side, side)
            self._position(board.letters[at] if at < len(board.letters) else "", cell)

    def _position(self, letter: str, cell: Frame) -> None:
        """A position's letter in a square; a crossed grey one where no port is fitted."""
        if letter:
            self.layout.rect(cell, line=0.3)
            caps = max(PAGE_CAPS, cell.height * 0.62)
            self.layout.text(
                letter, cell, Style(caps, PAGE_CAPS, bold=True, align="center", upright="letter")
            )
            return
        self.layout.rect(cell, fill=0.88)
        self.layout.rule(cell.x, cell.bottom, cell.right, cell.y, 0.25)
        self.layout.rule(cell.x, cell.y, cell.right, cell.bottom, 0.25)

    def _bank(self, bank: BankPlan, frame: Frame) -> None:
        """A bank: its name and list, its slots, numbers and words, and its reasons."""
        grid = self.grid
        head, rest = frame.top(grid.bank_head)
        self._bank_head(bank, head)
        slots, rest = rest.top(grid.sizes.slot)
        wide = grid.body_width(bank)
        self._body(bank, Frame(slots.x, slots.y, wide, slots.height))
        below, rest = rest.top(grid.words_height)
        self._below(bank, Frame(below.x + grid.ends, below.y + 0.7, wide - grid.ends, below.height - 0.7))
        text = reasons_text(bank, self.words, grid.bank_width)
        self.layout.text(text, rest, Style(PAGE_CAPS, PAGE_CAPS, lines=REASON_LINES, upright="top"))

    def _bank_head(self, bank: BankPlan, frame: Frame) -> None:
        """A bank's name, and in large letters what is ON; both on one line, or the list below the name."""
        sizes, text = self.grid.sizes, on_list(bank, self.words)
        listed = Style(
            sizes.listed, PAGE_CAPS, bold=True, upright="bottom", role="main",
            align="left" if self.grid.is_stacked else "right",
        )  # fmt: skip
        drop = sizes.listed * LINE if self.grid.is_stacked else BELOW * (sizes.listed - sizes.bank_name)
        name = Frame(frame.x, frame.y, frame.width, frame.height - drop)
        self.layout.text(bank.name, name, Style(sizes.bank_name, PAGE_CAPS, bold=True, upright="bottom"))
        # after the name, so that copied text has them together
        self.layout.text(text, Frame(frame.x, frame.y, self._list_width(bank, text), frame.height), listed)

    def _list_width(self, bank: BankPlan, text: str) -> float:
        """A list ends where the slots end, unless it needs more beside the bank's name."""
        grid = self.grid
        name = text_width(bank.name, grid.sizes.bank_name, bold=True)
        needed = text_width(text, grid.sizes.listed, bold=True) + (0.0 if grid.is_stacked else name + 2.0)
        return min(grid.bank_width, max(grid.body_width(bank), needed))

    def _body(self, bank: BankPlan, frame: Frame) -> None:
        """The slots of a bank, and at their left which way ON points."""
        self.layout.rect(frame, line=0.6, radius=0.8)
        ends, row = frame.left(self.grid.ends)
        upper, lower = ends.inset(0, 0.8).rows((1, 1))
        on, off = (upper, lower) if bank.on_points == "up" else (lower, upper)
        word = self.grid.sizes.word
        self.layout.text(
            self.words("state.on"), on, Style(word, word, bold=True, align="center", upright="letter")
        )
        self.layout.text(self.words("state.off"), off, Style(word, word, align="center", upright="letter"))
        for switch, cell in zip(bank.in_order(), row.columns([1] * len(bank.switches)), strict=True):
            self._slot(bank, switch, cell)
            self.cells.append(cell)

    def _slot(self, bank: BankPlan, switch: SwitchPlan, cell: Frame) -> None:
        """One slot with its slider; dashed and empty for a switch that is left as found."""
        width = min(cell.width * 0.5, cell.height * 0.5)
        slot = Frame(cell.x + (cell.width - width) / 2, cell.y + 1.0, width, cell.height - 2.0)
        if switch.state == "leave":
            self.layout.dashed(slot, 0.3)
            return
        upper, lower = slot.rows((1, 1))
        self.layout.rect(slot, line=0.4)
        at_upper = (switch.state == "on") == (bank.on_points == "up")
        self.layout.rect((upper if at_upper else lower).inset(0.5, 0.5), fill=0.0)

    def _below(self, bank: BankPlan, frame: Frame) -> None:
        """The numbers of the switches, and below each its setting in a word."""
        word = self.grid.sizes.word
        numbers, words = frame.top(frame.height - self.grid.sizes.block)
        count = [1] * len(bank.switches)
        for switch, number, cell in zip(
            bank.in_order(), numbers.columns(count), words.columns(count), strict=True
        ):
            style = Style(word, word, bold=True, align="center", upright="letter")
            self.layout.text(str(switch.number), number, style)
            self._word(switch, cell)

    def _word(self, switch: SwitchPlan, cell: Frame) -> None:
        """The setting in a word: white on black for ON, as that is what must be set."""
        word = self.grid.sizes.word
        plain = Style(word, word, align="center", upright="letter")
        bold = replace(plain, bold=True)
        block = Frame(cell.x + (cell.width - word * 2.45) / 2, cell.y, word * 2.45, cell.height - 0.5)
        if switch.state == "leave":
            self._leave(cell)
        elif switch.state == "off":
            self.layout.text(self.words("state.off"), block, plain)
        elif switch.check_only:
            self.layout.rect(block.inset(0.2), line=0.4)
            self.layout.text(self.words("state.on"), block, bold)
        else:
            self.layout.rect(block, fill=0.0)
            self.layout.text(self.words("state.on"), block, replace(bold, ink=1.0))

    def _leave(self, cell: Frame) -> None:
        """As found, in words where they fit, else in a short one that the reason below explains."""
        text, word = self.words("state.leave"), self.grid.sizes.word
        room = cell.inset(0.3, 0)
        style = Style(max(PAGE_CAPS, word * 0.6), PAGE_CAPS, lines=2, align="center")
        if isinstance(fit(text, room, style), Unfit):
            text, style = self.words("state.leave_short"), replace(style, lines=1, upright="letter")
        self.layout.text(text, room, style)

"""The picture of a board as one faces the open control box: every bank, every switch in its position.

Takes a planned board and a frame; adds its marks to the layout. Black and white only: a slider is a solid
block at the ON or the OFF end of its slot, with the word below it, so that neither a bad copy nor a
colour-blind reader loses a setting. Switches are in the order of the bank in hand, numbered from its own
end, and ON is drawn where ON is on that bank.
"""

import msgspec
from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.plan.model import BankPlan, Board, SwitchPlan
from tagmaker.tags.reasons import on_list, reason
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LEGIBLE_MM, Style, Unfit, fit, fit_stack, fits, text_height

__all__ = ["BoardPicture"]

BANK_NAME_CAPS = 2.0  # mm; below this a bank's name is set in two lines
WORDS_LEAST, WORDS_MOST = 6.4, 12.5  # mm, for the numbers and words below the slots
BODY_LEAST = 14.0  # mm, below which reasons are set smaller to leave the switches room
CHECK_STYLE = Style(1.7, LEGIBLE_MM, align="center")  # of the word below an ON that is only checked
REASON_CAPS = (2.1, 1.8, LEGIBLE_MM)
REASON_LINES = 6
REASONS_APART = "   "
ENDS_SHARE = 0.13  # of a bank's width, for the words ON and OFF at the ends of the slots


class BoardPicture(Struct, frozen=True):
    """How boards are drawn on one kind of page.

    `list_caps` is the height of the line that lists what is ON; 0 leaves it, and the reasons, out.
    With `blank` the sliders are left out, for what is found to be marked by hand. `slots` gathers the upper
    and lower half of every slot drawn, by bank and switch.
    """

    layout: Layout
    words: Words
    list_caps: float
    side_by_side: bool
    reasons: bool = True
    blank: bool = False
    title: str = ""
    slots: list[tuple[BankPlan, int, Frame, Frame]] = msgspec.field(default_factory=list)

    def draw(self, board: Board, frame: Frame) -> None:
        """One board with its heading and banks."""
        self.layout.rect(frame, line=0.35, radius=1.2)
        inside = frame.inset(1.6, 1.2)
        head, rest = inside.top(min(7.0, frame.height * 0.16))
        self._head(board, head)
        shares = [1] * len(board.banks)
        frames = rest.columns(shares, 5.0) if self.side_by_side else rest.rows(shares, 1.2)
        feet = [self._reasons_height(bank, frames[0]) for bank in board.banks]
        for bank, height, place in zip(board.banks, feet, frames, strict=True):
            self._bank(bank, place, max(feet) if self.side_by_side else height)

    def _head(self, board: Board, frame: Frame) -> None:
        """The board's place, and its positions in order: letters, or a cross where no port is fitted."""
        count = len(board.letters) + board.unfitted
        wide = min(frame.height * 1.05 * count, frame.width * 0.48)
        name, positions = frame.left(frame.width - wide)
        name = Frame(name.x, name.y, name.width - 1.5, name.height)
        text = self.words("placard.board", place=board.place).upper() + self.title
        self.layout.text(text, name, Style(frame.height * 0.55, bold=True))
        cells = positions.columns([1] * count, 0.8)
        for index, cell in enumerate(cells):
            square = cell.inset(0, frame.height * 0.08)
            if index < len(board.letters):
                self.layout.rect(square, line=0.3)
                style = Style(square.height * 0.6, bold=True, align="center", upright="letter")
                self.layout.text(board.letters[index], square, style)
            else:
                self._unfitted(square)

    def _unfitted(self, cell: Frame) -> None:
        """A crossed grey cell: no port is fitted there."""
        self.layout.rect(cell, fill=0.88)
        self.layout.rule(cell.x, cell.bottom, cell.right, cell.y, 0.25)
        self.layout.rule(cell.x, cell.y, cell.right, cell.bottom, 0.25)

    def _bank(self, bank: BankPlan, frame: Frame, foot_height: float) -> None:
        """A bank with its reasons at its foot."""
        head, rest = frame.top(self._head_height())
        self._bank_head(bank, head)
        body, foot = rest.top(rest.height - foot_height)
        self._body(bank, body)
        self.layout.text(self._reasons(bank), foot, Style(REASON_CAPS[0], lines=REASON_LINES, upright="top"))

    def _head_height(self) -> float:
        """Room for a bank's name, or for its list of ON switches."""
        return self.list_caps * 1.6 if self.list_caps else 4.2

    def _bank_head(self, bank: BankPlan, frame: Frame) -> None:
        """A bank's name, and in large letters what is ON."""
        if not self.list_caps:
            self.layout.text(bank.name, frame, Style(2.6, bold=True))
            return
        name, listed = frame.columns((0.24, 0.76))
        lines = 1 if fits(bank.name, name.width, BANK_NAME_CAPS, bold=True) else 2
        self.layout.text(bank.name, name, Style(3.4, lines=lines, bold=True))
        style = Style(self.list_caps, 2.2, bold=True, align="right", role="main")
        self.layout.text(on_list(bank, self.words), listed, style)

    def _reasons(self, bank: BankPlan) -> str:
        """The reasons of a bank's settings, each kept whole where the line breaks."""
        if not self.reasons:
            return ""
        texts = [
            self.words("placard.reason", switch=switch.number, reason=reason(switch, self.words))
            for switch in bank.switches
            if switch.state != "off"
        ]
        return REASONS_APART.join(text.replace(" ", "\u00a0") for text in texts)

    def _reasons_height(self, bank: BankPlan, frame: Frame) -> float:
        """What the reasons take, as large as leaves room for the switches."""
        text, height = self._reasons(bank), 0.0
        for caps in REASON_CAPS if text else ():
            lines = fit(text, Frame(0, 0, frame.width, frame.height), Style(caps, caps, lines=REASON_LINES))
            if not isinstance(lines, Unfit):
                height = text_height(caps, len(lines))
                if frame.height - self._head_height() - height >= BODY_LEAST:
                    break
        return height

    def _body(self, bank: BankPlan, frame: Frame) -> None:
        """The slots in a frame, their numbers and words below them."""
        most, least = frame.height - WORDS_LEAST, frame.height - WORDS_MOST
        slots, below = frame.top(max(least, min(most, frame.height * 0.58)))
        self.layout.rect(slots, line=0.6, radius=0.8)
        ends, row = slots.left(slots.width * ENDS_SHARE)
        self._ends(bank, ends)
        order = bank.switches if bank.numbered_from == "left" else tuple(reversed(bank.switches))
        _, under = below.left(slots.width * ENDS_SHARE)
        under = Frame(under.x, under.y + 0.7, under.width, under.height - 1.2)
        numbers, words = under.rows((0.45, 0.55))
        count = [1] * len(order)
        for switch, slot, number, word in zip(
            order, row.columns(count), numbers.columns(count), words.columns(count), strict=True
        ):
            self._slot(bank, switch, slot)
            self.layout.text(
                str(switch.number), number, Style(number.height * 0.72, bold=True, align="center")
            )
            self._word(switch, word)

    def _ends(self, bank: BankPlan, frame: Frame) -> None:
        """The words ON and OFF at the ends of the slots: which way ON points."""
        upper, lower = frame.inset(0.5, 0.6).rows((1, 1))
        on, off = (upper, lower) if bank.on_points == "up" else (lower, upper)
        self.layout.text(self.words("state.on"), on, Style(2.4, bold=True, align="center"))
        self.layout.text(self.words("state.off"), off, Style(2.4, align="center"))

    def _slot(self, bank: BankPlan, switch: SwitchPlan, cell: Frame) -> None:
        """One slot with its slider; blank halves to mark on a sheet for the walk."""
        width = min(cell.width * 0.5, cell.height * 0.6)
        slot = Frame(cell.x + (cell.width - width) / 2, cell.y + 1.0, width, cell.height - 2.0)
        upper, lower = slot.rows((1, 1))
        self.slots.append((bank, switch.number, upper, lower))
        if self.blank:
            self.layout.rect(upper, line=0.3)
            self.layout.rect(lower, line=0.3)
        elif switch.state == "leave":
            self.layout.dashed(slot, 0.3)
        else:
            self.layout.rect(slot, line=0.4)
            at_upper = (switch.state == "on") == (bank.on_points == "up")
            self.layout.rect((upper if at_upper else lower).inset(0.5, 0.5), fill=0.0)

    def _word(self, switch: SwitchPlan, cell: Frame) -> None:
        """The setting in a word: white on black for ON, as that is what must be set."""
        if self.blank:
            return
        most, inner = min(cell.height * 0.62, 4.4), cell.inset(cell.width * 0.08, 0)
        if switch.state == "leave":
            self._leave(cell, Style(most * 0.6, lines=2, align="center"))
        elif switch.state == "off":
            self.layout.text(self.words("state.off"), inner, Style(most, align="center"))
        elif switch.check_only:
            self._check_only(inner, most)
        else:
            self.layout.rect(inner, fill=0.0)
            style = Style(most, bold=True, align="center", ink=1.0)
            self.layout.text(self.words("state.on"), inner, style)

    def _check_only(self, cell: Frame, most: float) -> None:
        """ON in an open frame, with the word that it is only checked where there is room for it."""
        self.layout.rect(cell.inset(0.2), line=0.4)
        on = self.words("state.on")
        both = [(on, Style(most, bold=True, align="center")), (self.words("state.check"), CHECK_STYLE)]
        if isinstance(fit_stack(both, cell.inset(0.4)), Unfit):
            self.layout.text(on, cell, Style(most * 0.9, bold=True, align="center"))
        else:
            self.layout.stack(both, cell.inset(0.4))

    def _leave(self, cell: Frame, style: Style) -> None:
        """As found, in words; where many switches leave no room for them, a sign."""
        text = self.words("state.leave")
        if isinstance(fit(text, cell, style), Unfit):
            text = self.words("state.leave_sign")
        self.layout.text(text, cell, style)

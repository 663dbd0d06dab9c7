"""The boards of a verification sheet: for every switch a box to mark for ON and one for OFF, the plan below.

Takes a box's boards; gives parts of a page. A bank is drawn as one faces it: its switches in their order, the
ON row where ON is on that bank. Boards lie side by side where that is lower; banks that do not fit beside
each other lie one below the other, and a board that is higher than half a page goes on in a further part.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Literal

from msgspec import Struct

from tagmaker.plan.model import BankPlan, Board, SwitchPlan
from tagmaker.sheets.board_grid import heading
from tagmaker.sheets.walk_flow import Part
from tagmaker.sheets.walk_pen import CAPS, TICK, WalkPen, least_width, lines_needed
from tagmaker.tags import fields
from tagmaker.tags.reasons import settings_text
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import text_height

__all__ = ["board_parts", "boards_title"]

PITCH = 6.4  # mm from switch to switch at least: a box to tick and air
PITCH_MOST = 22.0
ENDS = 7.0  # mm, for the words ON, OFF and plan beside the boxes
APART = 2.4  # mm between banks, and between boards
PAD = 1.4  # mm within a board's frame
ABOVE = 0.6  # mm between a title and the boards below it
HEAD = 5.8  # mm, a board's place and positions
NUMBERS, PLANNED = 4.0, 4.8  # mm, the rows of switches' numbers and of planned settings
TICKS = TICK + 1.6  # mm, a row of boxes
BELOW = 0.6  # mm below a bank
KEY = 48.0  # mm, for how the plan is read
PLAN_MOST = 10.0  # mm, the width of a planned setting
GROWTH = 1.2  # how much higher than needed a board may be drawn
PART_MOST = 110.0  # mm, above which a board is divided
POSITION = 4.6  # mm, the side of a position in a board's head
SEEN = 16.0  # mm, the width of the box that only screens show
NAME_LINES = 2


class _Piece(Struct, frozen=True):
    """A board, or a part of one: lines of banks that lie side by side."""

    board: Board
    lines: tuple[tuple[BankPlan, ...], ...]
    is_first: bool = True


def boards_title(pen: WalkPen, frame: Frame) -> None:
    """The section's title, and beside it how the plan below the boxes is read."""
    pen.title(pen.words("walk.boards"), frame)
    if not pen.blind:
        key = Frame(frame.right - KEY, frame.y + 0.6, KEY, frame.height - 0.6)
        pen.text(pen.words("walk.plan_key"), key, align="right")


def board_parts(pen: WalkPen, width: float) -> tuple[Part, ...]:
    """The parts that show all boards, on that width: a row of boards each."""
    return min(
        (_rows(pen, count, width) for count in range(1, len(pen.box.boards) + 1) if _fits(pen, count, width)),
        key=lambda parts: sum(part.least for part in parts),
        default=_rows(pen, 1, width),
    )


def _inside(count: int, width: float) -> float:
    """The width within the frame of one of so many boards side by side."""
    return (width - APART * (count - 1)) / count - 2 * PAD


def _fits(pen: WalkPen, count: int, width: float) -> bool:
    """Whether every board fits beside as many others."""
    inside = _inside(count, width)
    return all(
        _head_width(pen, board) <= inside and all(ENDS + _bank_width(bank) <= inside for bank in board.banks)
        for board in pen.box.boards
    )


def _head_width(pen: WalkPen, board: Board) -> float:
    name = heading(board, pen.words)
    return least_width(name, 1) + SEEN + 2 + POSITION * (len(board.letters) + board.unfitted)


def _bank_width(bank: BankPlan) -> float:
    """What a bank's switches or its name need at least."""
    return max(PITCH * len(bank.switches), least_width(bank.name, NAME_LINES))


def _rows(pen: WalkPen, count: int, width: float) -> tuple[Part, ...]:
    """The boards, so many side by side, as one part a row."""
    rows = -(-len(pen.box.boards) // count)
    abreast = -(-len(pen.box.boards) // rows)
    inside = _inside(abreast, width)
    pieces = [piece for board in pen.box.boards for piece in _pieces(pen, board, inside, abreast)]
    return tuple(
        _row(pen, pieces[start : start + abreast], abreast) for start in range(0, len(pieces), abreast)
    )


def _pieces(pen: WalkPen, board: Board, inside: float, abreast: int) -> Iterator[_Piece]:
    """A board as one piece, or, where it is alone in its row and too high, as several."""
    lines = _lines(board, inside)
    is_whole = abreast > 1 or _height(pen, _Piece(board, lines)) <= PART_MOST
    step = len(lines)
    while not is_whole and step > 1 and _height(pen, _Piece(board, lines[:step])) > PART_MOST:
        step -= 1
    for start in range(0, len(lines), step):
        yield _Piece(board, lines[start : start + step], start == 0)


def _lines(board: Board, inside: float) -> tuple[tuple[BankPlan, ...], ...]:
    """The banks of a board in lines, as many side by side as fit."""
    lines: list[list[BankPlan]] = [[]]
    for bank in board.banks:
        if lines[-1] and _line_width([*lines[-1], bank]) > inside:
            lines.append([])
        lines[-1].append(bank)
    return tuple(tuple(line) for line in lines)


def _line_width(banks: Sequence[BankPlan]) -> float:
    ends = 1 + sum(_turns(banks, at) for at in range(1, len(banks)))
    return ENDS * ends + sum(_bank_width(bank) for bank in banks) + APART * (len(banks) - 1)


def _turns(banks: Sequence[BankPlan], at: int) -> bool:
    """Whether ON is at the other end than on the bank before: then ON and OFF are named again."""
    return banks[at].on_points != banks[at - 1].on_points


def _height(pen: WalkPen, piece: _Piece) -> float:
    return HEAD + 2 * PAD + sum(_line_height(pen, line) for line in piece.lines)


def _line_height(pen: WalkPen, banks: Sequence[BankPlan]) -> float:
    planned = 0.0 if pen.blind else PLANNED
    return _name_height(banks) + NUMBERS + 2 * TICKS + planned + BELOW


def _name_height(banks: Sequence[BankPlan]) -> float:
    lines = (lines_needed(bank.name, _bank_width(bank), bold=True) for bank in banks)
    return text_height(CAPS, max(1, *lines))


def _row(pen: WalkPen, pieces: Sequence[_Piece], abreast: int) -> Part:
    """Boards side by side."""
    tall = max(_height(pen, piece) for piece in pieces) + APART

    def draw(frame: Frame) -> None:
        room = Frame(frame.x, frame.y + ABOVE, frame.width, frame.height - APART)
        for piece, cell in zip(pieces, room.columns([1] * abreast, APART), strict=False):
            _Drawing(pen, piece).draw(cell)

    return Part(tall, tall * GROWTH, draw)


class _Drawing(Struct, frozen=True):
    """A board, or a part of one, being drawn."""

    pen: WalkPen
    piece: _Piece

    def draw(self, frame: Frame) -> None:
        """The board, which is read as its planned settings and then field by field."""
        with self.pen.layout.figure(self._spoken()):
            self._drawn(frame)

    def _spoken(self) -> str:
        """What a screen reader says in place of the picture; without the plan on a blind sheet."""
        pen, board = self.pen, self.piece.board
        name = f"{pen.words('placard.board', place=board.place).upper()} {' '.join(board.letters)}"
        banks = [bank for line in self.piece.lines for bank in line if not pen.blind]
        return ". ".join(
            [name, *(f"{bank.name}: {settings_text(bank, pen.words, names_rest=True)}" for bank in banks)]
        )

    def _drawn(self, frame: Frame) -> None:
        """The board's frame, its head, and its banks."""
        pen, inside = self.pen, frame.inset(PAD)
        pen.layout.rect(frame, line=0.35, radius=1.2)
        head, rest = inside.top(HEAD)
        self._head(head)
        heights = [_line_height(pen, line) for line in self.piece.lines]
        for line, place in zip(self.piece.lines, rest.rows(heights), strict=True):
            self._line(line, place)
        if self.piece.is_first:
            x = head.right - self._positions_width() - SEEN - 1.0
            self._seen(Frame(x, head.y + 0.6, SEEN, HEAD - 1.2))

    def _positions_width(self) -> float:
        return POSITION * (len(self.piece.board.letters) + self.piece.board.unfitted)

    def _head(self, frame: Frame) -> None:
        """The board's place, and its positions in order: letters, or a cross where no port is fitted."""
        pen, board = self.pen, self.piece.board
        count = len(board.letters) + board.unfitted
        name, positions = frame.left(frame.width - self._positions_width())
        text = heading(board, pen.words)
        if not self.piece.is_first:
            text = pen.words("walk.continued", board=text)
        room = name.width - (SEEN + 2.0 if self.piece.is_first else 1.5)
        pen.text(text, Frame(name.x, name.y, room, name.height), 2.8, bold=True)
        for index, cell in enumerate(positions.columns([1] * count)):
            square = Frame(cell.x + 0.3, cell.y + 0.8, POSITION - 0.6, frame.height - 1.6)
            pen.layout.rect(square, line=0.25)
            if index < len(board.letters):
                pen.text(board.letters[index], square, 2.8, bold=True, align="center")
            else:
                pen.layout.rule(square.x, square.bottom, square.right, square.y, 0.25)
                pen.layout.rule(square.x, square.y, square.right, square.bottom, 0.25)

    def _seen(self, frame: Frame) -> None:
        """A box on screens alone: every switch of the board that is not marked ON is OFF."""
        pen, place = self.pen, self.piece.board.place
        spoken = pen.words("walk.told_seen", place=place)
        pen.field(frame, "screen", fields.board_seen(pen.key, place), spoken, pen.words("walk.seen"))

    def _line(self, banks: Sequence[BankPlan], frame: Frame) -> None:
        """Banks side by side, each below its name."""
        width = _pitch(banks, frame.width)
        x = frame.x
        for at, bank in enumerate(banks):
            x += APART if at else 0.0
            if not at or _turns(banks, at):
                self._ends(bank, Frame(x, frame.y, ENDS, frame.height), banks)
                x += ENDS
            wide = max(_bank_width(bank), width * len(bank.switches))
            self._bank(bank, Frame(x, frame.y, wide, frame.height), _name_height(banks), width)
            x += wide

    def _ends(self, bank: BankPlan, frame: Frame, banks: Sequence[BankPlan]) -> None:
        """The words beside the rows: which is ON, which OFF, which is planned."""
        pen = self.pen
        _, upper, lower, planned = self._strips(frame, _name_height(banks))
        on, off = (upper, lower) if bank.on_points == "up" else (lower, upper)
        pen.text(pen.words("state.on"), on, 2.8, bold=True)
        pen.text(pen.words("state.off"), off, 2.8)
        if not pen.blind:
            pen.text(pen.words("walk.planned"), planned)

    def _strips(self, frame: Frame, name: float) -> tuple[Frame, Frame, Frame, Frame]:
        """The rows of a bank below its name: numbers, upper boxes, lower boxes, plan."""
        planned = 0.0 if self.pen.blind else PLANNED
        rest = frame.top(name)[1]
        numbers, rest = rest.top(NUMBERS)
        boxes, foot = rest.top(rest.height - planned - BELOW)
        upper, lower = boxes.rows((1, 1))
        return numbers, upper, lower, foot.top(planned)[0]

    def _bank(self, bank: BankPlan, frame: Frame, name: float, pitch: float) -> None:
        """A bank's name, and for each switch its number, its two boxes, and its plan."""
        pen = self.pen
        pen.text(bank.name, frame.top(name)[0], 2.5, bold=True, lines=NAME_LINES)
        for at, switch in enumerate(bank.in_order()):
            column = Frame(frame.x + at * pitch, frame.y, pitch, frame.height)
            number, upper, lower, planned = self._strips(column, name)
            pen.text(str(switch.number), number, 2.8, bold=True, align="center")
            on, off = (upper, lower) if bank.on_points == "up" else (lower, upper)
            self._box(bank, switch, "on", on)
            self._box(bank, switch, "off", off)
            if not pen.blind:
                self._planned(switch, planned)

    def _box(self, bank: BankPlan, switch: SwitchPlan, state: Literal["on", "off"], frame: Frame) -> None:
        """A box to mark: this switch was found so."""
        pen, place = self.pen, self.piece.board.place
        name: Callable[[str, str, int, int], str] = fields.switch_on if state == "on" else fields.switch_off
        spoken = pen.words(f"walk.told_{state}", place=place, bank=bank.name, switch=switch.number)
        pen.tick(frame, name(pen.key, place, bank.number, switch.number), spoken)

    def _planned(self, switch: SwitchPlan, frame: Frame) -> None:
        """The planned setting: white on black for ON, framed where the factory sets it, a sign where none."""
        pen, wide = self.pen, min(frame.width - 0.6, PLAN_MOST)
        inner = Frame(frame.x + (frame.width - wide) / 2, frame.y + 0.4, wide, frame.height - 0.8)
        if switch.state == "on" and not switch.check_only:
            pen.layout.rect(inner, fill=0.0)
        elif switch.state == "on":
            pen.layout.rect(inner, line=0.35)
        ink = 1.0 if switch.state == "on" and not switch.check_only else 0.0
        key = {"on": "state.on", "off": "state.off", "leave": "walk.any"}[switch.state]
        pen.text(pen.words(key), inner, bold=switch.state == "on", align="center", ink=ink)


def _pitch(banks: Sequence[BankPlan], width: float) -> float:
    """How far apart the switches of a line are: as far as its width allows, within reason."""
    spare = width - _line_width(banks)
    least = sum(len(bank.switches) for bank in banks)
    return min(PITCH_MOST, PITCH + spare / least)

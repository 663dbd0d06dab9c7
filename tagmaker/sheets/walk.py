"""The verification sheet of a box: boards planned beside found, a line a letter, items, signatures.

Takes a planned box; gives its pages. Blocks flow down letter or A4 pages; every page is headed with the box.
Each thing to fill in is a form field as well as a place to write, and nothing is filled in beforehand: a box
that is not ticked must mean that nobody looked. Blind sheets leave out what is expected, for a check that is
not led by it. Names of fields are `tags.fields`', which the reader of returned forms uses too.
"""

from collections.abc import Callable
from dataclasses import dataclass

from tagmaker.catalog.walk_items import ROLES, WalkItem
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Field, FieldKind, Page
from tagmaker.job.model import Job
from tagmaker.plan.model import Board, BoxPlan, Port
from tagmaker.problems import Problem
from tagmaker.sheets.board import BoardPicture
from tagmaker.sheets.paper import paper_size
from tagmaker.tags import fields
from tagmaker.tags.walk import items_of_box, items_of_letter, letters_of, printed_for
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Block, flow, together
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style

__all__ = ["walk_pages"]

MARGIN = 9.0
HEAD = 20.0
BOARD = 32.0
ROW = 8.6
ITEM_ROW = 5.4
BOX_ITEM_ROW = 4.0
PORT_SHARES = (0.045, 0.195, 0.19, 0.19, 0.05, 0.21, 0.12)
TICK = 3.4  # side of a box to tick, mm
LINE = 4.6  # height of a field to write in, mm


def walk_pages(
    job: Job, box: BoxPlan, words: Words, *, blind: bool = False
) -> tuple[tuple[Page, ...], tuple[Problem, ...]]:
    """The pages of a box's verification sheet, with the problems of texts that do not fit."""
    layout = Layout(f"verification sheet of {box.row.tag}", box.row.where, box.row.key)
    return _Walk(job, box, words, layout, blind).pages(), tuple(layout.problems)


@dataclass
class _Walk:
    """A box's sheet being laid out."""

    job: Job
    box: BoxPlan
    words: Words
    layout: Layout
    blind: bool

    def pages(self) -> tuple[Page, ...]:
        """All pages; the first carries what the sheet was printed for as a hidden field."""
        size = paper_size(self.job)
        room = Frame(0, 0, *size).inset(MARGIN, 8.0)
        sheets = flow(self._blocks(), room.height - HEAD - 3)
        pages: list[Page] = []
        for number, blocks in enumerate(sheets, start=1):
            head, rest = room.top(HEAD)
            self._head(head)
            if number == 1:
                text = printed_for(self.job, self.box)
                self._field(
                    Frame(head.x, head.y, 5, 5), "kept", fields.printed_for(self.box.row.key), "", text
                )
            for height, draw in blocks:
                frame, rest = rest.top(height)
                draw(frame)
            foot = self.words("walk.page", box=self.box.row.shown, page=number, pages=len(sheets))
            self.layout.text(foot, Frame(room.x, room.bottom - 3, room.width, 4), Style(1.9, align="right"))
            pages.append(Page(*size, tuple(self.layout.marks)))
            self.layout.marks = []
        return tuple(pages)

    def _blocks(self) -> list[Block]:
        """Boards, ports, items and signatures as blocks with their heights."""
        blocks: list[Block] = [(6.5, lambda frame: self._title(frame, "walk.boards"))]
        blocks += [(BOARD, self._board_block(board)) for board in self.box.boards]
        blocks += [
            (5.5, lambda frame: self._title(frame, "walk.ports")),
            (7.5, self._method),
            (5.0, self._columns),
        ]
        blocks += [(ROW, self._port_block(letter, port)) for letter, port in letters_of(self.box)]
        return [*blocks, *together(self._item_blocks())]

    def _item_blocks(self) -> list[Block]:
        """The items and the signatures, on one page where one holds them."""
        blocks: list[Block] = [(7.5, lambda frame: self._title(frame, "walk.items"))]
        blocks += [(BOX_ITEM_ROW, self._box_item_block(item)) for item in items_of_box(self.job)]
        keyed = [item for item in self.job.walk_items if item.per != "box"]
        if keyed:
            blocks.append((9.0, lambda frame: self._item_heads(keyed, frame)))
            blocks += [
                (ITEM_ROW, self._item_block(letter, port, keyed)) for letter, port in letters_of(self.box)
            ]
        blocks.append((17.0, self._signatures))
        return blocks

    def _field(self, frame: Frame, kind: FieldKind, name: str, spoken: str, value: str = "") -> None:
        """A field to fill in with its frame on the page; `spoken` is its name for a screen reader."""
        if kind != "kept":
            self.layout.rect(frame, line=0.18)
        self.layout.marks.append(
            Field(frame.x, frame.y, frame.width, frame.height, kind, name, spoken, value)
        )

    def _tick(self, frame: Frame, name: str, spoken: str, word: str = "") -> None:
        """A box to tick with a word beside it."""
        y = frame.y + (frame.height - TICK) / 2
        self._field(Frame(frame.x, y, TICK, TICK), "check", name, spoken)
        if word:
            place = Frame(frame.x + TICK + 0.8, frame.y, frame.width - TICK - 0.8, frame.height)
            self.layout.text(word, place, Style(2.1, lines=2))

    def _write(self, frame: Frame, name: str, spoken: str) -> None:
        """A line to write on, as high as a hand needs."""
        self._field(
            Frame(frame.x, frame.y + (frame.height - LINE) / 2, frame.width, LINE), "text", name, spoken
        )

    # --- head --------------------------------------------------------------------------------------------

    def _head(self, frame: Frame) -> None:
        """Which box and job it is, where the box is and is isolated, and the caution."""
        words, row, job = self.words, self.box.row, self.job
        upper, lower = frame.top(12.0)
        tag, title = upper.columns((0.5, 0.5), 3)
        self.layout.text(row.shown, tag, Style(8.0, 3.0, bold=True))
        name, state = title.rows((1.1, 1))
        self.layout.text(words("walk.title"), name, Style(4.0, bold=True, align="right"))
        parts = [
            " ".join(part for part in (job.number, job.name) if part),
            f"{words('walk.revision')} {job.revision}",
        ]
        parts += [job.date.isoformat()] if job.date else []
        parts += [words("tag.draft")] if job.is_draft else []
        self.layout.text(" · ".join(parts), state, Style(2.6, lines=2, bold=True, align="right"))
        self.layout.rule(lower.x, lower.y, lower.right, lower.y, 0.8)
        facts = [
            f"{words(f'walk.{key}')}: {text or words('placard.no_place')}"
            for key, text in (("place", row.place), ("power", row.power))
        ]
        first, second = Frame(lower.x, lower.y + 0.8, lower.width, lower.height - 1.6).rows((1, 1))
        for text, cell in zip(facts, first.columns((1, 1), 3), strict=True):
            self.layout.text(text, cell, Style(2.4, lines=1, bold=True))
        self.layout.text(words("walk.caution"), second, Style(2.2, lines=2))

    def _title(self, frame: Frame, key: str) -> None:
        """A section's title."""
        self.layout.text(self.words(key), frame, Style(2.9, bold=True))

    # --- boards ------------------------------------------------------------------------------------------

    def _board_block(self, board: Board) -> Callable[[Frame], None]:
        """A board as planned beside the same board to be marked."""

        def draw(frame: Frame) -> None:
            planned, found = Frame(frame.x, frame.y, frame.width, frame.height - 1.6).columns((1, 1), 3)
            if self.blind:
                planned, found = found, Frame(frame.x, frame.y, frame.width, frame.height - 1.6)
            else:
                self._picture(f" – {self.words('walk.expected')}").draw(board, planned)
            picture = self._picture(f" – {self.words('walk.found')}", blank=True)
            picture.draw(board, found)
            self._found(board, picture, Frame(found.x + 2, found.bottom - 6.0, found.width / 2, 5.0))

        return draw

    def _picture(self, title: str, *, blank: bool = False) -> BoardPicture:
        """A picture of boards without lists and reasons."""
        return BoardPicture(self.layout, self.words, 0, True, reasons=False, blank=blank, title=title)  # noqa: FBT003

    def _found(self, board: Board, picture: BoardPicture, corner: Frame) -> None:
        """A tick at the ON end of every slot, and one that the board was looked at."""
        box, place = self.box.row.key, board.place
        for bank, switch, upper, lower in picture.slots:
            end = upper if bank.on_points == "up" else lower
            side = min(end.width, end.height) - 0.4
            at = Frame(end.x + (end.width - side) / 2, end.y + (end.height - side) / 2, side, side)
            spoken = self.words("walk.told_switch", place=place, bank=bank.name, switch=switch)
            self._field(at, "check", fields.switch_on(box, place, bank.number, switch), spoken)
        spoken = self.words("walk.told_seen", place=place)
        self._tick(corner, fields.board_seen(box, place), spoken, self.words("walk.seen"))

    # --- ports -------------------------------------------------------------------------------------------

    def _method(self, frame: Frame) -> None:
        """How landing is proved, in words."""
        self.layout.text(self.words("walk.method"), frame, Style(2.1, lines=3))

    def _columns(self, frame: Frame) -> None:
        """The heads of the ports' columns."""
        keys = ("port", "units", "pipe", "cable", "tags", "proved", "note")
        for key, cell in zip(keys, frame.columns(PORT_SHARES, 1.5), strict=True):
            if key != "units" or not self.blind:
                self.layout.text(self.words(f"walk.column_{key}"), cell, Style(2.1, lines=2, bold=True))

    def _port_block(self, letter: str, port: Port) -> Callable[[Frame], None]:
        """A letter's line with the rule above it."""

        def draw(frame: Frame) -> None:
            self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.25)
            self._port(letter, port, frame.columns(PORT_SHARES, 1.5))

        return draw

    def _port(self, letter: str, port: Port, cells: list[Frame]) -> None:
        """What is planned for a letter, and what to tick and write of it."""
        words, box = self.words, self.box.row.key
        self.layout.text(letter, cells[0], Style(4.4, bold=True, upright="letter"))
        if not self.blind:
            self.layout.stack(self._planned(letter, port), cells[1].inset(0, 0.4))
        second = port.use == "joined" and letter != port.letters[0]
        pipe = "walk.stubs_capped" if port.use == "spare" and not self.blind else "walk.right"
        lands = "walk.right" if self.blind or not (port.use == "spare" or second) else "walk.no_cable"
        for what, word, cell in (("pipe", pipe, cells[2]), ("cable", lands, cells[3])):
            tick, found = cell.columns((0.42, 0.58), 0.8)
            spoken = words(f"walk.told_{what}", port=letter)
            self._tick(tick, fields.port_field(box, letter, f"{what}/ok"), spoken, words(word))
            self._write(
                found,
                fields.port_field(box, letter, f"{what}/found"),
                words("walk.told_found", what=what, port=letter),
            )
        spoken = words("walk.told_tags", port=letter)
        self._tick(cells[4], fields.port_field(box, letter, "tags/ok"), spoken)
        *ticks, how = cells[5].columns((0.22, 0.25, 0.53), 0.8)
        proved = fields.port_field(box, letter, "proved")
        for what, tick in zip(("pipe", "cable"), ticks, strict=True):
            spoken = words("walk.told_proved_line", port=letter, what=what)
            name = fields.port_field(box, letter, f"{what}/proved")
            self._tick(tick, name, spoken, words(f"walk.proved_{what}"))
        self._write(how, proved, words("walk.told_proved", port=letter))
        self._write(cells[6], fields.port_field(box, letter, "note"), words("walk.told_note", port=letter))

    def _planned(self, letter: str, port: Port) -> list[tuple[str, Style]]:
        """Units, load and pair of a letter."""
        words, unit = self.words, self.job.capacity_unit
        if port.use == "spare":
            return [(words("walk.spare"), Style(2.8, bold=True))]
        units = ", ".join(each.tag for each in port.units)
        load = port.load.text(unit) if port.load else words("placard.unknown_load")
        facts = [load] if port.use == "single" else [words("walk.pair", ports=port.name), load]
        if port.use == "joined" and letter != port.letters[0]:
            facts.append(words("walk.lands_on", first=port.letters[0]))
        return [
            (units, Style(2.8, lines=2, bold=True)),
            (" · ".join(facts), Style(2.2, lines=1)),
        ]

    # --- items -------------------------------------------------------------------------------------------

    def _box_item_block(self, item: WalkItem) -> Callable[[Frame], None]:
        """An item asked once a box."""

        def draw(frame: Frame) -> None:
            text, role = frame.columns((0.8, 0.2), 2)
            self._tick(text, fields.box_item(self.box.row.key, item.key), item.text, item.text)
            self.layout.text(self.words(f"walk.{item.role}"), role, Style(2.1, align="right"))

        return draw

    def _item_columns(self, items: list[WalkItem], frame: Frame) -> tuple[Frame, list[Frame]]:
        """A letter's cell and the cells of items beside it."""
        letter, rest = frame.left(frame.width * PORT_SHARES[0])
        return letter, rest.columns([1] * len(items), 1.5)

    def _item_heads(self, items: list[WalkItem], frame: Frame) -> None:
        """The words of the items asked for each letter."""
        _, cells = self._item_columns(items, frame)
        for item, cell in zip(items, cells, strict=True):
            role = self.words(f"walk.{item.role}")
            self.layout.stack([(item.text, Style(2.0, lines=2, bold=True)), (role, Style(1.7))], cell)

    def _item_block(self, letter: str, port: Port, items: list[WalkItem]) -> Callable[[Frame], None]:
        """A letter's items; one that its use does not ask for is left out."""

        def draw(frame: Frame) -> None:
            self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.15)
            name, cells = self._item_columns(items, frame)
            self.layout.text(letter, name, Style(3.0, bold=True))
            asked = items if self.blind else items_of_letter(self.job, port, letter)
            for item, cell in zip(items, cells, strict=True):
                if item in asked:
                    name_ = fields.port_item(self.box.row.key, letter, item.key)
                    self._tick(cell, name_, f"{letter}: {item.text}")

        return draw

    # --- signatures --------------------------------------------------------------------------------------

    def _signatures(self, frame: Frame) -> None:
        """A name and a date for each role."""
        self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.25)
        title, lines = frame.top(5.0)
        self._title(title, "walk.sign")
        box = self.box.row.key
        for role, cell in zip(ROLES, lines.columns((1, 1, 1), 4), strict=True):
            name, when = cell.top(6.5)[0].columns((0.68, 0.32), 1.5)
            word = self.words(f"walk.{role}")
            self._write(name, fields.sign(box, role), word)
            self._write(when, fields.date(box, role), f"{word}, {self.words('walk.date')}")
            below = cell.top(6.5)[1].top(3.6)[0]
            self.layout.text(word, below, Style(2.1))
            self.layout.text(self.words("walk.date"), below, Style(2.1, align="right"))

"""The verification sheet of a box: boards planned beside found, a line a letter, signatures.

Blocks flow down letter or A4 pages; every page is headed with the box.
"""

from collections.abc import Callable
from dataclasses import dataclass

from tagmaker.catalog.words import Words
from tagmaker.job.records import Job
from tagmaker.marks import Page
from tagmaker.plan.records import Board, BoxPlan, Port
from tagmaker.problems import Problem
from tagmaker.sheets.board import BoardPicture
from tagmaker.sheets.canvas import Layout
from tagmaker.sheets.fit import Style
from tagmaker.sheets.frame import Frame
from tagmaker.sheets.paper import paper_size

__all__ = ["walk_pages"]

MARGIN = 9.0
HEAD = 20.0
BOARD = 30.0
ROW = 8.5
PORT_SHARES = (0.075, 0.235, 0.15, 0.15, 0.1, 0.29)
TICK = 3.3  # side of a box to tick, mm

Block = tuple[float, Callable[[Frame], None]]


def walk_pages(job: Job, box: BoxPlan, words: Words) -> tuple[tuple[Page, ...], tuple[Problem, ...]]:
    """The pages of a box's verification sheet, with the problems of texts that do not fit."""
    layout = Layout(f"verification sheet of {box.row.tag}", box.row.where, box.row.key)
    return _Walk(job, box, words, layout).pages(), tuple(layout.problems)


@dataclass
class _Walk:
    job: Job
    box: BoxPlan
    words: Words
    layout: Layout

    def pages(self) -> tuple[Page, ...]:
        size = paper_size(self.job)
        room = Frame(0, 0, *size).inset(MARGIN, 8.0)
        sheets = _flow(self._blocks(), room.height - HEAD - 3)
        pages: list[Page] = []
        for number, blocks in enumerate(sheets, start=1):
            head, rest = room.top(HEAD)
            self._head(head)
            for height, draw in blocks:
                frame, rest = rest.top(height)
                draw(frame)
            foot = self.words("walk.page", box=self.box.row.shown, page=number, pages=len(sheets))
            self.layout.text(foot, Frame(room.x, room.bottom - 3, room.width, 4), Style(1.9, align="right"))
            pages.append(Page(*size, tuple(self.layout.marks)))
            self.layout.marks = []
        return tuple(pages)

    def _blocks(self) -> list[Block]:
        blocks: list[Block] = [(6.5, lambda frame: self._title(frame, "walk.boards"))]
        blocks += [(BOARD, self._board_block(board)) for board in self.box.boards]
        blocks += [
            (5.5, lambda frame: self._title(frame, "walk.ports")),
            (7.5, self._method),
            (5.0, self._columns),
        ]
        letters = sorted((letter, port) for port in self.box.ports for letter in port.letters)
        blocks += [(ROW, self._port_block(letter, port)) for letter, port in letters]
        blocks.append((16.0, self._signatures))
        return blocks

    # --- head --------------------------------------------------------------------------------------------

    def _head(self, frame: Frame) -> None:
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
        self.layout.text(self.words(key), frame, Style(2.9, bold=True))

    # --- boards ------------------------------------------------------------------------------------------

    def _board_block(self, board: Board) -> Callable[[Frame], None]:
        def draw(frame: Frame) -> None:
            planned, found = Frame(frame.x, frame.y, frame.width, frame.height - 1.6).columns((1, 1), 3)
            title = f" – {self.words('walk.expected')}"
            BoardPicture(self.layout, self.words, 0, side_by_side=True, reasons=False, title=title).draw(
                board, planned
            )
            title = f" – {self.words('walk.found')}"
            picture = BoardPicture(
                self.layout, self.words, 0, side_by_side=True, reasons=False, blank=True, title=title
            )
            picture.draw(board, found)

        return draw

    # --- ports -------------------------------------------------------------------------------------------

    def _method(self, frame: Frame) -> None:
        self.layout.text(self.words("walk.method"), frame, Style(2.1, lines=3))

    def _columns(self, frame: Frame) -> None:
        keys = ("port", "units", "pipe", "cable", "tags", "note")
        for key, cell in zip(keys, frame.columns(PORT_SHARES, 1.5), strict=True):
            self.layout.text(self.words(f"walk.column_{key}"), cell, Style(2.1, lines=2, bold=True))

    def _port_block(self, letter: str, port: Port) -> Callable[[Frame], None]:
        def draw(frame: Frame) -> None:
            self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.25)
            self._port(letter, port, frame.columns(PORT_SHARES, 1.5))

        return draw

    def _port(self, letter: str, port: Port, cells: list[Frame]) -> None:
        words = self.words
        self.layout.text(letter, cells[0], Style(4.6, bold=True, upright="letter"))
        self.layout.stack(self._planned(letter, port), cells[1].inset(0, 0.4))
        tag, proved = words("walk.tag"), words("walk.proved")
        second = port.use == "joined" and letter != port.letters[0]
        pipe = [words("walk.stubs_capped")] if port.use == "spare" else [tag, proved]
        cable = [words("walk.no_cable")] if port.use == "spare" or second else [tag, proved]
        self._ticks(pipe, cells[2])
        self._ticks(cable, cells[3])
        self._ticks([words("walk.both")], cells[4])
        line = cells[5].bottom - 2.0
        self.layout.rule(cells[5].x, line, cells[5].right, line, 0.15)

    def _planned(self, letter: str, port: Port) -> list[tuple[str, Style]]:
        words, unit = self.words, self.job.capacity_unit
        if port.use == "spare":
            return [(words("walk.spare"), Style(2.8, bold=True))]
        units = ", ".join(each.tag for each in port.units)
        load = port.load.text(unit) if port.load else words("placard.unknown_load")
        told = [load] if port.use == "single" else [words("walk.pair", ports=port.name), load]
        if port.use == "joined" and letter != port.letters[0]:
            told.append(words("walk.lands_on", first=port.letters[0]))
        return [(units, Style(2.8, lines=2, bold=True)), (" · ".join(told), Style(2.2, lines=1))]

    def _ticks(self, texts: list[str], cell: Frame) -> None:
        """Boxes to tick, one below the other, each with its word."""
        rows = cell.inset(0, 0.4).rows([1] * len(texts))
        for text, row in zip(texts, rows, strict=True):
            y = row.y + (row.height - TICK) / 2
            self.layout.rect(Frame(row.x, y, TICK, TICK), line=0.3)
            place = Frame(row.x + TICK + 1, row.y, row.width - TICK - 1, row.height)
            self.layout.text(text, place, Style(2.2, lines=2))

    # --- signatures --------------------------------------------------------------------------------------

    def _signatures(self, frame: Frame) -> None:
        self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.25)
        title, lines = frame.top(5.0)
        self._title(title, "walk.sign")
        for role, cell in zip(
            ("installer", "technician", "verifier"), lines.columns((1, 1, 1), 4), strict=True
        ):
            line = cell.bottom - 4.6
            self.layout.rule(cell.x, line, cell.right, line, 0.25)
            below = Frame(cell.x, line + 0.5, cell.width, 3.4)
            self.layout.text(self.words(f"walk.{role}"), below, Style(2.1))
            self.layout.text(self.words("walk.date"), below, Style(2.1, align="right"))


def _flow(blocks: list[Block], height: float) -> list[list[Block]]:
    """The blocks in pages of that height, in order."""
    pages: list[list[Block]] = [[]]
    left = height
    for block in blocks:
        if block[0] > left and pages[-1]:
            pages.append([])
            left = height
        pages[-1].append(block)
        left -= block[0]
    return pages

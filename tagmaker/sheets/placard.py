"""The placard of a box: planned switch settings as pictures and words, port loads, cautions, the code.

Takes a planned box and the placard's stock; gives its pages. A letter or A4 page holds all of it; on a 4 x 6
in label the ports take a second label. The same text is in two codes at opposite corners, since one code
does not survive a blot on it at any level of recovery, and two do. Modules are at least 0.5 mm, and recovery
is what that leaves: at a lower level codes read from further off, but a fold costs 13 scans in a hundred
(measured).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job
from tagmaker.plan.model import Board, BoxPlan, Port
from tagmaker.problems import Problem, error
from tagmaker.sheets.board import BoardPicture
from tagmaker.symbols.encode import QR_QUIET, Level, Symbol, qr, qr_columns
from tagmaker.tags.placard_text import placard_text
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.codes import on_dots, whole_dots
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LEGIBLE_MM, Style, text_height

__all__ = ["LIST_CAPS", "MODULE_LEAST", "WIDE_PAGE", "placard_pages"]

WIDE_PAGE = 150.0  # mm; narrower pages are labels, and take the ports on a second one
LIST_CAPS = 7.2  # mm: the list of what is ON reads from 1.5 m (NUREG-0700)
CODE = 46.0  # mm, the place of a code with its quiet zone and caption
STAGGER = 21.5  # mm, more than a thumb: how far apart in height two codes side by side begin
LEVELS: tuple[Level, ...] = ("Q", "M", "L")
"""Tried in turn: a fold or scratch through both codes asks for as much recovery as fits (measured)."""
MODULE_LEAST = 0.5  # mm: 4 dots at 203 dpi
MODULE_MOST = 0.7
ROW_PAD = 0.026  # share of a port's line between its words and its rules
ROW_LEAST = text_height(LEGIBLE_MM, 2) * 1.056  # mm of a port's line on a label; codes give way to it
BANK = 50.0  # mm, the height of a bank with its list and reasons
BOARDS_A_ROW = 4


def placard_pages(
    job: Job, box: BoxPlan, stock: Stock, words: Words
) -> tuple[tuple[Page, ...], tuple[Problem, ...]]:
    """The pages of a box's placard, with the problems of texts that do not fit."""
    layout = Layout(f"placard of {box.row.tag}", box.row.where, box.row.key)
    placard = _Placard(job, box, stock, words, layout)
    pages = placard.one_page() if stock.page[0] >= WIDE_PAGE else placard.two_labels()
    return pages, tuple(layout.problems)


@dataclass
class _Placard:
    """A placard being laid out; every part takes the frame that it fills."""

    job: Job
    box: BoxPlan
    stock: Stock
    words: Words
    layout: Layout

    # --- the two arrangements ----------------------------------------------------------------------------

    def one_page(self) -> tuple[Page, ...]:
        """Codes at opposite corners, so that one blot, fold or torn corner leaves the other."""
        rest = Frame(0, 0, *self.stock.page).inset(9.0, 8.0)
        top, rest = rest.top(CODE)
        beside, corner = top.left(top.width - CODE)
        self.code(corner)
        head, facts = Frame(beside.x, beside.y, beside.width - 2, beside.height).top(25.0)
        self.head(head, tag_caps=13.0, under=self.words("placard.subtitle"))
        self.facts(facts)
        middle, foot = rest.top(rest.height - CODE - 2)
        self.settings(middle)
        corner, beside = Frame(foot.x, foot.y + 2, foot.width, CODE).left(CODE)
        self.code(corner)
        cautions, signed = Frame(beside.x + 3, beside.y, beside.width - 3, beside.height).rows(
            (0.52, 0.48), 1.0
        )
        self.cautions(cautions)
        self.signed(signed)
        return (self.page(),)

    def settings(self, middle: Frame) -> None:
        """Boards, then ports, as high as they need to be and no higher."""
        table_height = min(8.4 * (len(self.box.ports) + 2), middle.height * 0.46)
        alone = len(self.box.boards) == 1
        banks = 1 if alone else len(self.box.row.family.banks)
        rows = -(-len(self.box.boards) // BOARDS_A_ROW)
        boards, rest = middle.top(min((9.0 + BANK * banks) * rows, middle.height - table_height - 3))
        self.boards(self.board_rows(boards, rows), list_caps=LIST_CAPS, side_by_side=alone)
        table_height = min(9.0 * (len(self.box.ports) + 2), rest.height - 3)
        self.ports(Frame(rest.x, rest.y + 2, rest.width, table_height))

    def two_labels(self) -> tuple[Page, ...]:
        """Settings on the first label; ports, both codes and signatures on the second."""
        inside = Frame(0, 0, *self.stock.page).inset(3.0, 3.0)
        head, rest = inside.top(15.0)
        self.head(head, tag_caps=7.5, under=self.words("placard.page", page=1, pages=2))
        facts, rest = rest.top(9.0)
        self.facts(facts)
        rest, foot = rest.top(rest.height - 23.0)
        self.boards(rest.rows([1] * len(self.box.boards), 1.2), list_caps=LIST_CAPS / 2, side_by_side=True)
        self.cautions(foot.inset(0, 0.8))
        first = self.page()
        head, rest = inside.top(15.0)
        self.head(head, tag_caps=7.5, under=self.words("placard.page", page=2, pages=2))
        lines = len(self.box.ports) + 2
        side = min(CODE, inside.width / 2, rest.height - STAGGER - lines * ROW_LEAST - 0.5)
        table, rest = rest.top(min(5.6 * lines, rest.height - side - STAGGER))
        self.ports(Frame(table.x, table.y + 0.5, table.width, table.height - 0.5))
        self.label_foot(Frame(rest.x, rest.bottom - side - STAGGER, rest.width, side + STAGGER), side)
        return first, self.page()

    def page(self) -> Page:
        """End a page."""
        page = Page(*self.stock.page, tuple(self.layout.marks))
        self.layout.marks = []
        return page

    # --- the parts ---------------------------------------------------------------------------------------

    def head(self, frame: Frame, tag_caps: float, under: str) -> None:
        """The box huge, and what this sheet is; rules, not stripes, as a lock-out tag would have."""
        layout, words = self.layout, self.words
        tag, what = frame.columns((0.5, 0.5), 3)
        layout.text(self.box.row.shown, tag, Style(tag_caps, 3.0, bold=True, role="main"))
        title, note, job = what.rows((0.95, 0.6, 1.75))
        layout.text(words("placard.title"), title, Style(title.height * 0.55, bold=True, align="right"))
        layout.text(under, note, Style(2.4, align="right"))
        lines = [(text, Style(3.0, lines=2, bold=True, align="right")) for text in self.job_lines()]
        layout.stack(lines, Frame(job.x, job.y, job.width, job.height - 0.6), alike=True)
        layout.rule(frame.x, frame.bottom, frame.right, frame.bottom, 0.8)

    def job_lines(self) -> list[str]:
        """Which job, and which state of it."""
        words, job = self.words, self.job
        state = [f"{words('placard.revision')} {job.revision}"]
        if job.date:
            state.append(job.date.isoformat())
        if job.is_draft:
            state.append(words("placard.draft"))
        return [" ".join(part for part in (job.number, job.name) if part), " · ".join(state)]

    def facts(self, frame: Frame) -> None:
        """Where the box is, where its power is isolated, what it belongs to."""
        row, words = self.box.row, self.words
        facts = [("place", row.place), ("power", row.power)]
        origin = [
            (f"{words(f'placard.{key}')} {text}", Style(2.4, align="right"))
            for key, text in (("system", row.system), ("level", row.level), ("fed_from", row.fed_from))
            if text
        ]
        cells = frame.columns((1.15, 1.0, 0.75) if origin else (1.15, 1.0), 3)
        for (key, text), cell in zip(facts, cells, strict=False):
            self.fact(words(f"placard.{key}"), text or words("placard.no_place"), cell)
        if origin:
            self.layout.stack(origin, cells[2].inset(0, 0.9), alike=True)

    def fact(self, name: str, text: str, cell: Frame) -> None:
        """One fact below its name."""
        label, value = cell.inset(0, 0.6).rows((0.8, 1.6), 0.6)
        self.layout.text(name, label, Style(1.9))
        self.layout.text(text, value, Style(3.2, lines=2, bold=True, upright="top"))

    def board_rows(self, frame: Frame, rows: int) -> list[Frame]:
        """A frame for each board, left to right; more than four are in several rows."""
        count = len(self.box.boards)
        strips = Frame(frame.x, frame.y + 1.5, frame.width, frame.height - 1.5).rows([1] * rows, 2)
        each = -(-count // rows)
        return [cell for strip in strips for cell in strip.columns([1] * each, 2)][:count]

    def boards(self, frames: Iterable[Frame], *, list_caps: float, side_by_side: bool) -> None:
        """The pictures of all boards."""
        picture = BoardPicture(self.layout, self.words, list_caps, side_by_side)
        for board, frame in zip(self.box.boards, frames, strict=True):
            picture.draw(board, frame)

    def ports(self, frame: Frame) -> None:
        """A line a port: use, units, rooms, load of limit, a bar; then unfitted positions and the total."""
        words, unit = self.words, self.job.capacity_unit
        rows = frame.rows([1] * (len(self.box.ports) + 2))
        shares = (0.09, 0.1, 0.27, 0.25, 0.17, 0.12)
        heads = ("port", "use", "units", "rooms", "load", "")
        for key, cell in zip(heads, rows[0].columns(shares, 1.5), strict=True):
            if key:
                self.layout.text(
                    words(f"placard.column_{key}", unit=unit), cell, Style(2.2, lines=2, bold=True)
                )
        for port, row in zip(self.box.ports, rows[1:-1], strict=True):
            self.layout.rule(row.x, row.y, row.right, row.y, 0.2)
            self.port(port, row.inset(0, row.height * ROW_PAD).columns(shares, 1.5))
        last = rows[-1]
        self.layout.rule(last.x, last.y, last.right, last.y, 0.5)
        self.total(last.inset(0, 0.3))

    def port(self, port: Port, cells: list[Frame]) -> None:
        """One port's line; a spare has its use and no more."""
        words, unit, layout = self.words, self.job.capacity_unit, self.layout
        high = cells[0].height
        layout.text(port.name, cells[0], Style(high * 0.62, bold=True))
        layout.text(words(f"use.{port.use}"), cells[1], Style(high * 0.4, bold=port.use != "single"))
        if port.use == "spare":
            return
        rooms = dict.fromkeys(each.room for each in port.units if each.room)
        layout.text(
            ", ".join(each.tag for each in port.units), cells[2], Style(high * 0.45, lines=2, bold=True)
        )
        text = ", ".join(rooms)
        layout.text(self.rooms(text, len(rooms), cells[3]), cells[3], Style(high * 0.4, lines=2))
        load = port.load.number(unit) if port.load else words("placard.unknown_load")
        layout.text(f"{load} / {port.limit.number(unit)}", cells[4], Style(high * 0.45))
        self.bar(port, cells[5].inset(0, high * 0.26))

    def rooms(self, text: str, count: int, cell: Frame) -> str:
        """The rooms by name where they fit, else how many."""
        trial = Layout("", self.box.row.where, "")
        fits = trial.text(text, cell, Style(cell.height * 0.4, lines=2))
        return text if fits or count < 2 else self.words("tag.rooms", count=count)

    def bar(self, port: Port, frame: Frame) -> None:
        """The load as a share of the limit."""
        self.layout.rect(frame, line=0.25)
        if port.load:
            share = min(1.0, float(port.load.btuh / port.limit.btuh))
            self.layout.rect(Frame(frame.x, frame.y, frame.width * share, frame.height), fill=0.25)

    def total(self, frame: Frame) -> None:
        """Unfitted positions, and the box's load."""
        words, load, unit = self.words, self.box.load, self.job.capacity_unit
        number = load.number(unit) if load else words("placard.unknown_load")
        left, right = frame.columns((1, 1))
        none = [name for board in self.box.boards for name in self.unfitted(board)]
        self.layout.text("  ".join(none), left, Style(2.4))
        text = words("placard.total", load=number, unit=unit)
        self.layout.text(text, right, Style(min(3.0, frame.height * 0.5), bold=True, align="right"))

    def unfitted(self, board: Board) -> list[str]:
        """The positions of a board without a port, in words."""
        if not board.unfitted:
            return []
        step = self.box.row.family.ports_per_board
        first = self.box.boards.index(board) * step + len(board.letters)
        names = self.box.row.family.port_names[first : first + board.unfitted]
        return [f"{', '.join(names)}: {self.words('placard.no_port')}"]

    def label_foot(self, frame: Frame, side: float) -> None:
        """The codes staggered, so that no line across the label goes through both; words between them."""
        left, right = frame.left(frame.width - side)
        upper = Frame(right.x, right.y, side, side)
        lower = Frame(left.x, left.bottom - side, side, side)
        self.code(upper)
        self.code(lower)
        beside = Frame(left.x, left.y + 0.5, left.width - 1.5, STAGGER - 1.5)
        below = Frame(lower.right + 1.5, upper.bottom + 0.5, frame.right - lower.right - 1.5, STAGGER - 0.5)
        self.rules(beside)
        names = [self.words(f"placard.{key}") for key in ("checked_manual", "set_by", "checked_by")]
        for name, row in zip(names, below.rows((1, 1, 1)), strict=True):
            self.line(name, row)

    def code(self, frame: Frame) -> None:
        """The placard's text as one QR code, as large as its place allows, with what it is below it."""
        square, below = frame.top(frame.height - 2.6)
        room = min(square.width, square.height)
        symbol, cell = self.symbol(room)
        modules = symbol.columns + 2 * QR_QUIET
        if cell < MODULE_LEAST - 1e-9:
            message = f"placard of {self.box.row.tag}: its code has {modules} modules, too many for this page"
            hint = "choose a larger placard in [print]"
            problem = error("code-too-long", message, self.box.row.where, hint, (self.box.row.key,))
            self.layout.problems.append(problem)
            return
        side = modules * cell
        x = on_dots(square.x + (square.width - side) / 2 + QR_QUIET * cell, self.stock.dots_per_mm)
        y = on_dots(square.y + (square.height - side) / 2 + QR_QUIET * cell, self.stock.dots_per_mm)
        self.layout.symbol(symbol, x, y, cell)
        self.layout.text(self.words("placard.scan"), below, Style(1.7, align="center"))

    def symbol(self, room: float) -> tuple[Symbol, float]:
        """The code with the most recovery whose modules are still large enough, and its module in mm."""
        text = placard_text(self.job, self.box)
        for level in LEVELS:
            modules = qr_columns(text, level) + 2 * QR_QUIET
            cell = whole_dots(min(MODULE_MOST, room / modules), self.stock.dots_per_mm)
            if cell >= MODULE_LEAST - 1e-9:
                break
        return qr(text, level), cell

    def cautions(self, frame: Frame) -> None:
        """What to know before a hand goes into the box."""
        words, layout = self.words, self.layout
        layout.rect(frame, line=0.5)
        head, rest = frame.inset(1.5, 0.8).top(min(5.0, frame.height * 0.2))
        layout.text(words("placard.cautions"), head, Style(head.height * 0.62, bold=True))
        keys = ("power", "pressure", "manual")
        layout.stack(
            [(words(f"placard.caution_{key}"), Style(2.7, lines=3)) for key in keys], rest, alike=True
        )

    def signed(self, frame: Frame) -> None:
        """The rules that were assumed, and lines for who checked them, who set, who checked."""
        rules, first, second = frame.rows((0.9, 1.0, 1.0))
        self.rules(rules)
        names = [self.words(f"placard.{key}") for key in ("checked_manual", "set_by", "checked_by")]
        self.line(names[0], first)
        for name, cell in zip(names[1:], second.columns((1, 1), 3), strict=True):
            self.line(name, cell)

    def rules(self, frame: Frame) -> None:
        """Whose rules the settings follow."""
        family = self.box.row.family
        text = self.words("placard.rules", title=family.title, source=family.source)
        self.layout.text(text, frame, Style(2.3, lines=5))

    def line(self, name: str, frame: Frame) -> None:
        """A line to write on, with a place for the date."""
        self.layout.rule(frame.x, frame.bottom - 4.4, frame.right, frame.bottom - 4.4, 0.25)
        label, date = Frame(frame.x, frame.bottom - 3.9, frame.width, 3.6).left(frame.width - 8.0)
        self.layout.text(name, label, Style(2.0, upright="top"))
        self.layout.text(self.words("placard.signed_date"), date, Style(2.0, upright="top", align="right"))

"""The placard's table of ports: units, addresses, rooms, load of limit, a bar; then the box's total.

Takes a planned box and a width; gives rows whose heights are known before they are drawn, so that they can go
on overleaf. All rows have one size of text, as large as the room allows.
"""

from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan, Port
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Cell
from tagmaker.typeset.text import lines_at, lines_needed

__all__ = ["PortTable", "Row", "load_bar", "port_table"]

SHARES = (0.075, 0.36, 0.3, 0.15, 0.115)
SHARES_NARROW = (0.09, 0.37, 0.31, 0.23)
HALVES = (1.0, 1.0)
GAP = 1.5
PAD = 0.3  # mm above and below a row's texts
CAPS_MOST = 4.0
ROW_MOST = 10.0
STEP = 0.2
PORT = 1.1  # a port's name, in the capitals of the row
ROOM_LINES = 2
ROUNDING = 0.001  # mm: more than sums differ by, whose order is another


class Row(Struct, frozen=True):
    """A port's texts by column, the name of the port first; `port` is None for the total."""

    texts: tuple[str, ...]
    port: Port | None = None

    def cells(self, caps: float) -> list[Cell]:
        """The texts at a height of capitals."""
        return _cells(self.texts, caps)


class PortTable(Struct, frozen=True):
    """The rows of a box: one a port, then the total; heads are repeated on each page."""

    heads: tuple[Cell, ...]
    rows: tuple[Row, ...]
    width: float
    shares: tuple[float, ...]

    def caps_within(self, height: float) -> float:
        """The largest text with which the whole table is no higher than that; the least where none is."""
        caps = CAPS_MOST
        while caps > PAGE_CAPS and not (self._is_within(caps, height) and self._is_in_columns(caps)):
            caps -= STEP
        return max(caps, PAGE_CAPS)

    def _is_within(self, caps: float, height: float) -> bool:
        """Whether the whole table is no higher; rows below one that cannot be are not measured."""
        left = height - self.head_height
        for row in self.rows:
            left -= self.row_height(row, caps)
            if left < -ROUNDING:
                return False
        return self.height(caps) <= height

    def _is_in_columns(self, caps: float) -> bool:
        """Whether no word, and so no unit's tag, is longer than its column."""
        return all(
            not cell.text or lines_at(cell.text, place.width, cell.caps, bold=cell.bold) > 0
            for row in self.rows
            for cell, place in zip(row.cells(caps), self.places(row, self._top), strict=False)
        )

    def height(self, caps: float = PAGE_CAPS) -> float:
        """The whole table, in mm."""
        return self.head_height + sum(self.row_height(row, caps) for row in self.rows)

    @property
    def height_most(self) -> float:
        """The highest that the table is drawn."""
        return max(self.height(CAPS_MOST), self.head_height + ROW_MOST * len(self.rows))

    @property
    def head_height(self) -> float:
        """The heads of the columns."""
        places = self._top.columns(self.shares, GAP)
        return (
            max(cell.height(place.width) for cell, place in zip(self.heads, places, strict=False)) + 2 * PAD
        )

    def row_height(self, row: Row, caps: float) -> float:
        """One row's lines."""
        return _row_height(row.texts, caps, self.width, self.shares if row.port else HALVES)

    def rows_within(self, first: int, height: float, caps: float) -> int:
        """How many rows from one on are below the heads within that height."""
        left, count = height - self.head_height, 0
        for row in self.rows[first:]:
            left -= self.row_height(row, caps)
            if left < -0.001:
                break
            count += 1
        return count

    def draw(self, layout: Layout, frame: Frame, caps: float, rows: Sequence[Row]) -> None:
        """The heads and some rows from the top of a frame down, spread over it as far as rows may be high."""
        head, rest = frame.top(self.head_height)
        self.draw_heads(layout, head)
        heights = [self.row_height(row, caps) for row in rows]
        spare = max(0.0, rest.height - sum(heights)) / max(1, len(rows))
        for row, height in zip(rows, heights, strict=True):
            strip, rest = rest.top(max(height, min(height + spare, ROW_MOST)))
            layout.rule(strip.x, strip.y, strip.right, strip.y, 0.2 if row.port else 0.5)
            with layout.part("TR"):
                self._row(layout, row, strip, caps)

    def draw_heads(self, layout: Layout, head: Frame) -> None:
        """The heads of the columns."""
        with layout.part("TR"):
            for cell, place in zip(self.heads, head.columns(self.shares, GAP), strict=True):
                with layout.part("TH"):
                    layout.text(cell.text, place, cell.style(place.width))

    def _row(self, layout: Layout, row: Row, strip: Frame, caps: float) -> None:
        """A row's texts, each in the middle of its height, and the bar of a used port."""
        places = self.places(row, strip)
        for cell, place in zip(row.cells(caps), places, strict=False):
            high = cell.height(place.width)
            middle = Frame(place.x, place.y + (place.height - high) / 2, place.width, high)
            with layout.part("TD"):
                layout.text(cell.text, middle, cell.style(place.width))
        if row.port and len(places) == len(SHARES):
            with layout.part("TD"):
                if row.port.units:
                    load_bar(layout, row.port, places[-1])

    @property
    def _top(self) -> Frame:
        return Frame(0, 0, self.width, 0)

    def places(self, row: Row, frame: Frame) -> list[Frame]:
        """The columns of a row."""
        return frame.columns(self.shares if row.port else HALVES, GAP)


def _cells(texts: tuple[str, ...], caps: float) -> list[Cell]:
    """A row's texts at a height of capitals; the total has two, a port has more."""
    name, units, *others = texts
    if not others:
        return [Cell(name, caps), Cell(units, caps, bold=True, align="right")]
    cells = [Cell(name, caps * PORT, bold=True), Cell(units, caps, bold=True)]
    return cells + [Cell(text, caps) for text in others]


@lru_cache(maxsize=1024)
def _row_height(texts: tuple[str, ...], caps: float, width: float, shares: tuple[float, ...]) -> float:
    """A row's lines; the search for the largest capitals asks for the same ones several times."""
    places = Frame(0, 0, width, 0).columns(shares, GAP)
    cells = zip(_cells(texts, caps), places, strict=False)
    return max(cell.height(place.width) for cell, place in cells) + 2 * PAD


def port_table(job: Job, box: BoxPlan, words: Words, width: float, *, with_bars: bool) -> PortTable:
    """The table of a box at a width, its bars left out where there is no room for them."""
    unit, shares = job.capacity_unit, SHARES if with_bars else SHARES_NARROW
    has_addresses = any(each.address for port in box.ports for each in port.units)
    keys = ("port", "units_address" if has_addresses else "units", "rooms", "load")
    heads = tuple(Cell(words(f"placard.column_{key}", unit=unit), PAGE_CAPS, bold=True) for key in keys)
    room = Frame(0, 0, width, 1).columns(shares, GAP)[2].width
    rows = [_row(port, job, words, room) for port in box.ports]
    heads += (Cell(""),) if with_bars else ()
    return PortTable(heads, (*rows, _total_row(job, box, words)), width, shares)


def _row(port: Port, job: Job, words: Words, room: float) -> Row:
    """A port's texts."""
    if port.use == "spare":
        return Row((port.name, words("use.spare"), "", ""), port)
    units = ", ".join(
        words("placard.unit_address", unit=each.tag, address=each.address) if each.address else each.tag
        for each in port.units
    )
    unit = job.capacity_unit
    load = port.load.number(unit) if port.load else words("placard.unknown_load")
    return Row((port.name, units, _rooms(port, words, room), f"{load} / {port.limit.number(unit)}"), port)


def _rooms(port: Port, words: Words, width: float) -> str:
    """The rooms by name where two lines hold them, else how many."""
    rooms = dict.fromkeys(each.room for each in port.units if each.room)
    text = ", ".join(rooms)
    if len(rooms) > 1 and lines_needed(text, width, PAGE_CAPS) > ROOM_LINES:
        return words("tag.rooms", count=len(rooms))
    return text


def _total_row(job: Job, box: BoxPlan, words: Words) -> Row:
    """Positions without a port, and the box's load."""
    unit = job.capacity_unit
    number = box.load.number(unit) if box.load else words("placard.unknown_load")
    return Row((_unfitted(box, words), words("placard.total", load=number, unit=unit)))


def _unfitted(box: BoxPlan, words: Words) -> str:
    """The positions of the boards without a port, in words; empty where all have one."""
    family = box.row.family
    names: list[str] = []
    for number, board in enumerate(box.boards):
        first = number * family.ports_per_board + len(board.letters)
        names += family.port_names[first : first + board.unfitted]
    return f"{', '.join(names)}: {words('placard.no_port')}" if names else ""


def load_bar(layout: Layout, port: Port, cell: Frame) -> None:
    """The load as a share of the limit."""
    frame = Frame(cell.x, cell.y + cell.height / 2 - 1.3, cell.width, 2.6)
    layout.rect(frame, line=0.25)
    if port.load:
        share = min(1.0, float(port.load.btuh / port.limit.btuh))
        layout.rect(Frame(frame.x, frame.y, frame.width * share, frame.height), fill=0.25)

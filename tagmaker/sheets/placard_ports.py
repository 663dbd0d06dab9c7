"""The placard's table of ports: units, addresses, rooms, load of limit, a bar; then the box's total.

Takes a planned box and a width; gives rows whose heights are known before they are drawn, so that they can go
on overleaf. All rows have one size of text, as large as the room allows.
"""

from collections.abc import Sequence

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan, Port
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LINES_AT_MOST, Style, lines_needed, text_height

__all__ = ["PortTable", "port_table"]

SHARES = (0.075, 0.36, 0.3, 0.15, 0.115)
SHARES_NARROW = (0.09, 0.37, 0.28, 0.26)
GAP = 1.5
PAD = 0.3  # mm above and below a row's texts
CAPS_MOST = 4.0
ROW_MOST = 10.0
STEP = 0.2
PORT = 1.1  # a port's name, in the capitals of the row
ROOM_LINES = 2


class Row(Struct, frozen=True):
    """A port's texts by column; `port` is None for the total."""

    texts: tuple[str, ...]
    port: Port | None = None


class PortTable(Struct, frozen=True):
    """The rows of a box: one a port, then the total; heads are repeated on each page."""

    words: Words
    heads: tuple[str, ...]
    rows: tuple[Row, ...]
    width: float
    shares: tuple[float, ...]

    def caps_within(self, height: float) -> float:
        """The largest text with which the whole table is no higher than that; the least where none is."""
        caps = CAPS_MOST
        while caps > PAGE_CAPS and self.height(caps) > height:
            caps -= STEP
        return max(caps, PAGE_CAPS)

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
        return self._lines_height(self.heads, PAGE_CAPS, bold=True) + 2 * PAD

    def row_height(self, row: Row, caps: float) -> float:
        """One row's lines."""
        if row.port is None:
            left, right = Frame(0, 0, self.width, 1).columns((1, 1), GAP)
            texts = zip(row.texts, (left, right), (False, True), strict=True)
            lines = max(lines_needed(text, cell.width, caps, bold=bold) for text, cell, bold in texts)
            return text_height(caps, lines) + 2 * PAD
        name = text_height(caps * PORT, 1)
        return max(name, self._lines_height(row.texts[1:], caps, bold=False, first=1)) + 2 * PAD

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
        style = Style(PAGE_CAPS, PAGE_CAPS, LINES_AT_MOST, bold=True, upright="bottom")
        with layout.part("TR"):
            for text, cell in zip(self.heads, self._cells(head), strict=True):
                with layout.part("TH"):
                    layout.text(text, cell, style)
        heights = [self.row_height(row, caps) for row in rows]
        spare = max(0.0, rest.height - sum(heights)) / max(1, len(rows))
        for row, height in zip(rows, heights, strict=True):
            strip, rest = rest.top(max(height, min(height + spare, ROW_MOST)))
            layout.rule(strip.x, strip.y, strip.right, strip.y, 0.2 if row.port else 0.5)
            with layout.part("TR"):
                if row.port:
                    self._port(layout, row, row.port, strip, caps)
                else:
                    self._total(layout, row, strip, caps)

    def _port(self, layout: Layout, row: Row, port: Port, strip: Frame, caps: float) -> None:
        """A port's row; a spare has its name and the word."""
        cells = self._cells(strip)
        with layout.part("TD"):
            layout.text(row.texts[0], cells[0], Style(caps * PORT, PAGE_CAPS, bold=True))
        for at, text in enumerate(row.texts[1:], start=1):
            with layout.part("TD"):
                layout.text(text, cells[at], Style(caps, caps, LINES_AT_MOST, bold=at == 1))
        if len(cells) == len(SHARES):
            with layout.part("TD"):
                if port.units:
                    _bar(layout, port, cells[-1])

    def _total(self, layout: Layout, row: Row, strip: Frame, caps: float) -> None:
        """Unfitted positions, and the box's load."""
        left, right = strip.columns((1, 1), GAP)
        with layout.part("TD"):
            layout.text(row.texts[0], left, Style(caps, caps, LINES_AT_MOST))
        with layout.part("TD"):
            layout.text(row.texts[1], right, Style(caps, caps, LINES_AT_MOST, bold=True, align="right"))

    def _cells(self, frame: Frame) -> list[Frame]:
        return frame.columns(self.shares, GAP)

    def _lines_height(self, texts: Sequence[str], caps: float, *, bold: bool, first: int = 0) -> float:
        """The height of the cell with the most lines; units are bold."""
        cells = self._cells(Frame(0, 0, self.width, 1))[first:]
        lines = [
            lines_needed(text, cell.width, caps, bold=bold or (first and at == 0) or False)
            for at, (text, cell) in enumerate(zip(texts, cells, strict=False))
        ]
        return text_height(caps, max(1, *lines))


def port_table(job: Job, box: BoxPlan, words: Words, width: float, *, with_bars: bool) -> PortTable:
    """The table of a box at a width, its bars left out where there is no room for them."""
    unit, shares = job.capacity_unit, SHARES if with_bars else SHARES_NARROW
    has_addresses = any(each.address for port in box.ports for each in port.units)
    keys = ("port", "units_address" if has_addresses else "units", "rooms", "load")
    heads = [words(f"placard.column_{key}", unit=unit) for key in keys]
    room = Frame(0, 0, width, 1).columns(shares, GAP)[2].width
    rows = [_row(port, job, words, room) for port in box.ports]
    return PortTable(
        words,
        (*heads, "") if with_bars else tuple(heads),
        (*rows, _total_row(job, box, words)),
        width,
        shares,
    )


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


def _bar(layout: Layout, port: Port, cell: Frame) -> None:
    """The load as a share of the limit."""
    frame = Frame(cell.x, cell.y + cell.height / 2 - 1.3, cell.width, 2.6)
    layout.rect(frame, line=0.25)
    if port.load:
        share = min(1.0, float(port.load.btuh / port.limit.btuh))
        layout.rect(Frame(frame.x, frame.y, frame.width * share, frame.height), fill=0.25)

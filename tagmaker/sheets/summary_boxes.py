"""The summary's lists of boxes: the load of each with a bar, then its ports and its switch settings.

Takes groups of boxes; adds rows to the running pages. Bars of a list are on one scale, so that lengths
compare.
"""

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job, UnitRow
from tagmaker.plan.model import Board, BoxPlan, Port
from tagmaker.plan.totals import Group, box_limit, totals, used_limit
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.tags.reasons import settings_text
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import PAD, Cell, Running, Table
from tagmaker.typeset.text import Style
from tagmaker.units import Capacity, CapacityUnit, number_text

__all__ = ["BoxLists", "headings", "known_load", "section"]

TITLE = 9.0
GROUP = 6.4
LEGEND = 8.4
LEGEND_STYLE = Style(PAGE_CAPS, PAGE_CAPS)
LOAD_SHARES = (0.135, 0.25, 0.075, 0.1, 0.1, 0.15, 0.12, 0.07)
HEAD_SHARES = (0.2, 0.42, 0.38)
PORT_SHARES = (0.045, 0.1, 0.1, 0.29, 0.11, 0.075, 0.28)
LEFT = 4  # of them are of ports, the others of switches
BAR = 2.6  # mm
EDGE = 0.2
GREY = 0.75
NO_SETTINGS = (Cell(""),) * 3


def section(running: Running, text: str) -> None:
    """A section's title, repeated on each page that it runs on to."""

    def draw(frame: Frame) -> None:
        place = Frame(frame.x, frame.y + 3, frame.width, frame.height - 3)
        with running.layout.part("H2"):
            running.layout.text(text, place, Style(3.0, bold=True))

    running.head(0, (TITLE, draw))


def headings(words: Words, job: Job, keys: Sequence[str], right: Sequence[int]) -> list[Cell]:
    """The heads of columns; those whose indices are in `right` are above numbers."""
    texts = [words(f"summary.column_{key}", unit=job.capacity_unit) for key in keys]
    return [
        Cell(text, bold=True, align="right" if number in right else "left")
        for number, text in enumerate(texts)
    ]


def known_load(load: Capacity, unknown: int, unit: CapacityUnit, words: Words) -> str:
    """A load's number; where capacities are missing, what is known and a sign that there is more."""
    if not unknown:
        return load.number(unit)
    sign = words("placard.unknown_load")
    return f"{load.number(unit)} + {sign}" if load.btuh else sign


class BoxLists(Struct):
    """Both lists of a job's boxes, group by group."""

    job: Job
    words: Words
    layout: Layout
    running: Running

    def _groups(self, groups: Sequence[Group], level: int) -> Iterator[BoxPlan]:
        """Every box, its group's heading before the first one where the job names systems or levels."""
        is_named = any(group.system or group.level for group in groups)
        for group in groups:
            self.layout.where, self.layout.box = group.boxes[0].row.where, group.boxes[0].row.key
            if is_named:
                self.running.head(level, (GROUP, self._heading(group)))
            for box in group.boxes:
                self.layout.where, self.layout.box = box.row.where, box.row.key
                yield box

    def _heading(self, group: Group) -> Draw:
        """What draws a group's system and level."""
        none, words = self.words("placard.no_place"), self.words
        system = f"{words('placard.system')} {group.system or none}"
        text = f"{system} · {words('placard.level')} {group.level or none}"

        def draw(frame: Frame) -> None:
            self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.4)
            with self.layout.part("TR"), self.layout.part("TH"):
                self.layout.text(text, frame, Style(2.6, PAGE_CAPS, bold=True, lines=2))

        return draw

    # --- loads -------------------------------------------------------------------------------------------

    def loads(self, groups: Sequence[Group]) -> None:
        """A row a box; bars are as long as limits, on one scale for the whole job."""
        section(self.running, self.words("summary.loads"))
        self.running.head(1, (LEGEND, self._legend))
        table = Table(self.running, LOAD_SHARES)
        keys = ("box", "place", "used", "pairs", "spare", "bar", "load_limit", "share")
        table.head(2, headings(self.words, self.job, keys, right=(6, 7)))
        most = max(box_limit(box).btuh for group in groups for box in group.boxes)
        for box in self._groups(groups, 3):
            table.row(self._load_cells(box), more=self._load_bar(table, box, float(most)))

    def _load_cells(self, box: BoxPlan) -> list[Cell]:
        """A box's line: counts, load of limit, and the share in per cent."""
        row, unit = box.row, self.job.capacity_unit
        spare = [port for port in box.ports if port.use == "spare"]
        pairs = [port for port in box.ports if port.use == "joined"]
        total = totals([box])
        load = known_load(total.load, total.unknown, unit, self.words)
        sign = "*" if row.family.box_limit else ""
        share = total.load.btuh / total.limit.btuh * 100
        return [
            Cell(row.shown, bold=True),
            Cell(row.place),
            Cell(self.words("summary.used_of", used=row.ports - len(spare), of=row.ports)),
            Cell(_names(pairs)),
            Cell(_names(spare)),
            Cell(""),
            Cell(f"{load}/{box_limit(box).number(unit)}{sign}", align="right"),
            Cell("" if total.unknown else f"{number_text(share, 0)} %", align="right"),
        ]

    def _load_bar(self, table: Table, box: BoxPlan, most: float) -> Draw:
        """What draws a box's bar in its cell."""
        total, limit, used = totals([box]), box_limit(box), used_limit(box)

        def draw(frame: Frame) -> None:
            place = table.frames(frame)[5]
            bar = _bar_in(place, place.width * float(limit.btuh) / most)
            self._bar(bar, _share(total.load, limit), _share(used, limit), is_known=not total.unknown)

        return draw

    def _bar(self, bar: Frame, black: float, grey: float, *, is_known: bool) -> None:
        """Black for the load, grey as far as used ports go, an outline for the limit.

        Where a capacity is missing the outline is dashed, and nothing says what is left.
        """
        if grey > black and is_known:
            self.layout.rect(Frame(bar.x, bar.y, bar.width * grey, bar.height), fill=GREY)
        if black:
            self.layout.rect(Frame(bar.x, bar.y, bar.width * black, bar.height), fill=0.0)
        if is_known:
            self.layout.rect(bar, line=EDGE)
        else:
            self.layout.dashed(bar, EDGE)

    def _legend(self, frame: Frame) -> None:
        """What the bars mean, with a piece of each."""
        pieces = (
            ("load", 14.0, 1.0, 0.0),
            ("left_used", 41.0, 0.0, 1.0),
            ("left_spare", 42.0, 0.0, 0.0),
            ("unknown", 31.0, 0.0, 0.0),
        )
        place = frame
        for key, width, black, grey in pieces:
            piece, place = place.left(width)
            bar = Frame(piece.x, piece.y + (LEGEND - BAR) / 2, 5.0, BAR)
            self._bar(bar, black, grey, is_known=key != "unknown")
            self.layout.text(self.words(f"summary.legend_{key}"), piece.left(6.0)[1], LEGEND_STYLE)
        self.layout.text(
            self.words("summary.legend_limit"), place, replace(LEGEND_STYLE, lines=2, align="right")
        )

    # --- ports -------------------------------------------------------------------------------------------

    def ports(self, groups: Sequence[Group]) -> None:
        """A card a box: its ports with bars on one scale, beside them the switches of every board."""
        section(self.running, self.words("summary.ports"))
        table = Table(self.running, PORT_SHARES)
        units = "units_address" if any(unit.address for unit in self.job.units) else "units"
        keys = ("port", "bar", "load_limit", units, "board", "bank", "settings")
        table.head(1, headings(self.words, self.job, keys, right=()))
        most = max(port.limit.btuh for group in groups for box in group.boxes for port in box.ports)
        for box in self._groups(groups, 2):
            self._card(table, box, float(most))

    def _card(self, table: Table, box: BoxPlan, most: float) -> None:
        """A box's ports beside their boards' switches; a card that fits on one page is not split."""
        rows = [
            ([*self._port_cells(port), *(right or NO_SETTINGS)], port)
            for board in box.boards
            for port, right in zip_longest(_ports_of(board, box), self._board_cells(board))
        ]
        self._card_head(box)
        keep = sum(table.height(cells) for cells, _ in rows)
        for cells, port in rows:
            marks = self._port_marks(table, port, most, is_board=bool(cells[LEFT].text))
            table.row(cells, 0.0, marks, keep)
            keep = 0.0
        self.running.put((0.0, lambda frame: self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.12)))

    def _card_head(self, box: BoxPlan) -> None:
        """The box, its place, its counts and load."""
        row, unit, total = box.row, self.job.capacity_unit, totals([box])
        load = known_load(total.load, total.unknown, unit, self.words)
        counts = self.words(
            "summary.counts", ports=row.ports, single=total.single, pairs=total.pairs, spare=total.spare
        )
        table = Table(self.running, HEAD_SHARES)
        cells = [
            Cell(row.shown, 2.6, bold=True),
            Cell(row.place),
            Cell(f"{counts} · {load} {unit}", align="right"),
        ]
        table.head(3, cells, rule=0.3)

    def _port_cells(self, port: Port | None) -> list[Cell]:
        """A port's half of a line; blank where the switches have more lines."""
        if port is None:
            return [Cell("")] * 4
        unit = self.job.capacity_unit
        load = port.load.number(unit) if port.load else self.words("placard.unknown_load")
        text = f"{load}/{port.limit.number(unit)}" if port.units else self.words("use.spare")
        units = ", ".join("\u00a0".join(filter(None, (self._unit(each), each.room))) for each in port.units)
        is_over = port.load is not None and not port.load <= port.limit
        return [
            Cell(port.name, bold=True),
            Cell(""),
            Cell(text, bold=is_over),
            Cell(units),
        ]

    def _unit(self, unit: UnitRow) -> str:
        """A unit's tag with its address."""
        if not unit.address:
            return unit.tag
        return self.words("placard.unit_address", unit=unit.tag, address=unit.address)

    def _port_marks(self, table: Table, port: Port | None, most: float, *, is_board: bool) -> Draw:
        """A port's bar, and the rules that keep ports and switches apart: a bank is not of one port."""

        def draw(frame: Frame) -> None:
            cells = table.frames(frame)
            middle = (cells[LEFT - 1].right + cells[LEFT].x) / 2
            self.layout.rule(middle, frame.y, middle, frame.bottom, 0.4)
            if is_board:
                self.layout.rule(middle, frame.y, frame.right, frame.y, 0.12)
            if port:
                self.layout.rule(frame.x, frame.y, middle, frame.y, 0.12)
                self._port_bar(port, cells[1], most)

        return draw

    def _port_bar(self, port: Port, place: Frame, most: float) -> None:
        """A port's load as a bar."""
        bar = _bar_in(place, place.width * float(port.limit.btuh) / most)
        black = _share(port.load, port.limit) if port.load else 0.0
        self._bar(bar, black, float(bool(port.units)), is_known=port.load is not None)

    def _board_cells(self, board: Board) -> list[list[Cell]]:
        """A row a bank; the board and its letters are on the first."""
        first, last = board.letters[0], board.letters[-1]
        name = f"{board.place} {first if first == last else f'{first}–{last}'}"
        return [
            [
                Cell(name if bank.number == 1 else "", bold=True),
                Cell(bank.name),
                Cell(settings_text(bank, self.words)),
            ]
            for bank in board.banks
        ]


def _ports_of(board: Board, box: BoxPlan) -> list[Port]:
    """The ports of a board."""
    return [port for port in box.ports if port.letters[0] in board.letters]


def _names(ports: Sequence[Port]) -> str:
    """Ports by name."""
    return ", ".join(port.name for port in ports)


def _bar_in(cell: Frame, width: float) -> Frame:
    """A bar on a cell's first line."""
    return Frame(cell.x, cell.y + PAD + 0.2, width, BAR)


def _share(load: Capacity, limit: Capacity) -> float:
    """A load as a share of a limit, at most all of it."""
    return min(1.0, float(load.btuh / limit.btuh))

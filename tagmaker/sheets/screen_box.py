"""A box for the screen as its placard draws it: boards with their switches, ports with units and loads.

Takes a planned box; gives one page as wide as a screen's card, without the placard's heading, cautions, codes
and signatures, and where on it each port and each unit is, so that controls can be laid over them.
"""

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job, UnitRow
from tagmaker.plan.model import BoxPlan, Port
from tagmaker.sheets.board_grid import LABEL_SIZES, Part, grid_of
from tagmaker.sheets.board_pictures import BoardPictures
from tagmaker.sheets.placard_ports import PortTable, Row, load_bar, port_table
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LEGIBLE_MM, Style, Unfit, fit, text_width

__all__ = ["BoxOnScreen", "PortPlace", "UnitPlace", "screen_box"]

WIDTH = 150.0  # mm of the page, of which a card of 600 pixels shows 4 a millimetre
EDGE = 0.5  # mm around all
GAP = 2.5  # mm between boards and ports
ENDLESS = 1e6  # mm: a screen's page is as high as it needs to be
CAPS = 3.0  # of the table
ROW_LEAST = 8.4  # mm
PAD = 1.0  # mm above and below a row's chips
CHIP = 6.4  # mm, the height of a unit's frame: 25 pixels where a millimetre has 4
CHIP_PAD = 1.8  # mm beside a unit's tag
CHIP_GAP = 1.2  # mm between units
CHIP_STYLE = Style(CAPS, LEGIBLE_MM, bold=True, upright="letter")
CLOSE = 1e-6
UNITS = 1  # the number of the units' column


class UnitPlace(Struct, frozen=True):
    """A unit's frame on the page; a tag that the typeface cannot set there is not drawn in it."""

    unit: UnitRow
    frame: Frame
    is_drawn: bool


class PortPlace(Struct, frozen=True):
    """A port or pair: its row of the table, and its units there."""

    port: Port
    row: Frame
    units: tuple[UnitPlace, ...]


class BoxOnScreen(Struct, frozen=True):
    """The picture of a box, and where its ports are on it."""

    page: Page
    ports: tuple[PortPlace, ...]


def screen_box(job: Job, box: BoxPlan, words: Words) -> BoxOnScreen:
    """A box's picture; a text that does not fit is left out, and reported where the placard is laid out."""
    layout = Layout(f"picture of {box.row.tag}", box.row.where, box.row.key)
    inner = Frame(EDGE, EDGE, WIDTH - 2 * EDGE, ENDLESS)
    grid = grid_of(box.boards, inner.width, (0.0, ENDLESS), LABEL_SIZES, words)
    BoardPictures(layout, words, grid).draw(
        [Part(row, 0, grid.bank_rows) for row in range(len(grid.rows))], inner
    )
    ports = _Ports(layout, port_table(job, box, words, inner.width, with_bars=True), words)
    below = ports.draw(inner.top(grid.height + GAP)[1])
    return BoxOnScreen(Page(WIDTH, below.y + EDGE, tuple(layout.marks)), tuple(ports.drawn))


class _Ports:
    """The placard's table of ports, each unit in a frame of its own; `drawn` are the ports so far."""

    def __init__(self, layout: Layout, table: PortTable, words: Words) -> None:
        self.layout, self.table, self.words = layout, table, words
        self.drawn: list[PortPlace] = []

    def draw(self, frame: Frame) -> Frame:
        """All rows from the top of a frame down; what is left of it."""
        head, rest = frame.top(self.table.head_height)
        self.table.draw_heads(self.layout, head)
        for row in self.table.rows:
            rest = self._row(row, rest)
        return rest

    def _row(self, row: Row, frame: Frame) -> Frame:
        """A port, or the total below all of them, at the top of a frame; what is left below it."""
        places = self.table.places(row, Frame(frame.x, 0, frame.width, 0))
        chips = list(self._chips(row.port, places[1].x, places[1].width)) if row.port else []
        high = max(
            [ROW_LEAST, self.table.row_height(row, CAPS), *(chip.frame.bottom + PAD for chip in chips)]
        )
        strip, rest = frame.top(high)
        self.layout.rule(strip.x, strip.y, strip.right, strip.y, 0.2 if row.port else 0.5)
        with self.layout.part("TR"):
            self._cells(row, strip)
            units = tuple(self._unit(chip, strip.y) for chip in chips)
        if row.port:
            self.drawn.append(PortPlace(row.port, strip, units))
        return rest

    def _cells(self, row: Row, strip: Frame) -> None:
        """The texts of a row but for its units, each in the middle of its height, and the load's bar."""
        places = self.table.places(row, strip)
        for number, (cell, place) in enumerate(zip(row.cells(CAPS), places, strict=False)):
            high = cell.height(place.width)
            middle = Frame(place.x, place.y + (place.height - high) / 2, place.width, high)
            if not (row.port and row.port.units and number == UNITS):
                self.layout.text(cell.text, middle, cell.style(place.width))
        if row.port and row.port.units:
            load_bar(self.layout, row.port, places[-1])

    def _chips(self, port: Port, left: float, width: float) -> Iterator[UnitPlace]:
        """The frames of a port's units in as many lines as they take, from the top of its row down."""
        x, y = left, PAD
        for unit in port.units:
            wide = min(width, text_width(self._named(unit), CAPS, bold=True) + 2 * CHIP_PAD)
            if x > left and x + wide > left + width:
                x, y = left, y + CHIP + CHIP_GAP
            frame = Frame(x, y, wide, CHIP)
            lines = fit(self._named(unit), frame.inset(CHIP_PAD - CLOSE, 0), CHIP_STYLE)
            yield UnitPlace(unit, frame, is_drawn=not isinstance(lines, Unfit))
            x += wide + CHIP_GAP

    def _unit(self, chip: UnitPlace, top: float) -> UnitPlace:
        """A unit drawn in a row that begins there; its place on the page."""
        frame = Frame(chip.frame.x, chip.frame.y + top, chip.frame.width, chip.frame.height)
        self.layout.rect(frame, line=0.3, radius=1.2)
        if chip.is_drawn:
            self.layout.text(self._named(chip.unit), frame.inset(CHIP_PAD - CLOSE, 0), CHIP_STYLE)
        return replace(chip, frame=frame)

    def _named(self, unit: UnitRow) -> str:
        """A unit as its placard names it."""
        if not unit.address:
            return unit.tag
        return self.words("placard.unit_address", unit=unit.tag, address=unit.address)

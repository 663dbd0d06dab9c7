"""The sheets of a response test that are filled in: a line a port at the boxes, a line a unit in the rooms.

Takes the calls of a system; gives the marks of pages. A cell is a field for one letter; with `expected` the
letter that is called is beside it.
"""

from collections.abc import Sequence

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Field, FieldKind, Mark
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.response import SystemCalls
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.tags.response import Line, lines_of, response_field, tick_field
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Block, Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Running
from tagmaker.typeset.text import Style, fits

__all__ = ["TICK", "ResponseTables", "put_field", "put_unit", "where_text"]

ROW = 7.6
BOX_HEAD = 9.0
COLUMN_HEAD = 5.0
CELL_AT_MOST = 13.0
FIELD_MM = 5.6
TICK = 3.6
BOX_LEFT = 24.0  # mm for the port's letter
FAN = 11.0
TAG_LEAST = 1.9  # capitals of a tag beside its room
UNIT_SHARES = (0.42, 0.58)  # of a unit's tag and its room


def put_field(layout: Layout, field: Field) -> None:
    """Put a field on the page with its frame, which a print without the form has too."""
    if field.kind != "kept":
        layout.rect(Frame(field.x, field.y, field.width, field.height), line=0.25)
    layout.marks.append(field)


def put_unit(layout: Layout, tag: str, where: str, frame: Frame, caps: float) -> None:
    """A unit's tag with its room beside it, or below it where the tag is long."""
    name, room = frame.columns(UNIT_SHARES, 2)
    if not fits(tag, name.width, TAG_LEAST, bold=True):
        name, room = frame.rows((1, 1))
    layout.text(tag, name, Style(min(caps, name.height / 1.6), bold=True))
    layout.text(where, room, Style(PAGE_CAPS, lines=3))


def where_text(level: str, room: str, words: Words) -> str:
    """A level and a room in words; each may be empty."""
    named = words("room.level", text=level) if level else ""
    return " · ".join(text for text in (named, room) if text)


class ResponseTables(Struct, frozen=True):
    """The two sheets of a system being laid out."""

    calls: SystemCalls
    boxes: Sequence[BoxPlan]
    words: Words
    layout: Layout
    expected: bool

    # --- boxes ----------------------------------------------------------------------------------------------

    def stubs(self, running: Running) -> Sequence[list[Mark]]:
        """Every gas stub of every box, spare ones too."""
        lines = [line for line in lines_of(self.calls, self.boxes) if not line.unit]
        for box in self.boxes:
            own = [line for line in lines if line.box == box.row.tag]
            running.head(0, (BOX_HEAD, self._box_head(box)))
            running.head(1, self._columns(BOX_LEFT, self.words("response.port")))
            for line in own:
                running.put((ROW, self._stub(line)), keep=min(len(own), 6) * ROW if line is own[0] else 0)
        return running.end()

    def _box_head(self, box: BoxPlan) -> Draw:
        def draw(frame: Frame) -> None:
            row = box.row
            name, rest = Frame(frame.x, frame.y + 1.5, frame.width, frame.height - 1.5).columns((0.3, 0.7), 3)
            with self.layout.part("H2"):
                self.layout.text(row.shown, name, Style(4.4, bold=True))
            where = row.place or where_text(row.level, "", self.words)
            self.layout.text(where, rest, Style(2.6, lines=2, align="right"))

        return draw

    def _stub(self, line: Line) -> Draw:
        def draw(frame: Frame) -> None:
            self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.2)
            letter, rest = frame.left(BOX_LEFT)
            self.layout.text(line.port, letter, Style(4.6, bold=True, upright="letter"))
            self._cells(rest, line)

        return draw

    # --- units ----------------------------------------------------------------------------------------------

    def units(self, running: Running) -> Sequence[list[Mark]]:
        """Every unit that is called, level by level as one walks."""
        lines = [line for line in lines_of(self.calls, self.boxes) if line.unit]
        levels = {box.row.key: box.row.level for box in self.boxes}
        rooms = {unit.key: unit.room for box in self.boxes for port in box.ports for unit in port.units}
        left = self._left(running)
        running.head(0, self._columns(left + FAN, self.words("response.unit"), has_fan=True))
        for level in dict.fromkeys(levels.values()):
            for line in lines:
                if levels[line.box.upper()] == level:
                    where = where_text(level, rooms[line.unit.upper()], self.words)
                    running.put((ROW, self._unit(line, where, left)))
        return running.end()

    def _left(self, running: Running) -> float:
        """The width that is left for a unit and its room, in mm."""
        return running.room.width - FAN - self.calls.rounds * self._wide(running.room.width)

    def _wide(self, width: float) -> float:
        """A round's width, in mm."""
        return min(CELL_AT_MOST, 0.62 * width / self.calls.rounds)

    def _unit(self, line: Line, where: str, left: float) -> Draw:
        def draw(frame: Frame) -> None:
            self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.2)
            name, rest = frame.left(left)
            fan, cells = rest.left(FAN)
            put_unit(self.layout, line.unit, where, Frame(name.x, name.y, name.width - 2, name.height), 3.4)
            tick = Frame(fan.x + (FAN - TICK) / 2, fan.y + (ROW - TICK) / 2, TICK, TICK)
            spoken = self.words("response.told_fan", unit=line.unit)
            self._put(tick, "check", tick_field("fan", line.box, line.unit), spoken)
            self._cells(cells, line)

        return draw

    # --- both -----------------------------------------------------------------------------------------------

    def _columns(self, left: float, first: str, *, has_fan: bool = False) -> Block:
        """The heads of the columns: what a line is of, and the numbers of the rounds."""

        def draw(frame: Frame) -> None:
            name, rest = frame.left(left)
            self.layout.text(first, name, Style(PAGE_CAPS, bold=True))
            if has_fan:
                unit, fan = name.left(left - FAN)
                room = Frame(unit.x, unit.y, unit.width - 2, unit.height).columns(UNIT_SHARES, 2)[1]
                self.layout.text(self.words("response.room"), room, Style(PAGE_CAPS, bold=True))
                self.layout.text(self.words("response.fan"), fan, Style(PAGE_CAPS, bold=True, align="center"))
            for number, cell in enumerate(self._frames(rest), start=1):
                text = self.words("response.round_short", number=number)
                self.layout.text(text, cell, Style(2.8, bold=True, align="center"))

        return COLUMN_HEAD, draw

    def _frames(self, frame: Frame) -> list[Frame]:
        """The cells of a line: as wide on both sheets."""
        wide = min(CELL_AT_MOST, frame.width / self.calls.rounds)
        return [Frame(frame.x + at * wide, frame.y, wide, frame.height) for at in range(self.calls.rounds)]

    def _cells(self, frame: Frame, line: Line) -> None:
        """A field a round, and beside it what is called where that is asked for."""
        for number, cell in enumerate(self._frames(frame), start=1):
            wide = min(FIELD_MM + 2, cell.width - 1.5)
            place = Frame(cell.x + (cell.width - wide) / 2, cell.y + (ROW - FIELD_MM) / 2, wide, FIELD_MM)
            key = "response.told_unit" if line.unit else "response.told_stub"
            spoken = self.words(key, box=line.box, port=line.port, unit=line.unit, number=number)
            if self.expected and line.calls:
                place = Frame(cell.x + 3.2, place.y, cell.width - 4.2, FIELD_MM)
                called = Frame(cell.x, cell.y, 3, cell.height)
                self.layout.text(line.calls[number - 1], called, Style(PAGE_CAPS, align="center"))
            self._put(place, "text", response_field(line, number), spoken)

    def _put(self, frame: Frame, kind: FieldKind, name: str, spoken: str) -> None:
        put_field(self.layout, Field(frame.x, frame.y, frame.width, frame.height, kind, name, spoken))

"""One way from cells to a unit row, whether the cells came from TOML or from a schedule.

Takes cells by key; gives the row, with every problem of its cells. A cell that cannot be read leaves a gap
that the row names (`unread`), so that a check does not take it for a cell that was left empty.
"""

import re
from collections.abc import Mapping
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.columns import REQUIRED
from tagmaker.files.patterns import Pattern
from tagmaker.files.toml import TAG, TAG_HINT
from tagmaker.job.model import UnitRow
from tagmaker.measures import Volume
from tagmaker.problems import Problem, Where, error
from tagmaker.units import Capacity, Length, Unreadable, read_capacity, read_length

__all__ = ["Cell", "port_text", "unit_row", "with_defaults"]

Quantity = TypeVar("Quantity", Capacity, Length, Volume)
PAIR = Pattern(r"(?:ports?\s+)?([A-Z])(?:(?:\s*[+&/,]\s*|\s+and\s+)([A-Z]))?", re.ASCII | re.IGNORECASE)
"""A port's letter, or two with a sign that only means both. A hyphen could be a range: it is no such sign."""


def port_text(text: str) -> str:
    """A port's letter, or a pair as G+H, from the ways people write it; any other text as it is."""
    match = PAIR.fullmatch(text)
    return "+".join(letter for letter in match.groups() if letter) if match else text


class Cell(Struct, frozen=True):
    """A cell's text, its place, the unit that its column's header gives to bare numbers, what is wrong."""

    text: str
    where: Where
    unit: str = ""
    fault: Unreadable | None = None


class _Reader:
    """The cells of one row; problems are marked with the row's box, so that other boxes can go on."""

    def __init__(self, cells: Mapping[str, Cell], where: Where) -> None:
        self.cells = cells
        self.where = where
        self.problems: list[Problem] = []
        self.unread: set[str] = set()
        box = cells.get("box")
        self.boxes = (box.text.upper(),) if box and not box.fault and TAG.fullmatch(box.text) else ()

    def wrong(self, code: str, key: str, message: str, hint: str = "") -> None:
        """Note a problem with a cell."""
        self.unread.add(key)
        where = self.cells[key].where if key in self.cells else self.where
        self.problems.append(error(code, message, where, hint, self.boxes))

    def cell(self, key: str) -> Cell | None:
        """A filled cell that can be believed."""
        cell = self.cells.get(key)
        if cell and cell.fault:
            self.wrong(cell.fault.code, key, f"{key} {cell.fault.message}", cell.fault.hint)
        return cell if cell and cell.text and not cell.fault else None

    def text(self, key: str, *, at_most: int = 60) -> str:
        """A cell's text; a required one that is empty is a problem."""
        cell = self.cell(key)
        text = cell.text if cell else ""
        if key in self.unread:
            return ""
        if not text and key in REQUIRED:
            self.wrong("cell-missing", key, f"the row has no {key}")
        if len(text) > at_most:
            self.wrong("value-wrong", key, f"{key} is longer than {at_most} characters")
            return ""
        return text

    def tag(self, key: str) -> str:
        """A cell that holds a tag."""
        text = self.text(key)
        if text and not TAG.fullmatch(text):
            self.wrong("tag-wrong", key, f"{key} {text!r} is not a valid tag", TAG_HINT)
        return text

    def capacity(self, key: str) -> Capacity | None:
        """A cell that holds a capacity; a bare number has its column's unit."""
        cell = self.cell(key)
        return self._known(key, read_capacity(cell.text, cell.unit)) if cell else None

    def length(self, key: str) -> Length | None:
        """A cell that holds a length, likewise."""
        cell = self.cell(key)
        return self._known(key, read_length(cell.text, cell.unit)) if cell else None

    def volume(self, key: str) -> Volume | None:
        """A cell that holds the volume of a room, likewise."""
        cell = self.cell(key)
        return self._known(key, Volume.read(cell.text, cell.unit)) if cell else None

    def _known(self, key: str, read: Quantity | Unreadable) -> Quantity | None:
        """A quantity that was read, or None with its problem noted."""
        if isinstance(read, Unreadable):
            self.wrong(read.code, key, read.message, read.hint)
            return None
        return read


def unit_row(cells: Mapping[str, Cell], where: Where) -> tuple[UnitRow | None, list[Problem]]:
    """The unit row of these cells, with every problem; None where it has no unit, box or port."""
    reader = _Reader(cells, where)
    row = UnitRow(
        tag=reader.tag("unit"),
        box=reader.tag("box"),
        port=port_text(reader.text("port")),
        capacity=reader.capacity("capacity"),
        room=reader.text("room"),
        address=reader.text("address"),
        liquid=reader.length("liquid"),
        gas=reader.length("gas"),
        insulation=reader.length("insulation"),
        run=reader.length("run"),
        cable=reader.length("cable"),
        room_volume=reader.volume("room_volume"),
        where=where,
    )
    if reader.unread.intersection(REQUIRED):
        return None, reader.problems
    return replace(row, unread=frozenset(reader.unread)) if reader.unread else row, reader.problems


def with_defaults(row: UnitRow, defaults: Mapping[str, Length]) -> UnitRow:
    """The row with the job's values where it gives none; a cell that could not be read stays empty."""
    missing = {
        key: value for key, value in defaults.items() if getattr(row, key) is None and key not in row.unread
    }
    return replace(row, **missing) if missing else row

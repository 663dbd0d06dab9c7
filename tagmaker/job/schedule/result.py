"""How a schedule was understood: its columns, skipped rows, cells filled from above, its rows.

Records that `tagmaker read` shows, so that a person can see what the program made of a file.
"""

from collections.abc import Mapping

import msgspec
from msgspec import Struct

from tagmaker.job.model import UnitRow
from tagmaker.problems import Where

__all__ = ["Choices", "Column", "FilledCell", "ReadSheet", "SkippedRow", "Spare", "Unknown"]


class Choices(Struct, frozen=True):
    """A job's choices for its schedules: the meaning of headers by their text, and the sheets that count.

    A meaning is a column's key, with a unit in brackets if the header has none; "" leaves the column out.
    """

    columns: Mapping[str, str] = msgspec.field(default_factory=dict)
    sheets: tuple[str, ...] = ()


class Column(Struct, frozen=True):
    """A column: its place from 0, its header, its key ("" = left out), its unit, its name in [columns]."""

    index: int
    header: str
    where: Where
    key: str
    unit: str = ""
    name: str = ""


class Unknown(Struct, frozen=True):
    """A header that only the job's [columns] can explain, with the problem's message about it."""

    header: str
    message: str


class SkippedRow(Struct, frozen=True):
    """A row that holds no unit: where its text begins, the reason, and that text."""

    where: Where
    why: str
    text: str = ""


class Spare(Struct, frozen=True):
    """A row that names a port, or pair, as spare."""

    box: str
    port: str
    where: Where

    @property
    def letters(self) -> list[str]:
        """The port's letters."""
        return [part.strip() for part in self.port.upper().split("+")]


class FilledCell(Struct, frozen=True):
    """A blank cell that took its text from a cell above it."""

    where: Where
    key: str
    text: str
    source: Where


class ReadSheet(Struct, frozen=True):
    """A sheet as understood: how its bytes were read, why it is left out as a whole ("" = it is not)."""

    where: Where
    remark: str = ""
    why: str = ""
    columns: tuple[Column, ...] = ()
    left: tuple[SkippedRow, ...] = ()
    filled: tuple[FilledCell, ...] = ()
    rows: tuple[UnitRow, ...] = ()
    spares: tuple[Spare, ...] = ()
    unknown: tuple[Unknown, ...] = ()

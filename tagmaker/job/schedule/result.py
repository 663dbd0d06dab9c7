"""How a schedule was understood: its columns, what was passed over, what was filled down, its rows."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from tagmaker.job.model import UnitRow
from tagmaker.problems import Where

__all__ = ["Choices", "Column", "FilledCell", "ReadSheet", "SkippedRow", "Spare", "Unknown"]


@dataclass(frozen=True)
class Choices:
    """What a job says of its schedules: the meaning of headers by their text, and the sheets that count.

    A meaning is a column's key, with a unit in brackets if the header has none; "" leaves the column out.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    sheets: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its place from 0, its header, its key ("" = left out), its unit, its name in [columns]."""

    index: int
    header: str
    where: Where
    key: str
    unit: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Unknown:
    """A header that only the job's [columns] can explain, with what is said about it."""

    header: str
    said: str


@dataclass(frozen=True, slots=True)
class SkippedRow:
    """A row that holds no unit: where its text begins, the reason, and that text."""

    where: Where
    why: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class Spare:
    """A row that says of a port, or pair, that it is spare."""

    box: str
    port: str
    where: Where

    @property
    def letters(self) -> list[str]:
        """The port's letters."""
        return [part.strip() for part in self.port.upper().split("+")]


@dataclass(frozen=True, slots=True)
class FilledCell:
    """A blank cell that took its text from a cell above it."""

    where: Where
    key: str
    text: str
    source: Where


@dataclass(frozen=True)
class ReadSheet:
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

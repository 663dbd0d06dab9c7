"""A schedule's sheets as a page shows them: cells as written and as understood, window by window.

Takes a schedule as read and the job's problems; gives rows of cells. Each cell has its text, what it was
understood as where that is something else, and the numbers of the problems that are about it. A window has at
most `ROWS_AT_MOST` rows, so that a sheet of any length can be shown.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeVar

from msgspec import Struct

from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.result import (
    BoxFacts,
    Column,
    FilledCell,
    ReadSheet,
    SkippedRow,
    Spare,
    SystemFacts,
)
from tagmaker.job.schedule.sheet import Sheet, SheetRow
from tagmaker.job.sources import Source
from tagmaker.problems import Problem, Where, column_letters
from tagmaker.workflows.read import box_texts, row_texts

__all__ = ["ROWS_AT_MOST", "CellView", "ColumnView", "RowKind", "RowView", "SheetView", "sheet_view"]

ROWS_AT_MOST = 200
RowKind = Literal["unit", "box", "system", "spare", "skipped", "hidden", "blank", "unread", "left out"]
"""What a row was understood as; `unread` is a row whose problems kept it from being understood."""


Placed = TypeVar("Placed", UnitRow, BoxFacts, FilledCell, SkippedRow, Spare, SystemFacts)


class CellView(Struct, frozen=True):
    """A cell: its text as written, and as understood where that differs ("" = as written).

    `source` is in words where an understood text comes from, if from another cell.
    """

    text: str
    means: str = ""
    source: str = ""
    problems: tuple[int, ...] = ()


class RowView(Struct, frozen=True):
    """A row of cells; `why` is the reason of a skipped one, `problems` those that are of no cell of it."""

    line: int
    kind: RowKind
    cells: tuple[CellView, ...]
    why: str = ""
    is_hidden: bool = False
    problems: tuple[int, ...] = ()


class ColumnView(Struct, frozen=True):
    """A column of the window's table: its letter, header, key in the job ("" = left out) and unit."""

    letter: str
    header: str = ""
    key: str = ""
    unit: str = ""
    is_answered: bool = False
    is_hidden: bool = False


class SheetView(Struct, frozen=True):
    """A window of a sheet: rows from index `first` (from 0) of `total`.

    `why` is the reason if the sheet is left out, `notes` what was inferred for the sheet as a whole.
    """

    name: str
    why: str
    remark: str
    columns: tuple[ColumnView, ...]
    rows: tuple[RowView, ...]
    first: int
    total: int
    notes: tuple[str, ...] = ()


def sheet_view(source: Source, number: int, problems: Sequence[Problem], first: int = 0) -> SheetView:
    """The window of a schedule's sheet (by its number, from 0) that begins with a row.

    Problems are known by their place in the list.
    """
    sheet = source.sheets[number]
    read = next((each for each in source.schedule.sheets if each.where == sheet.where()), None)
    first = max(0, min(first, len(sheet.rows) - 1))
    rows = sheet.rows[first : first + ROWS_AT_MOST]
    lines = range(rows[0].line, rows[-1].line + 1) if rows else range(0)
    shown = _Shown(sheet, read or ReadSheet(sheet.where()), problems, lines)
    width = max((len(row.values) for row in rows), default=0)
    width = max([width, *(column.index + 1 for column in shown.read.columns)])
    return SheetView(
        name=sheet.name or source.name,
        why=shown.read.why,
        remark=shown.read.remark,
        columns=shown.heads(rows[0].line if rows else 1, width),
        rows=tuple(shown.row(row, width) for row in rows),
        first=first,
        total=len(sheet.rows),
        notes=shown.notes(),
    )


@dataclass
class _Shown:
    """The lines of a sheet that are shown, with what is known of each place, by line and column (from 1)."""

    sheet: Sheet
    read: ReadSheet
    problems: Sequence[Problem]
    lines: range
    means: dict[tuple[int, int], str] = field(default_factory=dict)
    sources: dict[tuple[int, int], str] = field(default_factory=dict)
    kinds: dict[int, RowKind] = field(default_factory=dict)
    whys: dict[int, str] = field(default_factory=dict)
    wrong: dict[tuple[int, int], list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.tables = _tables(self.read.columns)
        for number, problem in enumerate(self.problems):
            at = problem.where
            if (at.file, at.sheet_number, at.sheet) == (self.sheet.file, self.sheet.number, self.sheet.name):
                self.wrong.setdefault((at.line, at.column), []).append(number)
        self._skipped()
        self._understood()
        for column in self.read.columns:
            self.means[column.where.line, column.index + 1] = _meaning(column)

    def _in_window(self, known: Iterable[Placed]) -> Iterator[Placed]:
        return (each for each in known if each.where.line in self.lines)

    def _skipped(self) -> None:
        for left in self._in_window(self.read.left):
            self.kinds[left.where.line], self.whys[left.where.line] = "skipped", left.why
        for spare in self._in_window(self.read.spares):
            self.kinds[spare.where.line] = "spare"

    def _understood(self) -> None:
        """The rows of units and boxes, each cell under its column's key."""
        for row in self._in_window(self.read.rows):
            self.kinds[row.where.line] = "unit"
            self._texts(row.where.line, row_texts(row))
        for box in self._in_window(self.read.boxes):
            self.kinds[box.where.line] = "box"
            self._texts(box.where.line, box_texts(box))
        for system in self._in_window(self.read.systems):
            self.kinds[system.where.line] = "system"
            self._texts(system.where.line, system.texts)
        for filled in self._in_window(self.read.filled):
            place = filled.where.line, filled.where.column
            self.means[place] = filled.text
            self.sources[place] = f"from {_cell_name(filled.source)}"

    def _texts(self, line: int, texts: Mapping[str, str]) -> None:
        for column in self._columns(line):
            if column.key:
                self.means[line, column.index + 1] = texts.get(column.key, "")

    def _columns(self, line: int) -> tuple[Column, ...]:
        """The columns of the table that a line is in: of the last header above it."""
        above = [table for table in self.tables if table[0].where.line <= line]
        return above[-1] if above else ()

    def notes(self) -> tuple[str, ...]:
        """What was inferred for the sheet as a whole."""
        whole = (each for each in self.read.inferred if not each.where.line)
        return tuple(f"{each.key} {each.text}, from {each.source}" for each in whole)

    def heads(self, line: int, width: int) -> tuple[ColumnView, ...]:
        """What the columns mean at a line; above the first header as in its table."""
        columns = self._columns(line) or (self.tables[0] if self.tables else ())
        by_index = {column.index: column for column in columns}
        return tuple(self._head(index, by_index.get(index)) for index in range(width))

    def _head(self, index: int, column: Column | None) -> ColumnView:
        letter, is_hidden = column_letters(index + 1), index in self.sheet.hidden_columns
        if column is None:
            return ColumnView(letter, is_hidden=is_hidden)
        answered = bool(column.name)
        return ColumnView(letter, column.header, column.key, column.unit, answered, is_hidden)

    def row(self, row: SheetRow, width: int) -> RowView:
        """A row with its cells."""
        return RowView(
            line=row.line,
            kind=self._kind(row),
            cells=tuple(self._cell(row, index) for index in range(width)),
            why=self.whys.get(row.line, ""),
            is_hidden=row.is_hidden,
            problems=tuple(self.wrong.get((row.line, 0), ())),
        )

    def _kind(self, row: SheetRow) -> RowKind:
        if row.is_blank:
            return "blank"
        if self.read.why:
            return "left out"
        return self.kinds.get(row.line, "hidden" if row.is_hidden else "unread")

    def _cell(self, row: SheetRow, index: int) -> CellView:
        place = row.line, index + 1
        text = row.value(index).text
        means = self.means.get(place, "")
        return CellView(
            text,
            "" if means == text else means,
            self.sources.get(place, ""),
            tuple(self.wrong.get(place, ())),
        )


def _tables(columns: Iterable[Column]) -> list[tuple[Column, ...]]:
    """The columns of each table of a sheet; a new one begins at the left again, or further down."""
    tables: list[list[Column]] = []
    for column in columns:
        last = tables[-1][-1] if tables else None
        if last is None or column.index <= last.index or column.where.line > last.where.line + 1:
            tables.append([])
        tables[-1].append(column)
    return [tuple(table) for table in tables]


def _meaning(column: Column) -> str:
    """What a header means, as its cell shows it."""
    if not column.key:
        return "left out"
    name = column.key.replace("_", " ")
    return f"{name} ({column.unit})" if column.unit else name


def _cell_name(where: Where) -> str:
    return where.cell if where.sheet else f"line {where.line}"

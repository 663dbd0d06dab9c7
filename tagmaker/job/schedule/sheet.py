"""What every reader makes of a schedule's file: sheets of rows of values, before anything is understood.

A value is what the spreadsheet shows, with its kind: a date where 3/8 was typed must not pass as a text.
"""

import re
from enum import StrEnum

from msgspec import Struct

from tagmaker.files.patterns import Pattern
from tagmaker.problems import Where

__all__ = [
    "COLUMNS_AT_MOST",
    "EMPTY",
    "MONTHS",
    "ROWS_AT_MOST",
    "Kind",
    "Merged",
    "Sheet",
    "SheetRow",
    "Value",
    "text_value",
]

ROWS_AT_MOST = 100_000  # of a CSV file, and of all schedules of a job
COLUMNS_AT_MOST = 256

ERRORS = {"#REF!", "#N/A", "#DIV/0!", "#VALUE!", "#NAME?", "#NULL!", "#NUM!"}
MONTHS = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"
DATE = Pattern(
    rf"\d{{1,2}}-(?:{MONTHS})(?:-\d{{2}}|-\d{{4}})?"
    r"|\d{1,2}/\d{1,2}/(?:\d{2}|\d{4})|\d{4}[-./]\d{1,2}[-./]\d{1,2}(?:[ T]\d\d:\d\d(?::\d\d)?)?"
    r"|\d{1,2}[-.]\d{1,2}[-.]\d{4}",
    re.ASCII,
)
"""Dates as spreadsheets write them into CSV: 8-Mar, 3/8/26, 2026-03-08, 8.3.2026 (common practice)."""


class Kind(StrEnum):
    """What a cell holds."""

    TEXT = "text"
    NUMBER = "number"
    DATE = "date"
    BOOLEAN = "boolean"
    ERROR = "error"
    FORMULA = "formula without a result"
    STRUCK = "struck out"
    FORMATTED = "a number that is shown as something else"


class Value(Struct, frozen=True):
    """A cell's text, as the spreadsheet shows it, and what kind of value it is."""

    text: str
    kind: Kind = Kind.TEXT


EMPTY = Value("")  # shared: most cells of a sheet are empty


class SheetRow(Struct, frozen=True):
    """A row: its line (from 1), its values from the first column on, whether it is hidden."""

    line: int
    values: tuple[Value, ...]
    is_hidden: bool = False

    @property
    def is_blank(self) -> bool:
        """Whether no cell is filled."""
        return not any(value.text for value in self.values)

    def value(self, column: int) -> Value:
        """The value of a column (from 0)."""
        return self.values[column] if column < len(self.values) else EMPTY


class Merged(Struct, frozen=True):
    """Cells merged into one: lines from 1, columns from 0, both ends included; the first holds the value."""

    top: int
    left: int
    bottom: int
    right: int

    def holds(self, line: int, column: int) -> bool:
        """Whether a cell is one of them."""
        return self.top <= line <= self.bottom and self.left <= column <= self.right


class Sheet(Struct, frozen=True):
    """A sheet of a file; a CSV is one without a name. `remark` says how its bytes were read."""

    file: str
    rows: tuple[SheetRow, ...]
    name: str = ""
    number: int = 0
    is_hidden: bool = False
    hidden_columns: frozenset[int] = frozenset()
    merged: tuple[Merged, ...] = ()
    remark: str = ""

    def where(self, line: int = 0, column: int = -1) -> Where:
        """The place of a cell (line from 1, column from 0), of a row, or of the whole sheet."""
        return Where(self.file, line, self.name, column + 1, self.number)


def text_value(text: str) -> Value:
    """The value of a cell that is text, with plain white space; dates and errors in it are known."""
    text = " ".join(text.split())
    if text[:1] == "#" and text in ERRORS:
        return Value(text, Kind.ERROR)
    if len(text) > 4 and text[0].isdigit() and DATE.fullmatch(text):
        return Value(text, Kind.DATE)
    return Value(text) if text else EMPTY

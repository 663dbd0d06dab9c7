"""A sheet whose rows are systems: tag and figures, as [[system]] has them.

Takes a sheet; gives what its cells say of each system, with their places. A header is one of systems if it
has a word of a system's tag, at least two more columns of a system, and none of a unit, box or port. A key
of [[system]] is its own word; a figure by length has the diameter as its column, "Charge 3/8 in (lb/ft)".
"""

import re
from collections.abc import Iterable

from msgspec import Struct

from tagmaker.catalog.columns import column_words, plain_word
from tagmaker.files.patterns import Pattern
from tagmaker.job.schedule.cells import HIDDEN_LEFT_OUT, cell_fault, hidden_name, is_dash, names_total
from tagmaker.job.schedule.columns import Header, chosen_name, unknown_column
from tagmaker.job.schedule.headers import left_out_note, meanings
from tagmaker.job.schedule.result import Choices, Column, ReadSheet, SkippedRow, SystemFacts
from tagmaker.job.schedule.sheet import Sheet, SheetRow
from tagmaker.problems import Problem, Where, error
from tagmaker.units import Unreadable, read_length

__all__ = ["find_systems", "read_systems_sheet"]

LOOKED_AT = 100  # rows in which the header is looked for
COLUMNS_LEAST = 3  # of a system, its tag included
SHARED = frozenset({"capacity", "refrigerant", "source"})
"""Columns that other lists have too: with them alone a sheet is none of systems."""
TEXTS = frozenset(
    {"tag", "outdoor", "refrigerant", "ratio", "units_most", "addresses", "institutional", "installer"}
    | {"lubricant", "heater_hours", "source", "test.steps"}
)
"""Columns whose cells are no quantities: what is in brackets in their header is no unit."""
BRACKET = Pattern(r"\(([^()]*)\)")
BARE = Pattern(r"\d[\d.,]*", re.ASCII)
CHARGE = Pattern(r"charge[ .]*", re.IGNORECASE)
HIDDEN_HINT = "unhide it or delete it"


def find_systems(sheet: Sheet, choices: Choices) -> int | None:
    """The index of a header of systems; None where the sheet is no list of systems."""
    rows = range(min(LOOKED_AT, len(sheet.rows)))
    return next((at for at in rows if _is_header(sheet.rows[at], choices)), None)


def _is_header(row: SheetRow, choices: Choices) -> bool:
    texts = [value.text for value in row.values if value.text]
    keys = {key for key in map(_key, texts) if key}
    of_units = column_words().key_of
    others = {of_units.get(plain_word(_bare(text)), "") for text in texts} & {"unit", "box", "port"}
    is_chosen = any(choices.columns.get(text) for text in texts)  # the job gives a column of units
    return "tag" in keys and len(keys) >= COLUMNS_LEAST and bool(keys - SHARED - {"tag"}) and not (
        others or is_chosen
    )  # fmt: skip


def _bare(text: str) -> str:
    """A header without what is in brackets."""
    return " ".join(BRACKET.sub(" ", text).split())


def _key(text: str) -> str:
    """The key of [[system]] that a header means, a table's key behind a point; "" if none."""
    bare = _bare(text)
    if key := column_words().system_key_of.get(plain_word(bare)):
        return key
    tube = CHARGE.sub("", bare, count=1)
    return "" if isinstance(read_length(tube), Unreadable) else f"charge.{tube}"


def _means(header: Header, choices: Choices) -> Column | Problem:
    """The key that a header means, with the unit in its brackets; the job may leave a column out."""
    text, name = header.parts[-1], chosen_name(header, choices)
    if name is not None or plain_word(text) in column_words().remarks:
        return Column(header.index, header.text, header.where, "", name=name or "")
    key = _key(text)
    if not key:
        return unknown_column(header, text, column_words().system_key_of, choices)
    unit = BRACKET.search(text)
    return Column(header.index, header.text, header.where, key, unit[1].strip() if unit else "")


def read_systems_sheet(sheet: Sheet, at: int, choices: Choices) -> tuple[ReadSheet, list[Problem]]:
    """The systems below a header, and what is wrong with their cells."""
    head = sheet.rows[at]
    headers = [
        Header(index, (value.text,), sheet.where(head.line, index))
        for index, value in enumerate(head.values)
        if value.text
    ]
    columns, problems, unknown = meanings(sheet, headers, choices, _means)
    notes = [left_out_note(column, choices) for column in columns if not (column.key or column.name)]
    reading = _Rows(sheet, columns, choices)
    reading.skip(sheet.rows[:at], "above the header")
    reading.skip([head], "the header")
    if not problems:
        reading.read(sheet.rows[at + 1 :])
    return ReadSheet(
        where=sheet.where(),
        remark=sheet.remark,
        columns=tuple(columns),
        left=tuple(reading.left),
        unknown=tuple(unknown),
        hidden=tuple(reading.hidden),
        systems=tuple(reading.systems),
    ), [*notes, *problems, *reading.problems]


class _Rows(Struct, dict=True):
    """The rows below a header of systems being read."""

    sheet: Sheet
    columns: list[Column]
    choices: Choices
    left: list[SkippedRow] = []
    hidden: list[SkippedRow] = []
    systems: list[SystemFacts] = []
    problems: list[Problem] = []

    def __post_init__(self) -> None:
        self.used = {column.key: column for column in self.columns if column.key}
        self.headed = {column.index for column in self.columns}

    def skip(self, rows: Iterable[SheetRow], why: str) -> None:
        """Rows that hold no system."""
        for row in rows:
            if not row.is_blank:
                first = next(at for at, value in enumerate(row.values) if value.text)
                self.left.append(SkippedRow(self.sheet.where(row.line, first), why, row.value(first).text))

    def read(self, rows: Iterable[SheetRow]) -> None:
        """Every row: a system, a total, or hidden."""
        tag = self.used["tag"].index
        for row in rows:
            if names_total(row.value(tag).text):
                self.skip([row], "a total")
            elif row.is_hidden and not row.is_blank:
                self._hidden(row, hidden_name(row, tag))
            elif not row.is_blank:
                self._row(row)

    def _hidden(self, row: SheetRow, name: str) -> None:
        """Leave out a hidden row that the job names; any other is a problem."""
        where = self.sheet.where(row.line)
        if name in self.choices.hidden:
            self.left.append(SkippedRow(where, HIDDEN_LEFT_OUT, name, name))
            return
        self.hidden.append(SkippedRow(where, "hidden", name, name))
        self._wrong("column-hidden", f"row {row.line} is hidden and holds a system", where, HIDDEN_HINT)

    def _row(self, row: SheetRow) -> None:
        """What a row says; a cell that is not what was typed, or has no heading, is a problem."""
        for at, value in enumerate(row.values):
            if value.text and at not in self.headed:
                message = f"cell {value.text!r} has no heading above it"
                where = self.sheet.where(row.line, at)
                self._wrong("row-too-long", message, where, "give its column a heading, or delete the cell")
        places = {key: self.sheet.where(row.line, column.index) for key, column in self.used.items()}
        texts: dict[str, str] = {}
        for key, column in self.used.items():
            value = row.value(column.index)
            if fault := cell_fault(value):
                self._wrong(fault.code, f"{key} {fault.message}", places[key], fault.hint)
            elif not is_dash(value.text):
                texts[key] = _with_unit(key, value.text, column.unit)
        if "tag" in texts:
            self.systems.append(SystemFacts(texts["tag"], texts, places["tag"], places))
        elif texts:
            self._wrong("cell-missing", "the row has no system", places["tag"], "")

    def _wrong(self, code: str, message: str, where: Where, hint: str) -> None:
        self.problems.append(error(code, message, where, hint))


def _with_unit(key: str, text: str, unit: str) -> str:
    """A bare number with the unit of its column; every other text as it is."""
    is_bare = unit and key not in TEXTS and BARE.fullmatch(text)
    return f"{text} {unit}" if is_bare else text

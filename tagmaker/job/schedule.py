"""A CSV schedule: rows of cells under a header whose words are known from `layouts/columns.toml`."""

import csv
import re
from dataclasses import dataclass
from pathlib import Path

from tagmaker.catalog.columns import REQUIRED, column_words, plain_word
from tagmaker.catalog.tables import did_you_mean, read_text
from tagmaker.job.records import UnitRow
from tagmaker.job.rows import Cell, unit_row
from tagmaker.problems import Problem, Where, error
from tagmaker.units import CAPACITY_UNITS, unit_word

__all__ = ["read_schedule"]

UNIT_IN_HEADER = re.compile(r"(.*?)\s*[(\[]\s*([^)\]]*)\s*[)\]]\s*", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Column:
    """A recognised column: its key and the unit that its header gives."""

    key: str
    unit: str


def read_schedule(path: Path, shown: str) -> tuple[list[UnitRow], list[Problem]]:
    """The unit rows of a CSV file, with every problem of the file."""
    text = read_text(path, shown)
    if isinstance(text, Problem):
        return [], [text]
    lines = _records(text, shown)
    if isinstance(lines, Problem):
        return [], [lines]
    filled = [(line, cells) for line, cells in lines if any(cells)]
    if not filled:
        return [], [error("columns-missing", f"{shown} has no header row", Where(shown, 1), HEADER_HINT)]
    header_line, header = filled[0]
    columns, problems = _columns(header, Where(shown, header_line))
    if problems:
        return [], problems
    rows: list[UnitRow] = []
    for line, cells in filled[1:]:
        row, found = _row(cells, columns, Where(shown, line))
        problems += found
        rows += [row] if row else []
    return rows, problems


HEADER_HINT = "begin with a row of words: unit, box, port, capacity (kBtu/h), room"


def _records(text: str, shown: str) -> list[tuple[int, list[str]]] | Problem:
    """Each record's first line and stripped cells."""
    records: list[tuple[int, list[str]]] = []
    reader = csv.reader(text.splitlines(keepends=True), delimiter=_delimiter(text), strict=True)
    line = 1
    try:
        for cells in reader:
            records.append((line, [" ".join(cell.split()) for cell in cells]))
            line = reader.line_num + 1
    except csv.Error as reason:
        message = f"not valid CSV: {reason}"
        return error("file-unreadable", message, Where(shown, line), "close the quotes of every quoted cell")
    return records


def _delimiter(text: str) -> str:
    """The sign between the header's cells: the more frequent of comma and semicolon outside quotes."""
    bare = re.sub(r'"[^"]*"', "q", text)
    first = next((line for line in bare.splitlines() if line.strip(" ,;\t")), "")
    return ";" if first.count(";") > first.count(",") else ","


def _columns(header: list[str], where: Where) -> tuple[list[Column | None], list[Problem]]:
    """What each column holds; None for a column without a heading, which must stay empty."""
    columns: list[Column | None] = []
    problems: list[Problem] = []
    seen: set[str] = set()
    for text in header:
        column = _column(text, where) if text else None
        if isinstance(column, Problem):
            problems.append(column)
            column = None
        elif column and column.key in seen:
            problems.append(error("column-twice", f"two columns mean {column.key!r}", where, "delete one"))
        seen |= {column.key} if column else set()
        columns.append(column)
    missing = [key for key in REQUIRED if key not in seen]
    if missing and not problems:
        problems.append(error("columns-missing", f"no column {', '.join(missing)}", where, HEADER_HINT))
    return columns, problems


def _column(text: str, where: Where) -> Column | Problem:
    words = column_words()
    match = UNIT_IN_HEADER.fullmatch(text)
    name, unit = (match[1], match[2]) if match else (text, "")
    key = words.key_of.get(plain_word(name))
    if key is None:
        hint = did_you_mean(plain_word(name), words.key_of)
        return error("column-unknown", f"unknown column {text!r}", where, hint)
    kind = words.kind_of[key]
    known = unit_word(unit, kind) if unit and kind != "text" else ""
    if unit and not known:
        code = "column-unknown" if kind == "text" else f"{kind}-unit"
        units = ", ".join(CAPACITY_UNITS) if kind == "capacity" else "in, ft, mm, cm, m"
        hint = f"known units: {units}" if kind != "text" else f"{key!r} has no unit"
        return error(code, f"column {text!r} has a unit that is not known", where, hint)
    return Column(key, known)


def _row(
    cells: list[str], columns: list[Column | None], where: Where
) -> tuple[UnitRow | None, list[Problem]]:
    named = dict(zip(range(len(cells)), columns, strict=False))
    stray = [text for index, text in enumerate(cells) if text and named.get(index) is None]
    found = {
        column.key: Cell(text, where, column.unit)
        for text, column in zip(cells, columns, strict=False)
        if column
    }
    row, problems = unit_row(found, where)
    if stray:
        message = f"cell {stray[0]!r} stands under no heading"
        problems.append(
            error("row-too-long", message, where, "a comma inside a cell needs quotes around the cell")
        )
        return None, problems
    return row, problems

"""XLSX workbooks (ECMA-376) as sheets; whatever the file holds, a problem or sheets come back.

Takes a file; gives its sheets, or the problem with it. The packed parts are looked at before openpyxl sees
them: it would unpack any size, expand entities and build an object for every merged cell. A workbook with
formulas is loaded twice, for openpyxl gives either stored results or formulas, and a formula without a
result must be known.
"""

import datetime as dt
import io
import re
import warnings
import zipfile
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from tagmaker.files.toml import read_bytes
from tagmaker.job.schedule.number_format import shows_otherwise
from tagmaker.job.schedule.sheet import (
    COLUMNS_AT_MOST,
    EMPTY,
    Kind,
    Merged,
    Sheet,
    SheetRow,
    Value,
    text_value,
)
from tagmaker.problems import Problem, Where, error

__all__ = ["ROWS_AT_MOST", "UNPACKED_AT_MOST", "read_xlsx"]

ROWS_AT_MOST = 50_000
UNPACKED_AT_MOST = 60_000_000  # bytes; a workbook of 5,000 rows has about 3 MB
PARTS_AT_MOST = 2000
CELLS_AT_MOST = 400_000  # and rows; openpyxl takes 14 µs and 650 bytes for each (measured)
TAGS_AT_MOST = 1_500_000  # elements of any sort
MERGED_AT_MOST = 500_000  # cells under merged ones
MERGES_AT_MOST = 20_000
REMEMBERED = 2  # workbooks by their bytes: a change of a job reads it before and after
OLE = b"\xd0\xcf\x11\xe0"  # old workbooks, and new ones behind a password
SAVE_HINT = "open it in a spreadsheet program and save it as .xlsx, without a password"
CELL = re.compile(rb"<(?:\w+:)?(?:c|row|col)[\s/>]")
MERGE = re.compile(rb"""<(?:\w+:)?mergeCell\s[^<>]*?ref\s*=\s*["']([A-Z]+)(\d+):([A-Z]+)(\d+)["']""")
FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
# of number formats: "# ?/?" shows a fraction, '0" MBH"' a unit that is no part of the value
FRACTION = re.compile(r"[?#0]/[?#\d]")
LITERAL = re.compile(r"""[0#?]\s*(?:"([^"]*)"|\\ "([^"]*)"|\\(["']))$""")


def read_xlsx(path: Path, shown: str) -> tuple[list[Sheet], list[Problem]]:
    """The sheets of a workbook, or the problem with it."""
    content = read_bytes(path, shown)
    if isinstance(content, Problem):
        return [], [content]
    sheets, problems = _read(content, shown)
    return list(sheets), list(problems)


@lru_cache(maxsize=REMEMBERED)
def _read(content: bytes, shown: str) -> tuple[tuple[Sheet, ...], tuple[Problem, ...]]:
    """The same of a workbook's bytes."""
    sheets: list[Sheet] = []
    try:
        fault, has_formulas = _check(content)
        sheets = [] if fault else list(_sheets(content, shown, has_formulas=has_formulas))
    except zipfile.BadZipFile:
        fault = "is not an .xlsx workbook, or is damaged"
    except Exception as reason:  # noqa: BLE001 — of a damaged workbook zipfile and openpyxl raise anything
        fault = f"is a damaged workbook ({type(reason).__name__})"
    if fault:
        return (), (error("file-unreadable", f"{shown} {fault}", Where(shown), SAVE_HINT),)
    problems = tuple(problem for sheet in sheets if (problem := _too_large(sheet)))
    return ((), problems) if problems else (tuple(sheets), ())


def _check(content: bytes) -> tuple[str, bool]:
    """What is wrong with a file before anything is parsed ("" = nothing), and whether it has formulas."""
    if content.startswith(OLE):
        return "is locked with a password, or is in the old .xls format", False
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return _check_parts(packed)


def _check_parts(packed: zipfile.ZipFile) -> tuple[str, bool]:
    """The same for the directory of parts and each part of text."""
    parts = packed.infolist()
    size = sum(part.file_size for part in parts)
    if len(parts) > PARTS_AT_MOST or size > UNPACKED_AT_MOST:
        return f"unpacks to more than {UNPACKED_AT_MOST // 10**6} MB", False
    if "[Content_Types].xml" not in packed.namelist() or "mimetype" in packed.namelist():
        return "is not an .xlsx workbook", False
    counts = _Counts()
    for part in parts:
        if part.filename.endswith((".xml", ".rels")) and (
            fault := counts.add(packed.read(part), is_sheet="worksheets/" in part.filename)
        ):
            return fault, False
    return "", counts.has_formulas


class _Counts(Struct):
    """What the parts hold so far, so that no parser gets more than it can take."""

    tags: int = 0
    cells: int = 0
    has_formulas: bool = False

    def add(self, text: bytes, *, is_sheet: bool) -> str:
        """Look at one more part; why the workbook is refused, or nothing."""
        if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
            return "holds XML that no spreadsheet program writes"
        self.tags += text.count(b"<") - text.count(b"</")
        self.cells += sum(1 for _ in CELL.finditer(text))
        if self.tags > TAGS_AT_MOST or self.cells > CELLS_AT_MOST:
            return f"has more than {CELLS_AT_MOST:,} cells and rows"
        if is_sheet:
            self.has_formulas = self.has_formulas or bool(FORMULA.search(text))
            merged = [_area(match.groups()) for match in MERGE.finditer(text)]
            if len(merged) > MERGES_AT_MOST or sum(merged) > MERGED_AT_MOST:
                return f"merges more than {MERGED_AT_MOST:,} cells"
        return ""


def _area(corners: tuple[bytes | Any, ...]) -> int:
    """How many cells merged ones cover."""
    left, top, right, bottom = corners
    width = _column_number(right) - _column_number(left) + 1
    return max(0, width) * max(0, int(bottom) - int(top) + 1)


def _column_number(letters: bytes) -> int:
    """A column's number from 1: A, B … Z, AA."""
    number = 0
    for letter in letters:
        number = number * 26 + letter - ord("A") + 1
    return number


def _sheets(content: bytes, shown: str, *, has_formulas: bool) -> Iterator[Sheet]:
    """Every worksheet, hidden ones too."""
    values = _load(content, data_only=True)
    formulas = _load(content, data_only=False) if has_formulas else None
    struck = {number for number, font in enumerate(values._fonts) if font.strike}
    for number, sheet in enumerate(values.worksheets):
        sources = formulas.worksheets[number]._cells if formulas else {}
        yield Sheet(
            file=shown,
            rows=tuple(_rows(sheet, sources, struck)),
            name=sheet.title,
            number=number,
            is_hidden=sheet.sheet_state != "visible",
            hidden_columns=frozenset(_hidden_columns(sheet)),
            merged=tuple(
                Merged(each.min_row, each.min_col - 1, each.max_row, each.max_col - 1)
                for each in sheet.merged_cells.ranges
            ),
        )


def _load(content: bytes, *, data_only: bool) -> Any:
    """The workbook as openpyxl reads it, values or formulas."""
    from openpyxl import load_workbook  # noqa: PLC0415 — heavy, and most jobs have no workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about decoration that is of no use here
        return load_workbook(io.BytesIO(content), data_only=data_only, keep_links=False)


def _too_large(sheet: Sheet) -> Problem | None:
    """The problem with a sheet that is larger than a schedule can be: usually one stray cell far off."""
    last = sheet.rows[-1].line if sheet.rows else 0
    widest = max(sheet.rows, key=lambda row: len(row.values), default=None)
    if last > ROWS_AT_MOST:
        message = f"the sheet extends to row {last}; at most {ROWS_AT_MOST} are read"
        return error("file-unreadable", message, sheet.where(last, 0), "delete the cells below that row")
    if widest and len(widest.values) > COLUMNS_AT_MOST:
        where = sheet.where(widest.line, len(widest.values) - 1)
        message = f"a cell is beyond column {COLUMNS_AT_MOST}"
        return error("file-unreadable", message, where, "delete the cells to the right of it")
    return None


def _hidden_columns(sheet: Any) -> Iterator[int]:
    """Columns from 0 that are hidden, or so narrow that nothing shows."""
    for column in sheet.column_dimensions.values():
        if column.hidden or column.width == 0:
            yield from range(column.min - 1, min(column.max, COLUMNS_AT_MOST + 1))


def _rows(sheet: Any, sources: Any, struck: set[int]) -> Iterator[SheetRow]:
    """The rows from the first to the last filled one, blank ones between them too."""
    filled: dict[int, dict[int, Value]] = {}
    for (line, column), cell in sheet._cells.items():  # iter_rows would fill a sparse sheet's gaps
        value = _value(cell, sources.get((line, column)), struck)
        if value.text:
            filled.setdefault(line, {})[column - 1] = value
    dimensions = sheet.row_dimensions
    for line in range(1, min(max(filled, default=0), ROWS_AT_MOST) + 1):
        values = filled.get(line, {})
        width = max(values, default=-1) + 1
        row = dimensions.get(line)
        is_hidden = bool(row and (row.hidden or row.height == 0))
        yield SheetRow(line, tuple(values.get(at, EMPTY) for at in range(width)), is_hidden)
    if max(filled, default=0) > ROWS_AT_MOST:
        yield SheetRow(max(filled), (Value("…"),))


def _value(cell: Any, source: Any, struck: set[int]) -> Value:
    """A cell's value; a formula that was never calculated is known by its source without a value."""
    content = cell.value
    if content is None:
        is_open = source is not None and source.data_type == "f" and cell.data_type == "n"
        return Value(str(source.value), Kind.FORMULA) if is_open else EMPTY
    value = _plain(content, cell)
    if struck and value.text and cell.has_style and cell._style.fontId in struck:
        return Value(value.text, Kind.STRUCK)
    return value


def _plain(content: object, cell: Any) -> Value:
    """A cell's content as the spreadsheet shows it."""
    if cell.data_type == "e":
        return Value(str(content), Kind.ERROR)
    if isinstance(content, bool):
        return Value(str(content).upper(), Kind.BOOLEAN)
    if isinstance(content, dt.datetime):
        whole_day = content.time() == dt.time()
        return Value(str(content.date() if whole_day else content), Kind.DATE)
    if isinstance(content, dt.date | dt.time | dt.timedelta):
        return Value(str(content), Kind.DATE)
    if isinstance(content, int | float):
        form = cell.number_format or "General"
        kind = Kind.FORMATTED if shows_otherwise(form) else Kind.NUMBER
        return Value(_number(content, form), kind)
    return text_value(str(content))


def _number(number: float, form: str) -> str:
    """A number to twelve digits, with the fraction, zeros, per cent sign and unit that its format shows."""
    form = form.partition(";")[0].strip()
    literal = LITERAL.search(form)
    unit = f" {next(filter(None, literal.groups()), '').strip()}" if literal else ""
    if "%" in form:
        return f"{format(number * 100, '.12g')}%"
    if FRACTION.search(form):
        exact = Fraction(number).limit_denominator(64)  # finer than any tube; others stay decimals
        if float(exact) == number and number > 0:
            return _vulgar(exact) + unit
    text = format(number, ".12g")
    if (zeros := re.match(r"(0{2,})(?![0#,])", form)) and text.isdigit():
        text = text.zfill(len(zeros[1]))
    if decimals := re.search(r"\.(0+)", form):
        whole, _, rest = text.partition(".")
        text = f"{whole}.{rest.ljust(len(decimals[1]), '0')}"
    return text + unit


def _vulgar(number: Fraction) -> str:
    """A number as inches are written: 1-1/8."""
    whole, rest = divmod(number, 1)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)

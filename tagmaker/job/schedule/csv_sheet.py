"""CSV files as spreadsheets of any country save them, as sheets.

Takes a file; gives one sheet, or the problem with the file. The sign between cells is not declared anywhere,
so the one is chosen by which most words of a header are known. A stray quote is an error: it would swallow
rows.
"""

import csv
import itertools
import re
from pathlib import Path

from tagmaker.catalog.columns import column_words, plain_word
from tagmaker.files.patterns import Pattern
from tagmaker.files.toml import read_bytes
from tagmaker.job.schedule.encoding import decoded
from tagmaker.job.schedule.sheet import COLUMNS_AT_MOST, ROWS_AT_MOST, Sheet, SheetRow, text_value
from tagmaker.problems import Problem, Where, error

__all__ = ["SIGN_LINE", "csv_sheets", "csv_sign", "read_csv"]

SIGNS = {",": "commas", ";": "semicolons", "\t": "tabs"}
SIGN_LINE = Pattern(
    r'"?sep=([^"\n])"?[ \t,;]*\n', re.IGNORECASE
)  # a first line that names the sign, as some spreadsheets write it
# what workbooks begin with, new ones and old: people rename them to .csv
ZIP, OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
BEGINS = 1_000_000  # characters in which the sign is looked for
LOOKED_AT = 100  # records in which the header is looked for


def read_csv(path: Path, shown: str) -> tuple[list[Sheet], list[Problem]]:
    """The one sheet of a CSV file, or the problem with it."""
    content = read_bytes(path, shown)
    sheets = content if isinstance(content, Problem) else csv_sheets(content, shown)
    return ([], [sheets]) if isinstance(sheets, Problem) else (sheets, [])


def csv_sheets(content: bytes, shown: str) -> list[Sheet] | Problem:
    """The one sheet of a CSV file's bytes, or the problem with them."""
    if content.startswith((ZIP, OLE)):
        message = f"{shown} is a workbook, not a CSV file"
        hint = "correct the ending of its name, or save it as CSV"
        return error("file-unreadable", message, Where(shown), hint)
    text = decoded(content, shown)
    if isinstance(text, Problem):
        return text
    sign = csv_sign(text[0])
    rows = _rows(text[0], shown, sign)
    if isinstance(rows, Problem):
        return rows
    return [Sheet(shown, tuple(rows), remark=f"{text[1]}, {SIGNS.get(sign, sign)}")]


def _rows(text: str, shown: str, sign: str) -> list[SheetRow] | Problem:
    """Every record with its first line."""
    sign_line = SIGN_LINE.match(text)
    rows: list[SheetRow] = []
    reader = csv.reader(
        text[sign_line.end() if sign_line else 0 :].splitlines(keepends=True), delimiter=sign, strict=True
    )
    before = 1 if sign_line else 0
    line = before + 1
    try:
        for cells in reader:
            if fault := _too_large(len(rows), cells):
                return error("file-unreadable", f"{shown} {fault}", Where(shown, line), "is it a schedule?")
            rows.append(SheetRow(line, tuple(map(text_value, cells))))
            line = before + reader.line_num + 1
    except csv.Error as reason:
        message = f"not valid CSV: {reason}"
        return error("file-unreadable", message, Where(shown, line), "close the quotes of every quoted cell")
    return rows


def _too_large(above: int, cells: list[str]) -> str:
    """Why a record is none that a schedule can have, empty where it may be."""
    if above >= ROWS_AT_MOST:
        return f"has more than {ROWS_AT_MOST:,} rows"
    return f"has more than {COLUMNS_AT_MOST} columns" if len(cells) > COLUMNS_AT_MOST else ""


def csv_sign(text: str) -> str:
    """The sign between cells: named in the first line, else that by which a header is known best."""
    sign_line = SIGN_LINE.match(text)
    if sign_line:
        return sign_line[1]
    # quoted cells may hold any sign; only the beginning is looked at, as a cell may be a whole remark
    bare = re.sub(r'"[^"]*"', "q", text[:100_000])
    first = next((line for line in bare.splitlines() if line.strip(" ,;\t")), "")
    return max(SIGNS, key=lambda sign: (_known(text, sign), first.count(sign)))


def _known(text: str, sign: str) -> int:
    """The most words of a header in one record, were the cells parted by this sign."""
    words = column_words()
    best = 0
    try:
        reader = csv.reader(
            itertools.islice(text[:BEGINS].splitlines(keepends=True), LOOKED_AT), delimiter=sign
        )
        for cells in reader:
            names = [plain_word(cell.partition("(")[0].partition("[")[0]) for cell in cells[:COLUMNS_AT_MOST]]
            best = max(best, sum(name in words.key_of or name in words.ambiguous for name in names))
    except csv.Error:
        return best
    return best

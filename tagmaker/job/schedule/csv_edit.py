"""Cells of a CSV file given another text; every other byte stays.

Takes a file's bytes and the texts by line and column; gives its new bytes, or the problem. Encoding, sign and
records are those that the reader of schedules sees. What comes out is read again: the cells must hold the new
texts, and all others what they held.
"""

import codecs
import re
from collections.abc import Iterator, Mapping

from msgspec import Struct

from tagmaker.job.schedule.csv_sheet import SIGN_LINE, csv_sheets, csv_sign
from tagmaker.job.schedule.encoding import MARKS, decoded
from tagmaker.job.schedule.sheet import EMPTY, SheetRow, Value, text_value
from tagmaker.problems import Problem, Where, error

__all__ = ["CellPlace", "csv_of", "edited_csv"]

CellPlace = tuple[int, int]
"""A cell's place: the first line of its record, from 1, and its column, from 0."""
NEWLINE = re.compile(r"\r\n|\r|\n")
CODECS = {"UTF-8": "utf-8", "Windows-1252": "cp1252"}
HINT = "change it in the spreadsheet program"


class _Span(Struct, frozen=True):
    """A cell in the text: where it begins and ends, and whether it is in quotes."""

    start: int
    end: int
    is_quoted: bool


def edited_csv(content: bytes, texts: Mapping[CellPlace, str], shown: str) -> bytes | Problem:
    """The file's bytes with these cells' texts, or why they cannot be written."""
    before = csv_sheets(content, shown)
    new = before if isinstance(before, Problem) else _written(content, texts, shown)
    after = new if isinstance(new, Problem) else csv_sheets(new, shown)
    if isinstance(before, Problem) or isinstance(new, Problem) or isinstance(after, Problem):
        return next(each for each in (before, new, after) if isinstance(each, Problem))
    if _values(after[0].rows) != _wanted(before[0].rows, texts):
        message = f"{shown} would be read in another way with these texts in it"
        return error("edit-refused", message, Where(shown), HINT)
    return new


def _written(content: bytes, texts: Mapping[CellPlace, str], shown: str) -> bytes | Problem:
    """The same before it is read again."""
    known = decoded(content, shown)
    if isinstance(known, Problem):
        return known
    plain, encoding = known
    mark, codec = _codec(content, encoding)
    text = content[len(mark) :].decode(codec)
    try:
        return mark + _with_texts(text, csv_sign(plain), texts).encode(codec)
    except UnicodeEncodeError as reason:
        sign = reason.object[reason.start]
        message = f"{shown} is {encoding} text, which has no sign {sign!r}"
        return error("edit-refused", message, Where(shown), 'save the file as "CSV UTF-8" first')
    except KeyError as reason:
        line, _ = reason.args[0]
        return error("edit-refused", f"{shown} has no record on line {line}", Where(shown, line), HINT)


def _codec(content: bytes, encoding: str) -> tuple[bytes, str]:
    """The mark at the beginning of a file, and the codec of what follows it."""
    for mark, _, _ in MARKS:
        if content.startswith(mark):
            little = "utf-16-le" if mark == codecs.BOM_UTF16_LE else "utf-16-be"
            return mark, "utf-8" if mark == codecs.BOM_UTF8 else little
    return b"", CODECS[encoding]


def _values(rows: tuple[SheetRow, ...]) -> dict[CellPlace, Value]:
    """Every filled cell by the number of its record and its column; lines move where a cell loses a break."""
    return {
        (number, column): value
        for number, row in enumerate(rows)
        for column, value in enumerate(row.values)
        if value is not EMPTY and value.text
    }


def _wanted(rows: tuple[SheetRow, ...], texts: Mapping[CellPlace, str]) -> dict[CellPlace, Value]:
    """The filled cells as they must be read afterwards."""
    numbers = {row.line: number for number, row in enumerate(rows)}
    new = {(numbers[line], column): text_value(text) for (line, column), text in texts.items()}
    return {place: value for place, value in (_values(rows) | new).items() if value.text}


def _with_texts(text: str, sign: str, texts: Mapping[CellPlace, str]) -> str:
    """The text with cells replaced; KeyError with the place of one whose line begins no record."""
    left = dict(texts)
    wanted_lines = {line for line, _ in texts}
    pieces: list[str] = []
    done = 0
    for line, spans in _records(text, sign):
        if line not in wanted_lines:
            continue
        for start, end, piece in _replaced(text, sign, line, spans, left):
            pieces += [text[done:start], piece]
            done = end
    if left:
        raise KeyError(next(iter(left)))
    return "".join([*pieces, text[done:]])


def _replaced(
    text: str, sign: str, line: int, spans: list[_Span], left: dict[CellPlace, str]
) -> Iterator[tuple[int, int, str]]:
    """What replaces which part of a record; texts that are used are taken out of `left`."""
    for column, span in enumerate(spans):
        new = left.pop((line, column), None)
        if new is not None and new != _bare(text, span):
            yield span.start, span.end, _cell(new, sign, is_quoted=span.is_quoted)
    beyond = {column: left.pop((of, column)) for of, column in list(left) if of == line}
    if beyond:  # cells that a short record does not have: signs are added at its end
        end = spans[-1].end
        cells = [beyond.get(column, "") for column in range(len(spans), max(beyond) + 1)]
        yield end, end, "".join(sign + _cell(cell, sign, is_quoted=False) for cell in cells)


def _bare(text: str, span: _Span) -> str:
    """A cell's text without its quotes."""
    raw = text[span.start : span.end]
    return raw[1:-1].replace('""', '"') if span.is_quoted else raw


def _cell(text: str, sign: str, *, is_quoted: bool) -> str:
    """A text as a cell has it, in quotes where the cell had them or the text needs them."""
    needs = any(each in text for each in (sign, '"', "\r", "\n"))
    return '"' + text.replace('"', '""') + '"' if is_quoted or needs else text


def _records(text: str, sign: str) -> Iterator[tuple[int, list[_Span]]]:
    """Every record with its first line, as the csv module divides a text that it accepts."""
    of_sign = re.escape(sign)
    cell = re.compile(rf'"([^"]*+(?:""[^"]*+)*)"|[^{of_sign}\r\n]*+')
    at, line = 0, 1
    first = NEWLINE.search(text)
    if first and SIGN_LINE.match(text[: first.start()] + "\n"):
        at, line = first.end(), 2
    while at < len(text):
        begins, spans = line, []
        while True:
            match = cell.match(text, at)
            end = match.end() if match else at  # the second way matches an empty cell: there is a match
            spans.append(_Span(at, end, is_quoted=text[at : at + 1] == '"'))
            line += len(NEWLINE.findall(text, at, end))
            at = end
            if text[at : at + 1] != sign:
                break
            at += 1
        yield begins, spans
        if newline := NEWLINE.match(text, at):
            at, line = newline.end(), line + 1


def csv_of(rows: list[list[str]]) -> bytes:
    """A CSV file of the program's own: UTF-8 with a mark, by which every spreadsheet program knows it."""
    lines: list[str] = []
    for row in rows:
        cells = ('"' + cell.replace('"', '""') + '"' if re.search('[",\r\n]', cell) else cell for cell in row)
        lines.append(",".join(cells) + "\r\n")
    return codecs.BOM_UTF8 + "".join(lines).encode()

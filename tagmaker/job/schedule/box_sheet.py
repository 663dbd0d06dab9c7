"""A sheet whose rows are boxes: tag, ports, place, power, system, level, fed from, as [[box]] has them.

Takes a sheet; gives the boxes with the places of their cells. A header is one of boxes if it has a word of a
box's tag, at least one column of a box, and none of a unit; "Ports" are counts there, letters never.
"""

import re
from collections.abc import Iterable

from msgspec import Struct

from tagmaker.catalog.columns import column_words, plain_word
from tagmaker.files.patterns import Pattern
from tagmaker.files.toml import TAG, TAG_HINT
from tagmaker.job.schedule.cells import (
    HIDDEN_KEY,
    HIDDEN_LEFT_OUT,
    begins_with,
    cell_fault,
    hidden_name,
    is_dash,
    names_total,
)
from tagmaker.job.schedule.columns import Header, chosen_name, quoted, unknown_column
from tagmaker.job.schedule.headers import left_out_note, meanings
from tagmaker.job.schedule.result import BoxFacts, Choices, Column, FilledCell, ReadSheet, SkippedRow
from tagmaker.job.schedule.shared_causes import once_per_cause
from tagmaker.job.schedule.sheet import Merged, Sheet, SheetRow, Value
from tagmaker.problems import Problem, Where, error

__all__ = ["find_boxes", "read_boxes"]

LOOKED_AT = 100  # rows in which the header is looked for
TEXT_AT_MOST = 60  # characters of a box's place and the like
PORTS_AT_MOST = 10**3  # larger numbers are slips; the family decides
COUNT = Pattern(r"(\d{1,4})(?:[ -]?ports?)?", re.ASCII | re.IGNORECASE)
SINGLE_HINT = "write one number: how many ports the box has"


def find_boxes(sheet: Sheet, choices: Choices) -> int | None:
    """The index of a header of boxes; None where the sheet is no list of boxes."""
    rows = range(min(LOOKED_AT, len(sheet.rows)))
    return next((at for at in rows if _is_header(sheet, at, choices)), None)


def _is_header(sheet: Sheet, at: int, choices: Choices) -> bool:
    """Whether a row heads boxes and no units."""
    row = sheet.rows[at]
    keys = {index: _key(value.text) for index, value in enumerate(row.values) if value.text}
    if "tag" not in keys.values() or len({key for key in keys.values() if key}) == 1:
        return False
    headers = [_header(sheet, row, index) for index in keys]
    if any(choices.columns.get(chosen_name(header, choices) or "") for header in headers):
        return False  # the job gives a column of units
    of_units = column_words().key_of
    others = {of_units.get(_name(row.value(index).text), "") for index in keys} - {"", "box", "port"}
    ports = [index for index in keys if of_units.get(_name(row.value(index).text)) == "port"]
    return not others and all(keys[index] == "ports" and _has_counts(sheet, at, index) for index in ports)


def _name(text: str) -> str:
    """A header's plain word, what is in brackets aside."""
    return plain_word(text.partition("(")[0]) or plain_word(text)


def _key(text: str) -> str:
    """The key of [[box]] that a header means, "" if none."""
    words = column_words()
    return next(
        (
            "tag" if words.key_of.get(word) == "box" else words.box_key_of[word]
            for word in (plain_word(text), _name(text))
            if words.key_of.get(word) == "box" or word in words.box_key_of
        ),
        "",
    )


def _header(sheet: Sheet, row: SheetRow, index: int) -> Header:
    return Header(index, (row.value(index).text,), sheet.where(row.line, index))


def _has_counts(sheet: Sheet, at: int, column: int) -> bool:
    """Whether the first filled cell below a header is a number."""
    texts = (row.value(column).text for row in sheet.rows[at + 1 :])
    return bool(COUNT.fullmatch(next((text for text in texts if text), "")))


def _means(header: Header, choices: Choices) -> Column | Problem:
    """The key of [[box]] that a header means; the job may leave a column out."""
    text = header.parts[-1]
    name = chosen_name(header, choices)
    if name is not None or plain_word(text) in column_words().remarks:
        return Column(header.index, header.text, header.where, "", name=name or "")
    if key := _key(text):
        return Column(header.index, header.text, header.where, key)
    words = column_words()
    known = [*words.box_key_of, *(word for word, key in words.key_of.items() if key == "box")]
    return unknown_column(header, text, known, choices)


def read_boxes(sheet: Sheet, at: int, choices: Choices) -> tuple[ReadSheet, list[Problem]]:
    """The boxes below a header, and what is wrong with them."""
    row = sheet.rows[at]
    headers = [_header(sheet, row, index) for index, value in enumerate(row.values) if value.text]
    columns, problems, unknown = meanings(sheet, headers, choices, _means)
    notes = [left_out_note(column, choices) for column in columns if not (column.key or column.name)]
    reading = _Boxes(sheet, at, columns, choices)
    if not problems:
        reading.read()
    return ReadSheet(
        where=sheet.where(),
        remark=sheet.remark,
        columns=tuple(columns),
        left=tuple(reading.left),
        filled=tuple(reading.filled),
        unknown=tuple(unknown),
        boxes=tuple(reading.boxes.values()),
        hidden=tuple(reading.asked),
    ), [*notes, *problems, *once_per_cause(reading.problems, _cause)]


def _cause(problem: Problem) -> object | None:
    """Hidden rows are one cause, as are cells without a heading."""
    return problem.code if problem.code in {"column-hidden", "row-too-long"} else None


class _Boxes(Struct, dict=True):
    """The rows below a header of boxes being read."""

    sheet: Sheet
    at: int
    columns: list[Column]
    choices: Choices
    asked: list[SkippedRow] = []  # hidden rows that the job may leave out
    boxes: dict[str, BoxFacts] = {}
    problems: list[Problem] = []
    left: list[SkippedRow] = []
    filled: list[FilledCell] = []

    def __post_init__(self) -> None:
        self.used = {column.key: column for column in self.columns if column.key}
        self.merged = {
            (line, each.left): each
            for each in self.sheet.merged
            if each.bottom > each.top
            for line in range(each.top + 1, each.bottom + 1)
        }
        self.head = [value.text for value in self.sheet.rows[self.at].values if value.text]

    def read(self) -> None:
        """Read every row; those above the header and of no box are listed as skipped."""
        for index, row in enumerate(self.sheet.rows):
            if row.is_blank:
                continue
            why = self._passed_over(index, row)
            if why:
                at = next(at for at, value in enumerate(row.values) if value.text)
                self.left.append(SkippedRow(self.sheet.where(row.line, at), why, row.value(at).text))
            else:
                self._row(row)

    def _passed_over(self, index: int, row: SheetRow) -> str:
        """Why a row holds no box; empty where it does."""
        if index <= self.at:
            return "the header" if index == self.at else "above the header"
        texts = [value.text for value in row.values if value.text]
        if texts == self.head:
            return "the header again"
        tag = row.value(self.used["tag"].index).text
        if any(map(names_total, texts)) and (not tag or names_total(tag)):
            return "a total"
        if len(texts) == 1 and not self._covers(row, self.used["tag"].index):
            is_long = len(plain_word(texts[0]).split()) > 3
            return "a heading or note" if is_long or begins_with(texts[0], column_words().headings) else ""
        return ""

    def _row(self, row: SheetRow) -> None:
        """Read one box."""
        if row.is_hidden:
            self._hidden_row(row)
            return
        headed = {column.index for column in self.columns}
        for at, value in enumerate(row.values):
            if value.text and at not in headed:
                message = f"cell {value.text!r} has no heading above it"
                where = self.sheet.where(row.line, at)
                self._wrong("row-too-long", message, where, "give its column a heading, or delete the cell")
        tag = self._tag(row)
        if not tag:
            return
        boxes = (tag.upper(),)
        texts = {key: self._text(row, key, boxes) for key in self.used if key not in {"tag", "ports"}}
        ports = self._ports(row, boxes)
        places = {key: self._where(row, key) for key in self.used}
        facts = BoxFacts(tag, ports, texts, places["tag"], places)
        if facts.key in self.boxes:
            where = self.boxes[facts.key].where
            self._wrong("box-twice", f"box {tag} is listed twice", places["tag"], f"see {where}", boxes)
        self.boxes.setdefault(facts.key, facts)

    def _hidden_row(self, row: SheetRow) -> None:
        """Leave out a hidden row that the job names; any other is a problem."""
        name = hidden_name(row, self.used["tag"].index)
        where = self.sheet.where(row.line)
        if name in self.choices.hidden:
            self.left.append(SkippedRow(where, HIDDEN_LEFT_OUT, name, name))
            return
        self.asked.append(SkippedRow(where, "hidden", name, name))
        hint = "unhide it or delete it"
        if self.choices.of_job:
            hint += f" – or leave it out: {HIDDEN_KEY} = [{quoted(name)}] in [job]"
        self._wrong("column-hidden", f"row {row.line} is hidden and holds a box", where, hint)

    # --- cells ---------------------------------------------------------------------------------------------

    def _wrong(self, code: str, message: str, where: Where, hint: str, boxes: tuple[str, ...] = ()) -> None:
        self.problems.append(error(code, message, where, hint, boxes))

    def _where(self, row: SheetRow, key: str) -> Where:
        return self.sheet.where(row.line, self.used[key].index)

    def _covers(self, row: SheetRow, column: int) -> Merged | None:
        """The cells merged over rows that hold a cell below their first."""
        return self.merged.get((row.line, column))

    def _cell(self, row: SheetRow, key: str, boxes: Iterable[str] = ()) -> str:
        """A cell's text, of merged cells their first's; "" with a problem where it cannot be believed."""
        column = self.used[key].index
        value: Value = row.value(column)
        cover = self._covers(row, column)
        if cover and key != "tag":
            value = self.sheet.rows[cover.top - 1].value(column)
            source = self.sheet.where(cover.top, column)
            self.filled += [FilledCell(self._where(row, key), key, value.text, source)] if value.text else []
        fault = cell_fault(value)
        if fault:
            self._wrong(fault.code, f"{key} {fault.message}", self._where(row, key), fault.hint, tuple(boxes))
        return "" if fault or is_dash(value.text) else value.text

    def _tag(self, row: SheetRow) -> str:
        """The tag of a row's box; "" with a problem where there is none."""
        before = len(self.problems)
        text = self._cell(row, "tag")
        if TAG.fullmatch(text):
            return text
        if text:
            self._wrong("tag-wrong", f"box {text!r} is not a valid tag", self._where(row, "tag"), TAG_HINT)
        elif len(self.problems) == before:
            self._wrong("cell-missing", "the row has no box", self._where(row, "tag"), "")
        return ""

    def _text(self, row: SheetRow, key: str, boxes: tuple[str, ...]) -> str:
        """A text of a box."""
        text = self._cell(row, key, boxes)
        if text and plain_word(text) in {"", *column_words().undecided}:
            hint = "write it out, or leave the cell empty"
            self._wrong("cell-value", f"{key} {text!r} states nothing", self._where(row, key), hint, boxes)
            return ""
        if len(text) > TEXT_AT_MOST:
            message = f"{key} is longer than {TEXT_AT_MOST} characters"
            self._wrong("value-wrong", message, self._where(row, key), "", boxes)
            return ""
        return text

    def _ports(self, row: SheetRow, boxes: tuple[str, ...]) -> int:
        """How many ports a box has; 0 where the sheet does not give it."""
        text = self._cell(row, "ports", boxes) if "ports" in self.used else ""
        match = COUNT.fullmatch(text)
        if text and not (match and 0 < int(match[1]) <= PORTS_AT_MOST):
            message = f"ports {text!r} is not a number of ports"
            self._wrong("value-wrong", message, self._where(row, "ports"), SINGLE_HINT, boxes)
            return 0
        return int(match[1]) if match else 0

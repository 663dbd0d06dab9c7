"""The rows below a header: which hold a unit, which none, and what a blank or merged cell means.

Takes a sheet and its header; gives unit rows, spare ports, and every row that was skipped with the reason.
The rules lean to asking. A wrong guess here puts a unit on another box's port, so

- a blank box means the one above only where no row repeats its box and no box is merged, and never across
  a blank row, a total or a heading;
- a capacity or run merged over rows is an error, since it could be the rows' sum; a diameter holds for each;
- a hidden row that holds something is an error: used or skipped, nobody would see it;
- a row of bare numbers is skipped as a sum only if it adds up: it could be a unit whose cells are lost.
"""

from collections import Counter
from fractions import Fraction

from msgspec import Struct

from tagmaker.catalog.columns import REQUIRED, column_words, plain_word
from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.cells import (
    HIDDEN_KEY,
    HIDDEN_LEFT_OUT,
    UNCALCULATED_HINT,
    begins_with,
    cell_fault,
    hidden_name,
    is_dash,
    names_total,
    unnumbered,
)
from tagmaker.job.schedule.columns import quoted
from tagmaker.job.schedule.headers import Head, is_repeated, words_in
from tagmaker.job.schedule.result import (
    Choices,
    Column,
    FilledCell,
    Inference,
    SkippedRow,
    Spare,
    Unknown,
)
from tagmaker.job.schedule.rows import Cell, port_text, unit_row, with_defaults
from tagmaker.job.schedule.shared_causes import UnitFaults, first_few, once_per_cause
from tagmaker.job.schedule.sheet import Kind, Merged, Sheet, SheetRow
from tagmaker.problems import Problem, error
from tagmaker.units import Unreadable, read_capacity, read_length

__all__ = ["Body"]

LETTERS_AT_MOST = 2  # of a port; a row whose port is longer may be a header
SUM_LIMIT = Fraction(1, 10**9)  # relative; spreadsheets add in binary, and write what comes out
STRAY_HINT = "a comma inside a cell needs quotes around the cell"
TOO_WIDE_HINT = "give its column a heading, or delete the cell"
TAGS = {
    "unit": "give the unit its tag, or mark the port as spare",
    "box": "write the box's tag",
}
"""Columns of tags, with what to do where a word is in place of one."""
MERGED_HINT = "write it in every row"
MERGED = "is it the value of each row, or their sum?"


class Body(Struct, dict=True):
    """One table's rows being read; `end` is the index at which the next header begins, or the sheet ends."""

    sheet: Sheet
    head: Head
    choices: Choices
    rows: list[UnitRow] = []
    problems: list[Problem] = []
    left: list[SkippedRow] = []
    filled: list[FilledCell] = []
    inferred: list[Inference] = []
    unknown: list[Unknown] = []
    end: int = 0

    def __post_init__(self) -> None:
        self.used = {column.key: column for column in self.head.columns if column.key}
        self.headed = {column.index for column in self.head.columns}
        self.kinds = column_words().kind_of
        self.merged = _by_column(self.sheet.merged, self.used)
        self.above: Cell | None = None  # the box that a blank below it may mean
        self.hidden: list[SheetRow] = []
        self.asked: list[SkippedRow] = []  # hidden rows that the job may leave out
        self.sums: dict[str, list[Fraction]] = {}
        self.spares: list[Spare] = []
        self.unit_faults = UnitFaults()
        self.defaulted: Counter[str] = Counter()  # rows that took the job's value, by key
        self.strays: dict[int, list[Problem]] = {}

    def read(self) -> None:
        """Read every row up to the next header."""
        fills = self._fills()
        self.end = len(self.sheet.rows)
        for index in range(self.head.body, len(self.sheet.rows)):
            row = self.sheet.rows[index]
            if self._is_header(row):
                self.end = index
                break
            self._row(row, fills=fills)
        self._report_hidden()
        self._report_causes()

    def _report_causes(self) -> None:
        """What one mistake did to many cells, each once."""
        strays = [once_per_cause(each, lambda _: "") for each in self.strays.values()]
        of_units, self.unknown = self.unit_faults.problems(self.used, self.choices)
        of_cells = once_per_cause(self.problems, _cause)
        found = [*of_units, *of_cells, *(problem for each in strays for problem in each)]
        self.problems = sorted(found, key=lambda problem: problem.where.order)

    def _row(self, row: SheetRow, *, fills: bool) -> None:
        """Read one row: a unit, a spare port, or a row to skip with its reason."""
        reason = self._passed_over(row)
        if row.is_hidden and not reason:
            self._hidden_row(row)
            return
        self._report_hidden()
        if reason == "a spare port":
            cells = self._cells(row, fills=fills)
            port = cells["port"]
            self.spares.append(Spare(cells["box"].text, self._port(port), port.where))
            self._leave(row, reason)
            return
        if reason:
            self.above = None
            if not row.is_blank:
                self._leave(row, f"{reason}, hidden" if row.is_hidden else reason)
            return
        cells = self._cells(row, fills=fills)
        found, problems = unit_row(cells, cells["unit"].where)
        self.problems += self.unit_faults.take(cells, problems)
        stray = [at for at, value in enumerate(row.values) if value.text and at not in self.headed]
        if stray:
            message = f"cell {row.values[stray[0]].text!r} has no heading above it"
            hint = TOO_WIDE_HINT if self.sheet.name else STRAY_HINT
            where = self.sheet.where(row.line, stray[0])
            self.strays.setdefault(stray[0], []).append(error("row-too-long", message, where, hint))
        if found and not stray:
            self._port(cells["port"])
            whole = with_defaults(found, self.choices.defaults)
            self.defaulted.update(
                key for key in self.choices.defaults if getattr(whole, key) is not getattr(found, key)
            )
            self.rows.append(whole)
            self._add(found)

    def _port(self, cell: Cell) -> str:
        """A cell's port; one that is written in another way than A or G+H is noted."""
        port = port_text(cell.text)
        if port != cell.text.replace(" ", ""):
            self.inferred.append(Inference(cell.where, "port", port, repr(cell.text)))
        return port

    # --- rows that hold no unit ----------------------------------------------------------------------------

    def _is_header(self, row: SheetRow) -> bool:
        """Whether another table's header begins here: words of columns, and no port's letter."""
        port = port_text(row.value(self.used["port"].index).text)
        if 0 < len(port) <= LETTERS_AT_MOST or "+" in port or row.is_blank or is_repeated(row, self.head):
            return False
        return (
            words_in(row, self.choices) > len(REQUIRED) - 1
            and not row.value(self.used["unit"].index).text.isdigit()
        )

    def _passed_over(self, row: SheetRow) -> str:
        """Why a row holds no unit; empty where it does."""
        if row.is_blank:
            return "blank"
        port, unit = (row.value(self.used[key].index).text for key in ("port", "unit"))
        if port and self._is_spare(row, unit):
            return "a spare port"
        if _is_port(port) and unit:
            return ""
        # The first that applies is the reason shown; a sum is last, since it is the weakest sign. Were these
        # kept, the sheet would stay for good: nothing collects what refers to itself while a run lasts
        tests = {
            "the header again": lambda row: is_repeated(row, self.head),
            "a total": self._is_total,
            "a heading or note": self._is_heading,
            "no value in the columns used": self._counts_nowhere,
            "the sum of the rows above": self._is_sum,
        }
        return next((why for why, test in tests.items() if test(row)), "")

    def _is_spare(self, row: SheetRow, unit: str) -> bool:
        """Whether a row names its port as spare: a word or dash for the unit, and no capacity.

        A dash with an address is a unit whose tag is not known yet.
        """
        spares = column_words().spares
        if unit and unnumbered(unit) not in ("", *spares):
            return False
        words = [value.text for value in row.values if unnumbered(value.text) in spares]
        without = ("capacity",) if words else ("capacity", "address")
        columns = [self.used[key] for key in without if key in self.used]
        return bool(unit or words) and all(is_dash(row.value(each.index).text) for each in columns)

    def _counts_nowhere(self, row: SheetRow) -> bool:
        """Whether a row's filled cells are all in columns that are left out."""
        used = {column.index for column in self.used.values()}
        return not any(
            value.text and (at in used or at not in self.headed) for at, value in enumerate(row.values)
        )

    def _is_total(self, row: SheetRow) -> bool:
        """Whether a row names a total, and has no unit and no port; a count may be in their place."""
        unit, port = (row.value(self.used[key].index).text for key in ("unit", "port"))
        named = [value.text for value in row.values if names_total(value.text)]
        return (
            bool(named)
            and (unit in ("", *named) or unit.isdigit())
            and (port in ("", *named) or port.isdigit())
        )

    def _is_heading(self, row: SheetRow) -> bool:
        """Whether a row's one cell is merged across, begins with a heading's word, or has many words."""
        filled = [(at, value.text) for at, value in enumerate(row.values) if value.text]
        if len(filled) != 1 or any(self._cover(key, row.line) for key in REQUIRED):
            return False
        at, text = filled[0]
        across = any(each.holds(row.line, at) and each.right > each.left for each in self.sheet.merged)
        return across or begins_with(text, column_words().headings) or len(plain_word(text).split()) > 3

    def _is_sum(self, row: SheetRow) -> bool:
        """Whether a row has nothing but numbers, each the sum of those above it."""
        filled = {key: row.value(column.index) for key, column in self.used.items()}
        sums = {key: value for key, value in filled.items() if value.text}
        numbers = {at for at, value in enumerate(row.values) if value.text}
        if not sums or numbers - {self.used[key].index for key in sums}:
            return False
        return all(self._adds_up(key, value.text) for key, value in sums.items())

    def _adds_up(self, key: str, text: str) -> bool:
        """Whether a number is the sum of those above it in its column."""
        number = self._number(key, text)
        above = self.sums.get(key, [])
        if number is None or not above:
            return False
        return abs(sum(above) - number) <= number * SUM_LIMIT

    def _number(self, key: str, text: str) -> Fraction | None:
        """A cell's number in base units, where its column has one."""
        unit = self.used[key].unit
        if self.kinds[key] == "capacity":
            capacity = read_capacity(text, unit)
            return None if isinstance(capacity, Unreadable) else capacity.btuh
        if self.kinds[key] == "length":
            length = read_length(text, unit)
            return None if isinstance(length, Unreadable) else length.mm
        return None

    def _add(self, row: UnitRow) -> None:
        """Keep what a total below may add up."""
        if row.capacity:
            self.sums.setdefault("capacity", []).append(row.capacity.btuh)
        if row.run:
            self.sums.setdefault("run", []).append(row.run.mm)

    def _leave(self, row: SheetRow, why: str, name: str = "") -> None:
        """Note a skipped row with its first text."""
        text = next(value.text for value in row.values if value.text)
        at = next(at for at, value in enumerate(row.values) if value.text)
        self.left.append(SkippedRow(self.sheet.where(row.line, at), why, text, name))

    def _hidden_row(self, row: SheetRow) -> None:
        """Leave out a hidden row that the job names; any other is reported with those beside it."""
        name = hidden_name(row, self.used["unit"].index)
        if name in self.choices.hidden:
            self._report_hidden()
            self.above = None
            self._leave(row, HIDDEN_LEFT_OUT, name)
        else:
            self.hidden.append(row)
            self.asked.append(SkippedRow(self.sheet.where(row.line), "hidden", name, name))

    def _report_hidden(self) -> None:
        """One problem for hidden rows that follow each other."""
        rows, self.hidden = self.hidden, []
        if not rows:
            return
        self.above = None
        first, last = rows[0].line, rows[-1].line
        unit = self.used["unit"].index
        lines = f"row {first} is" if first == last else f"rows {first} to {last} are"
        held = [row.value(unit).text for row in rows if row.value(unit).text]
        what = f"hidden and hold{'s' if first == last else ''} {first_few(held) or 'something'}"
        hint = "unhide what is needed, delete the rest"
        if self.choices.of_job:
            hint += f" – or leave it out: {HIDDEN_KEY} = [{quoted(hidden_name(rows[0], unit))}] in [job]"
        self.problems.append(error("column-hidden", f"{lines} {what}", self.sheet.where(first, unit), hint))

    # --- cells ---------------------------------------------------------------------------------------------

    def _cells(self, row: SheetRow, *, fills: bool) -> dict[str, Cell]:
        """A row's cells by key, a blank box filled from above where that is allowed."""
        cells = {key: self._cell(key, column, row) for key, column in self.used.items()}
        box = cells["box"]
        if not box.text and not box.fault and fills and self.above:
            cells["box"] = Cell(self.above.text, box.where)
            self.filled.append(FilledCell(box.where, "box", self.above.text, self.above.where))
        elif box.text:
            self.above = None if box.fault else box
        return cells

    def _cell(self, key: str, column: Column, row: SheetRow) -> Cell:
        """One cell with its place, its column's unit, and why it cannot be believed."""
        where = self.sheet.where(row.line, column.index)
        value = row.value(column.index)
        cover = self._cover(key, row.line) if self.merged[key] else None
        if cover:
            return self._covered(key, column, row, cover)
        fault = cell_fault(value) if value.kind is not Kind.TEXT or self.sheet.name else None
        if key in TAGS and unnumbered(value.text) in column_words().no_tags:
            fault = Unreadable("tag-wrong", f"{value.text!r} is not a valid {key} tag", TAGS[key])
        text = "" if key not in REQUIRED and is_dash(value.text) else value.text
        return Cell(text, where, column.unit, fault)

    def _cover(self, key: str, line: int) -> Merged | None:
        """The merged cells that hold this one, where they go over rows."""
        return self.merged[key].get(line)

    def _covered(self, key: str, column: Column, row: SheetRow, cover: Merged) -> Cell:
        """A cell merged over rows, which holds for each; a capacity or run may be their sum: an error."""
        where = self.sheet.where(row.line, column.index)
        value = self.sheet.rows[cover.top - 1].value(column.index)
        fault = cell_fault(value)
        if key in ("capacity", "run") and value.text:
            merged = f"{value.text!r} is merged over rows {cover.top} to {cover.bottom}"
            message = f"{merged}: {MERGED}"
            fault = Unreadable("cell-value", message, MERGED_HINT)
        if key == "unit" and row.line > cover.top:
            return Cell("", where)
        if row.line > cover.top and value.text and not fault:
            self.filled.append(FilledCell(where, key, value.text, self.sheet.where(cover.top, column.index)))
        return Cell(value.text, where, column.unit, fault)

    def _fills(self) -> bool:
        """Whether a blank box means the one above: each is named once, and none is merged over its rows."""
        last_of_head = self.sheet.rows[self.head.body - 1].line
        if any(line > last_of_head for line in self.merged["box"]):
            return False
        box, port = self.used["box"].index, self.used["port"].index
        before = ""
        for row in self.sheet.rows[self.head.body :]:
            own = row.value(box).text.upper()
            if own and own == before and row.value(port).text:
                return False
            before = own
        return True


def _by_column(merged: tuple[Merged, ...], used: dict[str, Column]) -> dict[str, dict[int, Merged]]:
    """The cells merged over rows that begin in each column that counts, by line."""
    over_rows = [each for each in merged if each.bottom > each.top]
    return {
        key: {
            line: each
            for each in over_rows
            if each.left == column.index
            for line in range(each.top, each.bottom + 1)
        }
        for key, column in used.items()
    }


def _is_port(text: str) -> bool:
    """Whether a text names a port or a pair, in any way of writing that is read or asked about."""
    port = port_text(text)
    return "+" in port or (port.isalpha() and len(port) <= LETTERS_AT_MOST)


def _cause(problem: Problem) -> object | None:
    """What problems of one cause have in common: a file that was not calculated, a merged cell."""
    if problem.hint == UNCALCULATED_HINT:
        return problem.hint
    return problem.message if problem.message.endswith(MERGED) else None

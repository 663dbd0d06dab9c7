"""One cause is one problem: what one mistake did to many cells, with a count and the first cells.

`UnitFaults` takes the cells of each row, and gives at the end of a table a problem for each column and
unknown unit. Where no cell of a column has a unit of its own the cause is the header, which is named, and
[columns] can answer. `once_per_cause` joins problems that one action mends.
"""

from collections.abc import Callable, Iterable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.columns import column_words
from tagmaker.job.schedule.columns import quoted
from tagmaker.job.schedule.kinds import KNOWN_UNITS, READERS_OF, UNIT_CODES
from tagmaker.job.schedule.result import Choices, Column, Unknown
from tagmaker.job.schedule.rows import Cell
from tagmaker.problems import Problem, Where, error
from tagmaker.units import Unreadable

__all__ = ["UnitFaults", "first_few", "once_per_cause"]

CODES_OF_UNITS = frozenset(UNIT_CODES.values())
SHOWN = 3  # cells named in a problem of many


def first_few(texts: list[str], most: int = SHOWN) -> str:
    """The first few texts, and how many more."""
    shown = ", ".join(texts[:most])
    return f"{shown} and {len(texts) - most:,} more" if len(texts) > most else shown


class UnitFaults(Struct):
    """The faults of one table, by column and unit ("" = none)."""

    found: dict[tuple[str, str], list[tuple[Cell, Problem]]] = {}
    with_unit: set[str] = set()

    def take(self, cells: Mapping[str, Cell], problems: list[Problem]) -> list[Problem]:
        """Keep a row's faults of units; its other problems are given back."""
        of_units = [problem for problem in problems if problem.code in CODES_OF_UNITS]
        for (key, unit), problem in zip(self._faults(cells), of_units, strict=True):
            self.found.setdefault((key, unit), []).append((cells[key], problem))
        return [problem for problem in problems if problem.code not in CODES_OF_UNITS]

    def _faults(self, cells: Mapping[str, Cell]) -> list[tuple[str, str]]:
        """A row's keys whose unit is missing or unknown, in the order of its problems, and that unit."""
        faults: list[tuple[str, str]] = []
        for key, kind in column_words().kind_of.items():
            cell = cells.get(key)
            if kind == "text" or cell is None or not cell.text or cell.fault:
                continue
            unit = cell.text.lstrip("0123456789.,/ -").strip()
            read = READERS_OF[kind](cell.text, cell.unit)
            if isinstance(read, Unreadable) and read.code in CODES_OF_UNITS:
                faults.append((key, unit))
            elif unit:
                self.with_unit.add(key)
        return faults

    def problems(
        self, columns: Mapping[str, Column], choices: Choices
    ) -> tuple[list[Problem], list[Unknown]]:
        """One problem for each cause, and what [columns] can answer."""
        problems: list[Problem] = []
        unknown: list[Unknown] = []
        for (key, unit), found in self.found.items():
            column = columns[key]
            if not unit and key not in self.with_unit:
                problem = _of_header(column, found, choices)
                unknown.append(Unknown(column.header, problem.message, f"{key} (UNIT)"))
            else:
                problem = _of_cells(key, unit, found)
            problems.append(replace(problem, boxes=_boxes([each for _, each in found])))
        return problems, unknown


def once_per_cause(problems: Iterable[Problem], cause: Callable[[Problem], object | None]) -> list[Problem]:
    """The first problem of each cause, with the places and boxes of the others; no cause: as it is."""
    found: dict[object, list[Problem]] = {}
    for number, problem in enumerate(problems):
        shared = cause(problem)
        found.setdefault((number,) if shared is None else shared, []).append(problem)
    return [_joined(same) for same in found.values()]


def _joined(same: list[Problem]) -> Problem:
    """Problems of one cause as one."""
    first, *others = same
    if not others:
        return first
    more = f"likewise {first_few([_place(each.where, first.where) for each in others])}"
    return replace(first, message=f"{first.message}; {more}", boxes=_boxes(same))


def _of_header(column: Column, found: list[tuple[Cell, Problem]], choices: Choices) -> Problem:
    """A header without a unit, above bare numbers alone."""
    kind = column_words().kind_of[column.key]
    known = KNOWN_UNITS[kind]
    example = f"{column.key} ({known.partition(',')[0]})"
    numbers = "has its number" if len(found) == 1 else f"have its {len(found):,} numbers"
    message = f"column {column.header!r} has no unit, nor {numbers}: {_cells(found)}"
    hint = (
        f"write its unit in the header; known units: {known} – or name it in {choices.place}: "
        f'{quoted(column.header)} = "{example}", with its own unit'
    )
    return error(UNIT_CODES[kind], message, column.where, hint)


def _of_cells(key: str, unit: str, found: list[tuple[Cell, Problem]]) -> Problem:
    """Cells whose unit is missing, where others have one, or is not known."""
    _, first = found[0]
    if len(found) == 1:
        return first
    flaw = f"has a unit that is not known, {unit!r}" if unit else "has no unit"
    return error(
        first.code, f"{key} {flaw}, in {len(found):,} cells: {_cells(found)}", first.where, first.hint
    )


def _cells(found: list[tuple[Cell, Problem]]) -> str:
    """The first cells with their places."""
    return first_few([f"{cell.text!r} {_place(cell.where)}" for cell, _ in found])


def _place(where: Where, beside: Where | None = None) -> str:
    """A cell's name in a sentence, with its sheet if that is another; a line where the file has no cells."""
    if not where.sheet:
        return f"on line {where.line}"
    if beside and beside.sheet != where.sheet:
        return f"in {where.sheet}!{where.cell}"
    return f"in {where.cell}" if where.column else f"in row {where.line}"


def _boxes(problems: list[Problem]) -> tuple[str, ...]:
    """The boxes of problems; none, which is all, where the box of one is not known."""
    if any(not problem.boxes for problem in problems):
        return ()
    return tuple(dict.fromkeys(box for problem in problems for box in problem.boxes))

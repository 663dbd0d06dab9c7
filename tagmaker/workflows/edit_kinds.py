"""The changes that can be asked for of a job's files, as records; `edit.py` makes them.

From a page they come as JSON, which `msgspec.convert(content, list[Edit])` reads. Texts are as typed; an
empty one removes its key.
"""

from collections.abc import Mapping

from msgspec import Struct

from tagmaker.problems import Where

__all__ = [
    "AddBox",
    "AddUnit",
    "AnswerColumn",
    "ChooseSheets",
    "Edit",
    "LeaveRowsOut",
    "Move",
    "MoveUnits",
    "PasteBoxes",
    "RemoveBox",
    "RemoveUnit",
    "SetBands",
    "SetBox",
    "SetJob",
    "SetPrint",
    "SetUnit",
    "Typed",
    "WorkbookCell",
]

Typed = str | int | bool | list[str] | None
"""A value as a form gives it; None or an empty text removes the key."""


class Move(Struct, frozen=True):
    """A unit's row goes to a port, or to a joined pair ("G+H"), of a box.

    `where` is the row's place as the job's reader gives it: needed where two rows name the unit.
    """

    unit: str
    box: str
    port: str
    where: Where | None = None


class MoveUnits(Struct, frozen=True, tag=True):
    """Move units' rows: in a CSV file their cells, in job.toml their [[unit]].

    Rows of a workbook are not moved, the cells to change are listed; with `as_csv` the rows as understood,
    with the moves, become a CSV file beside the workbook, which the job reads from then on.
    """

    moves: tuple[Move, ...]
    as_csv: bool = False


class AnswerColumn(Struct, frozen=True, tag=True):
    """What a header of the schedule means, in [columns]: a column's key, "" to leave the column out.

    `unit` is that of the column's bare numbers ("kBtu/h"). A `key` of None takes the answer back.
    """

    header: str
    key: str | None
    unit: str = ""


class ChooseSheets(Struct, frozen=True, tag=True):
    """The sheets of a workbook that count; none named: every sheet that has a header."""

    sheets: tuple[str, ...]


class LeaveRowsOut(Struct, frozen=True, tag=True):
    """Leave out hidden rows by their names, or with `back` take that back."""

    names: tuple[str, ...]
    back: bool = False


class SetJob(Struct, frozen=True, tag=True):
    """Keys of [job]."""

    values: Mapping[str, Typed]


class SetPrint(Struct, frozen=True, tag=True):
    """Keys of [print]."""

    values: Mapping[str, Typed]


class SetBands(Struct, frozen=True, tag=True):
    """Keys of [bands]."""

    values: Mapping[str, Typed]


class SetBox(Struct, frozen=True, tag=True):
    """Keys of a box, where they are: in its [[box]], or in its row of a sheet of boxes that is a CSV file."""

    tag: str
    values: Mapping[str, Typed]


class AddBox(Struct, frozen=True, tag=True):
    """A new [[box]] after the last one."""

    values: Mapping[str, Typed]


class RemoveBox(Struct, frozen=True, tag=True):
    """Remove a [[box]]; its units stay, and are then reported."""

    tag: str


class PasteBoxes(Struct, frozen=True, tag=True):
    """Rows of boxes as copied from a spreadsheet: lines of cells with tabs between them.

    A first line of headers says which cell is what; without one, `keys` does. Boxes that the job has are
    changed where a cell is filled, the others added.
    """

    text: str
    keys: tuple[str, ...] = ("tag", "ports", "place", "power", "system", "level", "fed_from")


class SetUnit(Struct, frozen=True, tag=True):
    """Keys of a [[unit]] in job.toml; `where` as for a move."""

    unit: str
    values: Mapping[str, Typed]
    where: Where | None = None


class AddUnit(Struct, frozen=True, tag=True):
    """A new [[unit]] after the last one."""

    values: Mapping[str, Typed]


class RemoveUnit(Struct, frozen=True, tag=True):
    """Remove a [[unit]] of job.toml; `where` as for a move."""

    unit: str
    where: Where | None = None


Edit = (
    MoveUnits
    | AnswerColumn
    | ChooseSheets
    | LeaveRowsOut
    | SetJob
    | SetPrint
    | SetBands
    | SetBox
    | AddBox
    | RemoveBox
    | PasteBoxes
    | SetUnit
    | AddUnit
    | RemoveUnit
)


class WorkbookCell(Struct, frozen=True):
    """A cell that a person must change in a workbook: its text now and the one that it must get.

    `remark` is what must be done before, as dividing merged cells.
    """

    file: str
    sheet: str
    cell: str
    before: str
    after: str
    remark: str = ""

"""Units moved to other ports: in job.toml, in cells of a CSV file, or as a list of a workbook's cells.

A row that names a port as spare would contradict a unit that is moved there. It takes the port that the unit
left, where nobody is left on that, else it is emptied: a port that no row names is spare.
"""

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.job.edit_toml import SetKeys
from tagmaker.job.schedule.result import Spare
from tagmaker.job.schedule.rows import port_text
from tagmaker.problems import Where
from tagmaker.workflows.edit_cells import Changed, csv_texts, workbook_cells
from tagmaker.workflows.edit_draft import Draft
from tagmaker.workflows.edit_kinds import Move
from tagmaker.workflows.edit_units import FoundUnit, find_unit

__all__ = ["move_units"]

Letter = tuple[str, str]
"""A port's letter of a box, by the box's tag in capitals."""


class _Moved(Struct, frozen=True):
    """A unit's place before and after a move: the box's tag, the port or pair."""

    found: FoundUnit
    box: str
    port: str
    box_before: str
    port_before: str


def move_units(draft: Draft, moves: tuple[Move, ...]) -> dict[str, Changed]:
    """Take moves into the draft; gives what changes in workbooks, whose cells are listed, by file."""
    moved: list[_Moved] = []
    for move in moves:
        if found := find_unit(draft, move.unit, move.where):
            moved.append(_moved(draft, move, found))
            draft.what.append(f"{move.unit} to {moved[-1].box} {moved[-1].port}")
    for each in moved:
        if not each.found.row:
            draft.toml.append(SetKeys(("unit", each.found.index), {"box": each.box, "port": each.port}))
    spares = _spares(draft, moved)
    workbooks: dict[str, Changed] = {}
    for source in draft.sources:
        rows = {
            each.found.row.where: replace(each.found.row, box=each.box, port=each.port)
            for each in moved
            if each.found.row and each.found.source is source
        }
        own = {spare.where: spares[spare.where] for spare in source.schedule.spares if spare.where in spares}
        changed = Changed(rows, own)
        if (rows or own) and source.is_workbook:
            workbooks[source.name] = changed
            draft.workbook += workbook_cells(draft, source, changed)
        elif rows or own:
            draft.cells.setdefault(source.name, {}).update(csv_texts(draft, source, changed))
    return workbooks


def _moved(draft: Draft, move: Move, found: FoundUnit) -> _Moved:
    """A move with the place that the unit leaves."""
    box, port = move.box.strip(), port_text(" ".join(move.port.split()).upper())
    if found.row:
        return _Moved(found, box, port, found.row.box, found.row.port)
    table = draft.rows("unit")[found.index]
    return _Moved(found, box, port, str(table.get("box", "")), port_text(str(table.get("port", ""))))


# --- rows of spare ports


def _spares(draft: Draft, moved: list[_Moved]) -> dict[Where, Spare | None]:
    """What becomes of each row of a spare port that a unit is moved to; None for one to be emptied."""
    used = set(_used(draft, moved))
    taken_by = {letter: each for each in moved for letter in _letters(each.box, each.port)}
    changed: dict[Where, Spare | None] = {}
    for spare in (spare for source in draft.sources for spare in source.schedule.spares):
        letters = _letters(spare.box, spare.port)
        mover = next((taken_by[letter] for letter in letters if letter in taken_by), None)
        if mover is None:
            continue
        left = [letter for letter in letters if letter not in used]
        box = spare.box
        if not left:
            box = mover.box_before
            left = [letter for letter in _letters(box, mover.port_before) if letter not in used]
        used.update(left)
        port = "+".join(letter for _, letter in left)
        changed[spare.where] = Spare(box, port, spare.where) if left else None
    return changed


def _used(draft: Draft, moved: list[_Moved]) -> Iterator[Letter]:
    """The letters that units are on after the moves."""
    rows = {each.found.row.where for each in moved if each.found.row}
    indices = {each.found.index for each in moved}
    for each in moved:
        yield from _letters(each.box, each.port)
    for source in draft.sources:
        for row in source.schedule.rows:
            if row.where not in rows:
                yield from _letters(row.box, row.port)
    for index, table in enumerate(draft.rows("unit")):
        if index not in indices:
            yield from _letters(str(table.get("box", "")), port_text(str(table.get("port", ""))))


def _letters(box: str, port: str) -> list[Letter]:
    """The letters of a port or pair."""
    return [(box.strip().upper(), part.strip()) for part in port.upper().split("+")]

"""Units' rows: the one of a tag is found, and a [[unit]] of job.toml is changed, added or removed."""

from msgspec import Struct

from tagmaker.job.edit_toml import AddTable, RemoveTable, SetKeys
from tagmaker.job.model import UnitRow
from tagmaker.job.sources import Source
from tagmaker.problems import Where
from tagmaker.workflows.edit_draft import JOB, Draft
from tagmaker.workflows.edit_kinds import AddUnit, RemoveUnit, SetUnit
from tagmaker.workflows.edit_values import given, without_empty, words

__all__ = ["FoundUnit", "add_unit", "find_unit", "remove_unit", "set_unit"]

BOX_HINT = "change it in the spreadsheet program"


class FoundUnit(Struct, frozen=True):
    """A unit's row: the index of its [[unit]], or its schedule and row there."""

    index: int = -1
    source: Source | None = None
    row: UnitRow | None = None


def set_unit(draft: Draft, edit: SetUnit) -> None:
    """Keys of a [[unit]]."""
    found = _inline(draft, edit.unit, edit.where)
    if found:
        values = given(draft, edit.values, Where(JOB))
        draft.toml.append(SetKeys(("unit", found.index), values))
        draft.what.append(f"{edit.unit}: {words(values)}")


def add_unit(draft: Draft, edit: AddUnit) -> None:
    """A new [[unit]]."""
    values = without_empty(given(draft, edit.values, Where(JOB)))
    draft.toml.append(AddTable("unit", values))
    draft.what.append(f"new unit {values.get('unit', '')}")


def remove_unit(draft: Draft, edit: RemoveUnit) -> None:
    """A [[unit]] taken out."""
    found = _inline(draft, edit.unit, edit.where)
    if found:
        draft.toml.append(RemoveTable("unit", found.index))
        draft.what.append(f"unit {edit.unit} removed")


def _inline(draft: Draft, unit: str, where: Where | None) -> FoundUnit | None:
    """The [[unit]] of a tag; a row of a schedule is not changed here."""
    found = find_unit(draft, unit, where)
    if found and found.row:
        draft.wrong(f"{unit} is a row of {found.row.where.file}, not of {JOB}", found.row.where, BOX_HINT)
        return None
    return found


def find_unit(draft: Draft, unit: str, where: Where | None) -> FoundUnit | None:
    """The one row of a unit, at the place where that is given; a problem is noted where there is not one."""
    key = unit.upper()
    rows: list[FoundUnit] = []
    for index, table in enumerate(draft.rows("unit")):
        line = draft.file.where(("unit", index)).line
        if str(table.get("unit", "")).strip().upper() == key and _is_at(Where(JOB, line), where):
            rows.append(FoundUnit(index))
    for source in draft.sources:
        rows += [
            FoundUnit(source=source, row=row)
            for row in source.schedule.rows
            if row.key == key and _is_at(row.where, where)
        ]
    if len(rows) == 1:
        return rows[0]
    shown = where or Where(JOB)
    if rows:
        draft.wrong(f"{len(rows)} rows name the unit {unit}", shown, "remove all but one of them first")
    else:
        draft.wrong(f"no row names the unit {unit} here", shown, "look at what the job holds now")
    return None


def _is_at(where: Where, wanted: Where | None) -> bool:
    """Whether a row is the one of a place; its column does not matter."""
    if wanted is None:
        return True
    return (where.file, where.sheet, where.line) == (wanted.file, wanted.sheet, wanted.line)

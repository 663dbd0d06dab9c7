"""Units' rows moved or changed: in job.toml, in cells of a CSV file, or as a list of a workbook's cells.

A blank box in a schedule may mean the one above it. A move therefore writes the box of rows below that would
otherwise follow the moved one, and is refused unless the schedule, read again with the new texts, has every
other row as before.
"""

from collections.abc import Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.job.edit_toml import AddTable, RemoveTable, SetKeys
from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.csv_edit import CellPlace, edited_csv
from tagmaker.job.schedule.csv_sheet import csv_sheets
from tagmaker.job.schedule.read import Schedule, understand
from tagmaker.job.schedule.result import FilledCell, ReadSheet
from tagmaker.job.schedule.rows import port_text
from tagmaker.job.schedule.sheet import Sheet, SheetRow, text_value
from tagmaker.problems import Problem, Where, column_letters
from tagmaker.workflows.edit_draft import JOB, Draft, Source
from tagmaker.workflows.edit_kinds import AddUnit, Move, RemoveUnit, SetUnit, WorkbookCell
from tagmaker.workflows.edit_values import given, without_empty, words

__all__ = ["add_unit", "move_units", "remove_unit", "set_unit"]

BOX_HINT = "change it in the spreadsheet program"
Texts = dict[CellPlace, str]


class _Found(Struct, frozen=True):
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


def _inline(draft: Draft, unit: str, where: Where | None) -> _Found | None:
    """The [[unit]] of a tag; a row of a schedule is not changed here."""
    found = _find(draft, unit, where)
    if found and found.row:
        draft.wrong(f"{unit} is a row of {found.row.where.file}, not of {JOB}", found.row.where, BOX_HINT)
        return None
    return found


def _find(draft: Draft, unit: str, where: Where | None) -> _Found | None:
    """The one row of a unit, at the place where that is given; a problem is noted where there is not one."""
    key = unit.upper()
    rows: list[_Found] = []
    for index, table in enumerate(draft.rows("unit")):
        line = draft.file.where(("unit", index)).line
        if str(table.get("unit", "")).strip().upper() == key and _is_at(Where(JOB, line), where):
            rows.append(_Found(index))
    for source in draft.sources:
        rows += [
            _Found(source=source, row=row)
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


# --- moves


def move_units(draft: Draft, moves: tuple[Move, ...]) -> dict[str, dict[Where, UnitRow]]:
    """Take moves into the draft; gives the moved rows of workbooks, whose cells are listed, by file."""
    of_source: dict[str, dict[Where, UnitRow]] = {}
    for move in moves:
        found = _find(draft, move.unit, move.where)
        port = port_text(" ".join(move.port.split()).upper())
        if found and found.row and found.source:
            moved = replace(found.row, box=move.box.strip(), port=port)
            of_source.setdefault(found.source.name, {})[found.row.where] = moved
        elif found:
            draft.toml.append(SetKeys(("unit", found.index), {"box": move.box.strip(), "port": port}))
        draft.what.append(f"{move.unit} to {move.box} {port}")
    workbooks: dict[str, dict[Where, UnitRow]] = {}
    for source in draft.sources:
        moved_rows = of_source.get(source.name, {})
        if moved_rows and source.is_workbook:
            workbooks[source.name] = moved_rows
            draft.workbook += _workbook_cells(draft, source, moved_rows)
        elif moved_rows:
            draft.cells.setdefault(source.name, {}).update(_csv_texts(draft, source, moved_rows))
    return workbooks


def _csv_texts(draft: Draft, source: Source, moved: Mapping[Where, UnitRow]) -> Texts:
    """The texts of a CSV file's cells that move these rows and no other; none where there is a problem."""
    content = draft.contents[source.name]
    for texts in _attempts(source, moved):
        of_sheet = {place: text for (_, place), text in texts.items()}
        new = edited_csv(content, of_sheet, source.name)
        sheets = new if isinstance(new, Problem) else csv_sheets(new, source.name)
        if isinstance(sheets, Problem):
            draft.problems.append(sheets)
            return {}
        if _is_as_wanted(understand(sheets, source.name, draft.choices)[0], source, moved):
            if isinstance(new, bytes):
                draft.tried[source.name] = (of_sheet, new)
            return of_sheet
    _cannot_move(draft, source)
    return {}


def _workbook_cells(draft: Draft, source: Source, moved: Mapping[Where, UnitRow]) -> list[WorkbookCell]:
    """The same for a workbook, as a list for a person."""
    for texts in _attempts(source, moved):
        sheets = [_with_texts(sheet, texts) for sheet in source.sheets]
        if _is_as_wanted(understand(sheets, source.name, draft.choices)[0], source, moved):
            return [_listed(source, *place, text) for place, text in sorted(texts.items())]
    _cannot_move(draft, source)
    return []


def _cannot_move(draft: Draft, source: Source) -> None:
    message = f"no change of single cells of {source.name} moves these units and leaves the others"
    draft.wrong(message, Where(source.name), BOX_HINT)


SheetTexts = dict[tuple[str, CellPlace], str]
"""Texts of cells by the name of their sheet and their place there."""


def _attempts(source: Source, moved: Mapping[Where, UnitRow]) -> Iterator[SheetTexts]:
    """Texts that may do: of the moved rows with the blank boxes that follow them, then all blank boxes."""
    texts: SheetTexts = {}
    for where, row in moved.items():
        sheet = source.sheet(where)
        before = next(each for each in source.schedule.rows if each.where == where)
        if sheet and row.box != before.box:
            texts[where.sheet, (where.line, _column(sheet, "box", where.line))] = row.box
        if sheet and row.port != before.port:
            texts[where.sheet, (where.line, _column(sheet, "port", where.line))] = row.port
    filled = {
        (sheet.where.sheet, (each.where.line, _column(sheet, "box", each.where.line))): each
        for sheet in source.schedule.sheets
        if not sheet.boxes
        for each in sheet.filled
        if each.key == "box"
    }
    yield texts | {place: filled[place].text for place in _followers(texts, filled) if place not in texts}
    yield {place: each.text for place, each in filled.items()} | texts


def _followers(
    texts: SheetTexts, filled: Mapping[tuple[str, CellPlace], FilledCell]
) -> list[tuple[str, CellPlace]]:
    """The first blank box below each changed one that took its text from it, or from the same cell."""
    followers: list[tuple[str, CellPlace]] = []
    sources: dict[tuple[str, int], list[tuple[str, CellPlace]]] = {}
    for place, each in filled.items():
        sources.setdefault((place[0], each.source.line), []).append(place)
    for sheet, (line, column) in texts:
        own = filled.get((sheet, (line, column)))
        below = sources.get((sheet, own.source.line if own else line), [])
        followers += [place for place in below if place[1][0] > line and place[1][1] == column][:1]
    return followers


def _column(sheet: ReadSheet, key: str, line: int) -> int:
    """The index of the column of a key in the table that has a row."""
    columns = [each for each in sheet.columns if each.key == key and each.where.line < line]
    return columns[-1].index


def _is_as_wanted(schedule: Schedule, source: Source, moved: Mapping[Where, UnitRow]) -> bool:
    """Whether a schedule read again has the moved rows where they belong, and the others where they were."""
    wanted = [_facts(moved.get(row.where, row)) for row in source.schedule.rows]
    spares = [(spare.box, spare.port) for spare in source.schedule.spares]
    return [_facts(row) for row in schedule.rows] == wanted and [
        (spare.box, spare.port) for spare in schedule.spares
    ] == spares


def _facts(row: UnitRow) -> tuple[object, ...]:
    """What a row says, its place aside."""
    return row.tag, row.box, row.port, row.capacity, row.room, row.address, row.run, row.unread


# --- a workbook as it would be


def _with_texts(sheet: Sheet, texts: SheetTexts) -> Sheet:
    """A sheet with cells changed and merged cells that hold them divided."""
    own = {place: text for (name, place), text in texts.items() if name == sheet.name}
    of_line: dict[int, dict[int, str]] = {}
    for (line, column), text in own.items():
        of_line.setdefault(line, {})[column] = text
    rows = tuple(_row_with(row, of_line.get(row.line, {})) for row in sheet.rows)
    merged = tuple(each for each in sheet.merged if not any(each.holds(*place) for place in own))
    return replace(sheet, rows=rows, merged=merged)


def _row_with(row: SheetRow, texts: Mapping[int, str]) -> SheetRow:
    """A row with texts in some columns."""
    if not texts:
        return row
    width = max(len(row.values), *(at + 1 for at in texts))
    values = [text_value(texts[at]) if at in texts else row.value(at) for at in range(width)]
    return replace(row, values=tuple(values))


def _listed(source: Source, name: str, place: CellPlace, text: str) -> WorkbookCell:
    """A cell to change, with its text now, and the merged cells to divide first."""
    line, column = place
    sheet = next(each for each in source.sheets if each.name == name)
    before = sheet.rows[line - 1].value(column).text if line <= len(sheet.rows) else ""
    merged = next((each for each in sheet.merged if each.holds(line, column)), None)
    remark = ""
    if merged:
        first = f"{column_letters(merged.left + 1)}{merged.top}"
        last = f"{column_letters(merged.right + 1)}{merged.bottom}"
        remark = f"divide the merged cells {first}:{last} first"
    return WorkbookCell(source.name, name, f"{column_letters(column + 1)}{line}", before, text, remark)

"""Cells of a schedule whose new texts put rows elsewhere: written in a CSV file, listed for a workbook.

A blank box in a schedule may mean the one above it. The box of rows below is therefore written out where they
would otherwise follow a changed one. Texts are taken only if the schedule, read again with them, has the
changed rows where they belong and every other row as before.
"""

from collections.abc import Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.csv_edit import CellPlace, edited_csv
from tagmaker.job.schedule.csv_sheet import csv_sheets
from tagmaker.job.schedule.read import Schedule, understand
from tagmaker.job.schedule.result import FilledCell, ReadSheet, Spare
from tagmaker.job.schedule.sheet import Sheet, SheetRow, text_value
from tagmaker.job.sources import Source
from tagmaker.problems import Problem, Where, column_letters
from tagmaker.workflows.edit_draft import Draft
from tagmaker.workflows.edit_kinds import WorkbookCell

__all__ = ["Changed", "csv_texts", "workbook_cells"]

HINT = "change it in the spreadsheet program"
Place = tuple[str, CellPlace]
"""A cell of a schedule: the name of its sheet, and its place there."""
Texts = dict[Place, str]


class Changed(Struct, frozen=True):
    """What changes in a schedule, by the places of the rows: units' rows, and rows of spare ports.

    A spare port of None is one whose row is to be emptied.
    """

    rows: Mapping[Where, UnitRow]
    spares: Mapping[Where, Spare | None]

    def rows_of(self, schedule: Schedule) -> list[UnitRow]:
        """The unit rows of a schedule as they are to be."""
        return [self.rows.get(row.where, row) for row in schedule.rows]

    def spares_of(self, schedule: Schedule) -> list[tuple[str, str]]:
        """Box and port of the spare rows of a schedule as they are to be."""
        new = (self.spares.get(spare.where, spare) for spare in schedule.spares)
        return [(spare.box, spare.port) for spare in new if spare]


def csv_texts(draft: Draft, source: Source, changed: Changed) -> dict[CellPlace, str]:
    """The texts of a CSV file's cells that change these rows and no other; none where there is a problem."""
    for texts in _attempts(source, changed):
        of_sheet = {place: text for (_, place), text in texts.items()}
        new = edited_csv(draft.contents[source.name], of_sheet, source.name)
        sheets = new if isinstance(new, Problem) else csv_sheets(new, source.name)
        if isinstance(sheets, Problem):
            draft.problems.append(sheets)
            return {}
        if _is_as_wanted(understand(sheets, source.name, draft.choices)[0], source, changed):
            if isinstance(new, bytes):
                draft.tried[source.name] = (of_sheet, new)
            return of_sheet
    _cannot(draft, source)
    return {}


def workbook_cells(draft: Draft, source: Source, changed: Changed) -> list[WorkbookCell]:
    """The same for a workbook, as a list for a person."""
    for texts in _attempts(source, changed):
        sheets = [_with_texts(sheet, texts) for sheet in source.sheets]
        if _is_as_wanted(understand(sheets, source.name, draft.choices)[0], source, changed):
            return [_listed(source, *place, text) for place, text in sorted(texts.items())]
    _cannot(draft, source)
    return []


def _cannot(draft: Draft, source: Source) -> None:
    message = f"no change of single cells of {source.name} moves these units and leaves the others"
    draft.wrong(message, Where(source.name), HINT)


def _attempts(source: Source, changed: Changed) -> Iterator[Texts]:
    """Texts that may do: of the changed rows with the blank boxes that follow them, then all blank boxes."""
    before = {row.where: (row.box, row.port) for row in source.schedule.rows}
    before |= {spare.where: (spare.box, spare.port) for spare in source.schedule.spares}
    after = {where: (row.box, row.port) for where, row in changed.rows.items()}
    after |= {where: (spare.box, spare.port) for where, spare in changed.spares.items() if spare}
    texts: Texts = {}
    for where, (box, port) in after.items():
        sheet = source.sheet(where)
        if sheet and box != before[where][0]:
            texts[where.sheet, (where.line, _column(sheet, "box", where.line))] = box
        if sheet and port != before[where][1]:
            texts[where.sheet, (where.line, _column(sheet, "port", where.line))] = port
    texts |= {
        place: "" for where, spare in changed.spares.items() if not spare for place in _cells(source, where)
    }
    filled = {
        (sheet.where.sheet, (each.where.line, _column(sheet, "box", each.where.line))): each
        for sheet in source.schedule.sheets
        if not sheet.boxes
        for each in sheet.filled
        if each.key == "box"
    }
    emptied = {(where.sheet, where.line) for where, spare in changed.spares.items() if not spare}
    filled = {place: each for place, each in filled.items() if (place[0], place[1][0]) not in emptied}
    yield texts | {place: filled[place].text for place in _followers(texts, filled) if place not in texts}
    yield {place: each.text for place, each in filled.items()} | texts


def _cells(source: Source, where: Where) -> list[Place]:
    """The filled cells of a row."""
    rows = next(sheet.rows for sheet in source.sheets if sheet.name == where.sheet)
    row = next(row for row in rows if row.line == where.line)
    return [(where.sheet, (row.line, at)) for at, value in enumerate(row.values) if value.text]


def _followers(texts: Texts, filled: Mapping[Place, FilledCell]) -> list[Place]:
    """The first blank box below each changed one that took its text from it, or from the same cell."""
    followers: list[Place] = []
    sources: dict[tuple[str, int], list[Place]] = {}
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


def _is_as_wanted(schedule: Schedule, source: Source, changed: Changed) -> bool:
    """Whether a schedule read again has the changed rows where they belong, the others where they were."""
    spares = [(spare.box, spare.port) for spare in schedule.spares]
    wanted = [_facts(row) for row in changed.rows_of(source.schedule)]
    return [_facts(row) for row in schedule.rows] == wanted and spares == changed.spares_of(source.schedule)


def _facts(row: UnitRow) -> tuple[object, ...]:
    """What a row says, its place aside."""
    return row.tag, row.box, row.port, row.capacity, row.room, row.address, row.run, row.unread


# --- a workbook as it would be


def _with_texts(sheet: Sheet, texts: Texts) -> Sheet:
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

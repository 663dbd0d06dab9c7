"""A schedule, CSV or workbook: readers make sheets of it, and one way leads from sheets to unit rows.

Takes a file and the job's choices; gives rows, spare ports, and how every row and column was understood.
Readers know only values and places; what they mean is decided once, here and below, so that a trap that is
known for one kind of file is known for all.
"""

from collections.abc import Callable
from collections.abc import Set as AbstractSet
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.columns import column_words, plain_word
from tagmaker.files.plain import is_plain_file, why_not_plain
from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.body import Body
from tagmaker.job.schedule.box_sheet import find_boxes, read_boxes
from tagmaker.job.schedule.csv_sheet import read_csv
from tagmaker.job.schedule.headers import HEADER_HINT, Head, find_header, read_head
from tagmaker.job.schedule.result import (
    BoxFacts,
    Choices,
    Column,
    Inference,
    ReadSheet,
    SkippedRow,
    Spare,
    SystemFacts,
)
from tagmaker.job.schedule.shared_causes import first_few, once_per_cause
from tagmaker.job.schedule.sheet import Sheet, SheetRow
from tagmaker.job.schedule.system_sheet import find_systems, read_systems_sheet
from tagmaker.problems import Problem, Where, error, note

__all__ = ["READERS", "Schedule", "read_schedule", "read_sheets", "understand"]


def _read_xlsx(path: Path, shown: str) -> tuple[list[Sheet], list[Problem]]:
    """What spreadsheet programs write; its reader is loaded for such a file only."""
    from tagmaker.job.schedule.xlsx_sheet import read_xlsx  # noqa: PLC0415 — heavy

    return read_xlsx(path, shown)


READERS: dict[str, Callable[[Path, str], tuple[list[Sheet], list[Problem]]]] = {
    ".csv": read_csv,
    ".tsv": read_csv,
    ".txt": read_csv,
    ".xlsx": _read_xlsx,
}
"""What reads a file of each ending; one file each."""
SHEETS_HINT = 'name the sheets that count in job.toml: sheets = ["…"] in [job]'
JOINED = {"column-unknown", "column-ambiguous", "column-twice", "column-skipped"}
"""Problems of headers that are reported once for all sheets where [columns] gives one answer."""

NONE_CHOSEN = Choices()


class Schedule(Struct, frozen=True):
    """A schedule as understood, sheet by sheet."""

    sheets: tuple[ReadSheet, ...] = ()

    @property
    def rows(self) -> list[UnitRow]:
        """The unit rows of all sheets, in order."""
        return [row for sheet in self.sheets for row in sheet.rows]

    @property
    def spares(self) -> list[Spare]:
        """The rows of all sheets that name a spare port."""
        return [spare for sheet in self.sheets for spare in sheet.spares]

    @property
    def boxes(self) -> list[BoxFacts]:
        """What sheets of boxes give, in order."""
        return [box for sheet in self.sheets for box in sheet.boxes]

    @property
    def systems(self) -> list[SystemFacts]:
        """What sheets of systems give, in order."""
        return [system for sheet in self.sheets for system in sheet.systems]

    def levels(self) -> dict[str, str]:
        """The level of each box (in capitals) whose sheets are all named after one level."""
        levels: dict[str, set[str]] = {}
        for sheet in self.sheets:
            for box in sheet.tags():
                levels.setdefault(box, set()).add(sheet.level)
        return {box: next(iter(each)) for box, each in levels.items() if len(each) == 1 and "" not in each}


def read_schedule(path: Path, shown: str, choices: Choices = NONE_CHOSEN) -> tuple[Schedule, list[Problem]]:
    """A schedule's rows and how they were understood, with every problem of the file."""
    sheets, problems = read_sheets(path, shown)
    return (Schedule(), problems) if problems else understand(sheets, shown, choices)


def read_sheets(path: Path, shown: str) -> tuple[list[Sheet], list[Problem]]:
    """The sheets of a file as written, or what is wrong with the file."""
    reader = READERS.get(Path(shown).suffix.lower())
    if reader is None and not is_plain_file(path):
        message = f"{shown} {why_not_plain(path)}"
        return [], [error("file-unreadable", message, Where(shown))]
    if reader is None:
        message = f"{shown} is not a supported file type: {', '.join(READERS)}"
        return [], [error("file-unreadable", message, Where(shown), "save it as .xlsx or as CSV")]
    return reader(path, shown)


def understand(sheets: list[Sheet], shown: str, choices: Choices) -> tuple[Schedule, list[Problem]]:
    """The same of sheets that were read already."""
    problems: list[Problem] = []
    counted = [sheet for sheet in sheets if _counts(sheet, choices)]
    boxes = {sheet.number: find_boxes(sheet, choices) for sheet in counted}
    systems = {sheet.number: find_systems(sheet, choices) for sheet in counted}
    heads = {sheet.number: find_header(sheet, choices) for sheet in counted}
    if all(at is None for at in (*boxes.values(), *systems.values(), *heads.values())):
        return _no_header(sheets, shown, choices)
    read: list[ReadSheet] = []
    for sheet in sheets:
        of_systems = systems.get(sheet.number)
        found, more = (
            _read(sheet, boxes.get(sheet.number), heads.get(sheet.number), choices)
            if of_systems is None
            else read_systems_sheet(sheet, of_systems, choices)
        )
        read += [found] if found else []
        problems += more
    schedule = _with_levels(Schedule(tuple(read)))
    once = once_per_cause(problems, lambda each: each.message if each.code in JOINED else None)
    return schedule, [*once, *_contradictions(schedule)]


def _read(
    sheet: Sheet, of_boxes: int | None, head: int | None, choices: Choices
) -> tuple[ReadSheet | None, list[Problem]]:
    """A sheet by its header: one of boxes, one of units, or none that counts."""
    if of_boxes is not None:
        return read_boxes(sheet, of_boxes, choices)
    return _skipped(sheet, choices) if head is None else _read_sheet(sheet, head, choices)


def _with_levels(schedule: Schedule) -> Schedule:
    """The schedule with a line on each sheet that gives boxes their level by its name."""
    levels = schedule.levels()
    given = {box.key for box in schedule.boxes if box.texts.get("level")}
    sheets = tuple(_with_level(sheet, levels.keys() - given) for sheet in schedule.sheets)
    return Schedule(sheets)


def _with_level(sheet: ReadSheet, boxes: AbstractSet[str]) -> ReadSheet:
    """The sheet, and which of these boxes its name gives a level to."""
    named = [tag for box, tag in sheet.tags().items() if box in boxes]
    if not sheet.level or not named:
        return sheet
    source = f"the sheet's name, for {first_few(sorted(named))} unless the job gives one"
    level = Inference(sheet.where, "level", sheet.level, source)
    return replace(sheet, inferred=(*sheet.inferred, level))


def _level(name: str) -> str:
    """The level that a sheet's name is, "2" for "Level 2"; "" for any other name."""
    word, _, level = name.strip().partition(" ")
    words = column_words()
    is_level = any(map(str.isdigit, level)) or len(level) == 1 or plain_word(level) in words.named_levels
    return level if plain_word(word) in words.levels and is_level and level.isalnum() else ""


def _contradictions(schedule: Schedule) -> list[Problem]:
    """Ports that are spare in one row and used in another.

    A spare row is the schedule's word on the box's size, so it counts, and two such rows cannot both hold.
    """
    users = {(row.box.upper(), each): row for row in schedule.rows for each in row.port.upper().split("+")}
    problems: list[Problem] = []
    for spare in schedule.spares:
        box = spare.box.upper()
        row = next((users[box, each] for each in spare.letters if (box, each) in users), None)
        if row:
            message = f"port {spare.port} of {spare.box} is spare here, but {row.tag} is connected to it"
            problems.append(error("cell-value", message, spare.where, f"see {row.where}", (box,)))
    return problems


def _counts(sheet: Sheet, choices: Choices) -> bool:
    """Whether a sheet is looked at: named by the job where the job names any, else visible."""
    return sheet.name in choices.sheets if choices.sheets and sheet.name else not sheet.is_hidden


def _no_header(sheets: list[Sheet], shown: str, choices: Choices) -> tuple[Schedule, list[Problem]]:
    """No row looks like a header: report what was seen, or what the nearest one lacks."""
    counted = [sheet for sheet in sheets if _counts(sheet, choices) and not _is_empty(sheet)]
    near = find_header(counted[0], choices, least=1) if len(counted) == 1 else None
    if near is not None:
        read, problems = _read_sheet(counted[0], near, choices)
        return Schedule((read,)), problems
    seen = "; ".join(_first_text(sheet) for sheet in sheets if not _is_empty(sheet))
    message = f"{shown} has no header row" + (f"; it begins with {seen}" if seen else "")
    where = Where(shown, 0 if sheets and sheets[0].name else 1)
    return Schedule(), [error("columns-missing", message, where, HEADER_HINT)]


def _is_empty(sheet: Sheet) -> bool:
    """Whether a sheet holds nothing."""
    return all(row.is_blank for row in sheet.rows)


def _first_text(sheet: Sheet) -> str:
    """A sheet's name and the beginning of its first filled row."""
    row = next(row for row in sheet.rows if not row.is_blank)
    texts = " | ".join(value.text[:24] for value in row.values[:8] if value.text)
    return f"{sheet.name}: {texts}" if sheet.name else texts


def _skipped(sheet: Sheet, choices: Choices) -> tuple[ReadSheet | None, list[Problem]]:
    """Leave out a sheet that is no schedule, with a note; a hidden one that looks like one is an error."""
    sheets_hint = SHEETS_HINT if choices.of_job else "give it a header row if it is to be read"
    if _is_empty(sheet):
        return None, []
    named_others = bool(choices.sheets) and sheet.name not in choices.sheets
    left = ReadSheet(
        sheet.where(), "", why="not named in [job] sheets" if named_others else "no schedule header"
    )
    if named_others:
        return left, []
    if any(find(sheet, choices) is not None for find in (find_header, find_boxes, find_systems)):
        message = f"sheet {sheet.name!r} is hidden and looks like a schedule"
        hint = f"unhide it, delete it, or {SHEETS_HINT}" if choices.of_job else "unhide it or delete it"
        left = replace(left, why="hidden")
        return left, [error("column-hidden", message, sheet.where(), hint)]
    message = f"sheet {sheet.name!r} has no schedule header and is left out"
    if choices.sheets:
        return left, [
            error("columns-missing", f"sheet {sheet.name!r} has no header row", sheet.where(), HEADER_HINT)
        ]
    return left, [note("sheet-skipped", message, sheet.where(), sheets_hint)]


def _read_sheet(sheet: Sheet, at: int, choices: Choices) -> tuple[ReadSheet, list[Problem]]:
    """Every table of a sheet, one below the other."""
    head = read_head(sheet, at, choices)
    title = [row for row in sheet.rows[: head.top] if not row.is_blank]
    columns: list[Column] = list(head.columns)
    left = [_left(sheet, row, "above the header") for row in title]
    problems = [*head.notes, *head.problems]
    unknown = list(head.unknown)
    bodies: list[Body] = []
    while not head.problems:  # below a header that is not understood nothing can be read
        left += _header_rows(sheet, head)
        body = Body(sheet, head, choices)
        body.read()
        bodies.append(body)
        left += body.left
        problems += body.problems
        unknown += body.unknown
        if body.end >= len(sheet.rows):
            break
        head = read_head(sheet, body.end, choices, above=False)
        columns += head.columns
        problems += (*head.notes, *head.problems)
        unknown += head.unknown
    return ReadSheet(
        where=sheet.where(),
        remark=sheet.remark,
        columns=tuple(columns),
        left=tuple(left),
        filled=tuple(each for body in bodies for each in body.filled),
        rows=tuple(row for body in bodies for row in body.rows),
        spares=tuple(spare for body in bodies for spare in body.spares),
        unknown=tuple(unknown),
        inferred=(
            *(each for body in bodies for each in body.inferred),
            *_defaulted(sheet.where(), bodies, choices),
        ),
        level=_level(sheet.name),
        hidden=tuple(each for body in bodies for each in body.asked),
    ), problems


def _defaulted(where: Where, bodies: list[Body], choices: Choices) -> list[Inference]:
    """The job's values that rows without their own take, each with the number of rows."""
    counts = {key: sum(body.defaulted[key] for body in bodies) for key in choices.defaults}
    return [
        Inference(where, key, choices.defaults[key].text, f"[job], for rows without one: {count:,}")
        for key, count in counts.items()
        if count
    ]


def _header_rows(sheet: Sheet, head: Head) -> list[SkippedRow]:
    """The rows that a header takes up."""
    rows = sheet.rows[head.top : head.body]
    whys = ["the header"] * len(rows)
    if head.has_units:
        whys[-1] = "the units"
    return [_left(sheet, row, why) for row, why in zip(rows, whys, strict=True)]


def _left(sheet: Sheet, row: SheetRow, why: str) -> SkippedRow:
    """A skipped row with its place and first text."""
    at = next((at for at, value in enumerate(row.values) if value.text), 0)
    return SkippedRow(
        sheet.where(row.line, at), f"{why}, hidden" if row.is_hidden else why, row.value(at).text
    )

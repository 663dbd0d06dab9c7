"""A CSV file in place of a workbook: its rows as they were understood, so that the job can be changed in it.

Takes a workbook of the job and rows that are changed; gives the CSV files and what job.toml must say. All
that was read from the workbook goes over: rows, spare ports, boxes, levels by a sheet's name. The files are
read again and must give the same.
"""

from collections.abc import Mapping
from fractions import Fraction
from pathlib import PurePosixPath

from msgspec.structs import replace

from tagmaker.files.plain import is_there
from tagmaker.job.edit_toml import SetKeys
from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.csv_edit import csv_of
from tagmaker.job.schedule.csv_sheet import csv_sheets
from tagmaker.job.schedule.read import Schedule, understand
from tagmaker.job.schedule.result import Choices, ReadSheet
from tagmaker.job.sources import Source
from tagmaker.problems import Problem, Where
from tagmaker.units import BTUH_EACH, Capacity, Length, number_text
from tagmaker.workflows.edit_cells import Changed
from tagmaker.workflows.edit_draft import Draft

__all__ = ["csv_beside"]

UNIT_KEYS = ("unit", "box", "port", "capacity", "room", "address")
LENGTH_KEYS = ("liquid", "gas", "insulation", "run", "cable")
BOX_KEYS = ("ports", "place", "power", "system", "level", "fed_from")
BOX_HEAD = ("Box", "Ports", "Place", "Power", "System", "Level", "Fed from")
SPARE = "spare"
NAMES_AT_MOST = 100


def csv_beside(draft: Draft, source: Source, changed: Changed) -> None:
    """Put CSV files in place of a workbook into the draft, some rows moved; a problem if they differ more."""
    schedule = source.schedule
    stem = PurePosixPath(source.name).with_suffix("")
    rows, spares = changed.rows_of(schedule), changed.spares_of(schedule)
    names = [_free_name(draft, f"{stem}.csv")]
    contents = [csv_of(_unit_rows(draft.choices, rows, spares))]
    boxes = _box_rows(draft, schedule)
    if boxes:
        names.append(_free_name(draft, f"{stem}-boxes.csv"))
        contents.append(csv_of(_used_columns([list(BOX_HEAD), *boxes])))
    files = dict(zip(names, contents, strict=True))
    read = _read(files, draft.choices)
    if read is None or not _is_same(read, spares, rows, boxes):
        message = f"the rows of {source.name} cannot be written as a CSV file so that they read alike"
        draft.wrong(message, Where(source.name), "correct what is reported of the workbook first")
        return
    draft.new |= files
    draft.toml += _switched(draft, source, names, read)
    draft.what.append(f"{source.name} read from {' and '.join(names)}")


def _free_name(draft: Draft, wanted: str) -> str:
    """A name that no file has yet."""
    path = PurePosixPath(wanted)
    names = [wanted, *(str(path.with_stem(f"{path.stem}-{number}")) for number in range(2, NAMES_AT_MOST))]
    return next((name for name in names if not is_there(draft.folder / name)), names[-1])


# --- rows as texts


def _unit_rows(choices: Choices, rows: list[UnitRow], spares: list[tuple[str, str]]) -> list[list[str]]:
    """The header and a row a unit, then one a spare port; a length that is the job's own is left blank."""
    head = [*UNIT_KEYS, *LENGTH_KEYS]
    texts = [[_text(choices, key, row) for key in LENGTH_KEYS] for row in rows]
    own = [
        [row.tag, row.box, row.port, _capacity(row.capacity), row.room, row.address, *of_row]
        for row, of_row in zip(rows, texts, strict=True)
    ]
    blank = [""] * (len(head) - 3)
    return _used_columns([head, *own, *([SPARE, box, port, *blank] for box, port in spares)])


def _used_columns(rows: list[list[str]]) -> list[list[str]]:
    """The rows without the columns that have nothing below their header."""
    _, *body = rows
    used = [at for at in range(len(rows[0])) if any(row[at] for row in body)]
    return [[row[at] for at in used] for row in rows]


def _text(choices: Choices, key: str, row: UnitRow) -> str:
    """A length as it was read; "" where the row took the job's."""
    length: Length | None = getattr(row, key)
    return "" if length is None or length is choices.defaults.get(key) else length.text


def _capacity(capacity: Capacity | None) -> str:
    """A capacity in its own unit, exactly: as a decimal, or as a fraction where it is none."""
    if capacity is None:
        return ""
    number = capacity.btuh / BTUH_EACH[capacity.unit]
    text = number_text(number, 12)
    if Fraction(text) != number:
        whole, rest = divmod(number, 1)
        text = f"{whole} {rest}" if whole else str(rest)
    return f"{text} {capacity.unit}"


def _box_rows(draft: Draft, schedule: Schedule) -> list[list[str]]:
    """A row a box that has anything on a sheet of boxes, or a level by a sheet's name."""
    levels = schedule.levels()
    given = {box.key: box for box in schedule.boxes}
    rows: list[list[str]] = []
    for key, box in given.items():
        texts = {**box.texts, "ports": str(box.ports or "")}
        texts["level"] = texts.get("level") or levels.get(key, "")
        rows.append([box.tag, *(texts.get(each, "") for each in BOX_KEYS)])
    for table in draft.rows("box"):
        tag = str(table.get("tag", "")).strip()
        level = levels.get(tag.upper(), "")
        if level and tag.upper() not in given:
            rows.append([tag, *(level if each == "level" else "" for each in BOX_KEYS)])
    return rows


# --- the same again


def _read(files: Mapping[str, bytes], choices: Choices) -> Schedule | None:
    """The CSV files as the job will read them."""
    sheets: list[ReadSheet] = []
    for name, content in files.items():
        of_file = csv_sheets(content, name)
        if isinstance(of_file, Problem):
            return None
        schedule, _ = understand(of_file, name, replace(choices, sheets=()))
        sheets += schedule.sheets
    return Schedule(tuple(sheets))


def _is_same(
    read: Schedule, spares: list[tuple[str, str]], rows: list[UnitRow], boxes: list[list[str]]
) -> bool:
    """Whether the files give these rows, spare ports and boxes."""
    found = [
        [box.tag, str(box.ports or ""), *(box.texts.get(key, "") for key in BOX_KEYS[1:])]
        for box in read.boxes
    ]
    return (
        [_placeless(row) for row in read.rows] == [_placeless(row) for row in rows]
        and [(each.box, each.port) for each in read.spares] == spares
        and found == boxes
    )


def _placeless(row: UnitRow) -> UnitRow:
    return replace(row, where=Where(""))


def _switched(draft: Draft, source: Source, names: list[str], read: Schedule) -> list[SetKeys]:
    """What job.toml says from now on: the files, without the choices that only the workbook had a use for."""
    schedules = [
        name for each in draft.sources for name in (names if each.name == source.name else [each.name])
    ]
    others = [sheet for each in draft.sources if each.name != source.name for sheet in each.schedule.sheets]
    used = {column.name for sheet in (*others, *read.sheets) for column in sheet.columns}
    sheets = {sheet.where.sheet for sheet in others}
    hidden = {row.name for sheet in others for row in sheet.left}
    head: dict[str, str | tuple[str, ...] | None] = {
        "schedule": schedules[0] if len(schedules) == 1 else tuple(schedules)
    }
    for key, kept, known in (
        ("sheets", draft.choices.sheets, sheets),
        ("hidden_left_out", draft.choices.hidden, hidden),
    ):
        if kept and not set(kept) <= known:
            head[key] = tuple(name for name in kept if name in known) or None
    unused: dict[str, None] = {name: None for name in draft.choices.columns if name not in used}
    return [SetKeys(("job",), head), *([SetKeys(("columns",), unused)] if unused else [])]

"""A job's boxes, units and facts as tables to be edited: each value with its place, and what is to confirm.

Takes job.toml as read and the job's schedules; gives lines of cells, and for texts typed into them the
changes to be made. A value of a sheet of boxes that is a workbook's is shown, and changed there.
"""

import re
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.catalog.columns import column_words
from tagmaker.files.toml import TomlFile
from tagmaker.job.schedule.result import BoxFacts
from tagmaker.job.sources import Source
from tagmaker.problems import Where
from tagmaker.units import CAPACITY_UNITS
from tagmaker.workflows.edit_kinds import AddBox, AddUnit, Edit, SetBox, SetJob, SetUnit

__all__ = [
    "BOX_KEYS",
    "FACT_KEYS",
    "TableCell",
    "TableLine",
    "box_edits",
    "box_lines",
    "fact_cells",
    "fact_edits",
    "unit_edits",
    "unit_keys",
    "unit_lines",
]

BOX_KEYS = ("tag", "ports", "place", "power", "system", "level", "fed_from")
FACT_KEYS = (
    "name", "number", "revision", "date", "status", "family", "site", "prepared_by", "refrigerant",
    "capacity_unit", "insulation", "cable",
)  # fmt: skip
"""Keys of [job] that a form has; `schedule`, `sheets` and `hidden_left_out` are answered as questions."""
FACT_CHOICES = {"status": ("draft", "issued"), "capacity_unit": CAPACITY_UNITS}
CONFIRM = re.compile(r"#[^\"']*confirm: (.+)$")
WORKBOOK = ".xlsx"


class TableCell(Struct, frozen=True):
    """A value: its text, the place on a sheet that gives it ("" = job.toml, or none), what is to confirm.

    What a workbook gives is fixed here.
    """

    text: str = ""
    place: str = ""
    confirm: str = ""
    is_fixed: bool = False


class TableLine(Struct, frozen=True):
    """A box or unit: its tag, its cells by key, its place; `is_listed` where a sheet alone lists it."""

    tag: str
    cells: Mapping[str, TableCell]
    where: Where
    is_listed: bool = False


def _tables(file: TomlFile, name: str) -> list[Mapping[str, object]]:
    value = file.content.get(name)
    return [each for each in value if isinstance(each, dict)] if isinstance(value, list) else []


class _Confirms:
    """What comments of job.toml ask to confirm, by line."""

    def __init__(self, file: TomlFile, text: str) -> None:
        lines = enumerate(text.splitlines(), 1)
        self.file = file
        self.by_line = {line: match[1] for line, each in lines if (match := CONFIRM.search(each))}

    def of(self, *path: str | int) -> str:
        """What is to confirm of a key, if anything."""
        return self.by_line.get(self.file.lines.get(path, 0), "")


# --- boxes


def box_lines(file: TomlFile, text: str, sources: Sequence[Source]) -> tuple[TableLine, ...]:
    """The boxes as the job has them: those of job.toml, then those that a sheet of boxes alone lists."""
    facts = {box.key: (source, box) for source in sources for box in source.schedule.boxes}
    confirms = _Confirms(file, text)
    lines = []
    for index, table in enumerate(_tables(file, "box")):
        tag = _text(table.get("tag"))
        on_sheet = facts.pop(tag.upper(), None)
        cells = {key: _box_cell(key, table, on_sheet, confirms.of("box", index, key)) for key in BOX_KEYS}
        lines.append(TableLine(tag, cells, file.where(("box", index))))
    for on_sheet in facts.values():
        cells = {key: _box_cell(key, {}, on_sheet, "") for key in BOX_KEYS}
        lines.append(TableLine(on_sheet[1].tag, cells, on_sheet[1].where, is_listed=True))
    return tuple(lines)


def _box_cell(
    key: str, table: Mapping[str, object], on_sheet: tuple[Source, BoxFacts] | None, confirm: str
) -> TableCell:
    """A box's value: job.toml's where it has one, else the sheet's."""
    if key in table or on_sheet is None:
        return TableCell(_text(table.get(key)), confirm=confirm)
    source, facts = on_sheet
    given = {"tag": facts.tag, "ports": str(facts.ports or ""), **facts.texts}.get(key, "")
    if not given:
        return TableCell()
    is_fixed = key == "tag" or source.name.lower().endswith(WORKBOOK)
    return TableCell(given, str(facts.places.get(key, facts.where)), is_fixed=is_fixed)


def box_edits(lines: Sequence[TableLine], tag: str, typed: Mapping[str, str]) -> Iterator[Edit]:
    """The changes that texts typed into a box's cells ask for; an empty tag is a new box.

    A value that nobody gives yet for a box of a sheet goes to a [[box]] of its own.
    """
    line = next((each for each in lines if each.tag == tag), None)
    if line is None:
        values = {key: text for key, text in typed.items() if key in BOX_KEYS and text.strip()}
        if values and not tag:
            yield AddBox(values)
        return
    changed = _changed(line, typed, BOX_KEYS)
    new = {key: text for key, text in changed.items() if line.is_listed and not line.cells[key].text}
    if new:
        yield AddBox({"tag": line.tag, **new})
    if others := {key: text for key, text in changed.items() if key not in new}:
        yield SetBox(line.tag, others)


def _changed(line: TableLine, typed: Mapping[str, str], keys: Sequence[str]) -> dict[str, str]:
    """The texts that are not what a line has."""
    cells = {key: line.cells[key] for key in keys if key in typed}
    return {
        key: typed[key].strip()
        for key, cell in cells.items()
        if not cell.is_fixed and typed[key].strip() != cell.text
    }


# --- units of job.toml


def unit_keys() -> tuple[str, ...]:
    """The keys of a [[unit]], in the order of a schedule's columns."""
    return tuple(column_words().kind_of)


def unit_lines(file: TomlFile) -> tuple[TableLine, ...]:
    """The units that are in job.toml itself."""
    return tuple(
        TableLine(
            _text(table.get("unit")),
            {key: TableCell(_text(table.get(key))) for key in unit_keys()},
            file.where(("unit", index)),
        )
        for index, table in enumerate(_tables(file, "unit"))
    )


def unit_edits(lines: Sequence[TableLine], at: int | None, typed: Mapping[str, str]) -> Iterator[Edit]:
    """The changes that texts typed into a unit's cells ask for; None for a new unit."""
    if at is None:
        values = {key: text for key, text in typed.items() if key in unit_keys() and text.strip()}
        if values:
            yield AddUnit(values)
    elif 0 <= at < len(lines) and (changed := _changed(lines[at], typed, unit_keys())):
        yield SetUnit(lines[at].tag, changed, lines[at].where)


# --- facts of [job]


def fact_cells(file: TomlFile, text: str) -> dict[str, TableCell]:
    """The keys of [job] that a form has."""
    head = file.content.get("job")
    table = head if isinstance(head, dict) else {}
    confirms = _Confirms(file, text)
    return {key: TableCell(_text(table.get(key)), confirm=confirms.of("job", key)) for key in FACT_KEYS}


def fact_edits(cells: Mapping[str, TableCell], typed: Mapping[str, str]) -> Iterator[Edit]:
    """The change that texts typed into the form ask for."""
    changed = {
        key: typed[key].strip()
        for key, cell in cells.items()
        if key in typed and typed[key].strip() != cell.text
    }
    if changed:
        yield SetJob(changed)


def _text(value: object) -> str:
    """A value of job.toml as it is typed; nothing for one that no form can hold."""
    return str(value) if isinstance(value, str | int | float) or hasattr(value, "isoformat") else ""

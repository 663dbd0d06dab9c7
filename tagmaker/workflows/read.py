"""The stages of `read`: read the job's choices → read the schedule → show what was understood.

Takes a schedule (CSV or workbook), and a job whose [columns] and sheets hold where one is named. Gives the
columns, the rows passed over and why, the cells filled in, what was inferred, and every row as understood.
"""

from pathlib import Path

import msgspec
from msgspec import Struct

from tagmaker.catalog.columns import column_words
from tagmaker.job.choices import choices_of_job
from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.read import Schedule, read_schedule
from tagmaker.job.schedule.result import BoxFacts, Column, FilledCell, Inference, ReadSheet, SkippedRow, Spare
from tagmaker.problems import Problem

__all__ = ["ReadOutline", "Understood", "box_texts", "read", "row_texts"]


class ColumnOutline(Struct, frozen=True):
    """A column by its header.

    `key` is the one that it has in a job, `unit` that of its bare numbers, `named` its name in [columns].
    """

    where: str
    header: str
    key: str
    unit: str
    named: str


class LeftOutline(Struct, frozen=True):
    """A row passed over.

    `where` is the cell in which its text begins, `why` the reason.
    """

    where: str
    why: str
    text: str


class TakenOutline(Struct, frozen=True):
    """A value that is no cell's own plain text: one that a blank cell took, or one that was inferred.

    `source` is the cell that it was taken from, or in words what it was inferred from.
    """

    where: str
    key: str
    text: str
    source: str = msgspec.field(name="from")


class SpareOutline(Struct, frozen=True):
    """A row that says that a port is spare."""

    where: str
    box: str
    port: str


class SheetOutline(Struct, frozen=True):
    """A sheet as understood; `left_out` is why all of it is left out, "" where it counts.

    `rows` have `where` and then the columns' keys, which are data (layouts/columns.toml), hence no record;
    so have `boxes` and `systems`, the rows of a sheet of boxes or of systems.
    """

    where: str
    remark: str
    left_out: str
    columns: tuple[ColumnOutline, ...]
    left: tuple[LeftOutline, ...]
    filled: tuple[TakenOutline, ...]
    spares: tuple[SpareOutline, ...]
    rows: tuple[dict[str, str], ...]
    inferred: tuple[TakenOutline, ...]
    boxes: tuple[dict[str, str], ...]
    systems: tuple[dict[str, str], ...]


class ReadOutline(Struct, frozen=True):
    """What `read --json` prints beside the problems; places are texts, "ports.xlsx:Ports!C7"."""

    sheets: tuple[SheetOutline, ...]


class Understood(Struct, frozen=True):
    """A schedule as understood, with all that is wrong with it, in the order of its cells."""

    schedule: Schedule
    problems: tuple[Problem, ...]

    @property
    def outline(self) -> ReadOutline:
        """The same as a record of the JSON keys."""
        return ReadOutline(tuple(map(_sheet, self.schedule.sheets)))


def read(path: Path, job: Path | None) -> Understood:
    """Read a schedule as a job would, with the job's [columns] and sheets if one is named."""
    choices, problems = choices_of_job(job)
    schedule, found = read_schedule(path, path.name, choices)
    return Understood(schedule, (*problems, *sorted(found, key=lambda problem: problem.where.order)))


def row_texts(row: UnitRow) -> dict[str, str]:
    """What a row says, by the columns' keys in their order; "" where it says nothing."""
    texts = {"unit": row.tag, "box": row.box, "port": row.port, "room": row.room, "address": row.address}
    texts["capacity"] = row.capacity.text(row.capacity.unit) if row.capacity else ""
    lengths = {key: getattr(row, key) for key, kind in column_words().kind_of.items() if kind == "length"}
    texts |= {key: length.text if length else "" for key, length in lengths.items()}
    texts["room_volume"] = row.room_volume.text() if row.room_volume else ""
    return {key: texts[key] for key in column_words().kind_of}


def box_texts(box: BoxFacts) -> dict[str, str]:
    """What a sheet says of a box, by the keys of [[box]]; "" where it says nothing."""
    return {"tag": box.tag, "ports": str(box.ports or ""), **box.texts}


def _sheet(sheet: ReadSheet) -> SheetOutline:
    return SheetOutline(
        where=str(sheet.where),
        remark=sheet.remark,
        left_out=sheet.why,
        columns=tuple(map(_column, sheet.columns)),
        left=tuple(map(_left, sheet.left)),
        filled=tuple(map(_taken, sheet.filled)),
        spares=tuple(map(_spare, sheet.spares)),
        rows=tuple({"where": str(row.where), **row_texts(row)} for row in sheet.rows),
        inferred=tuple(map(_taken, sheet.inferred)),
        boxes=tuple({"where": str(box.where), **box_texts(box)} for box in sheet.boxes),
        systems=tuple({"where": str(system.where), **system.texts} for system in sheet.systems),
    )


def _column(column: Column) -> ColumnOutline:
    return ColumnOutline(str(column.where), column.header, column.key, column.unit, column.name)


def _left(row: SkippedRow) -> LeftOutline:
    return LeftOutline(str(row.where), row.why, row.text)


def _taken(value: FilledCell | Inference) -> TakenOutline:
    return TakenOutline(str(value.where), value.key, value.text, str(value.source))


def _spare(spare: Spare) -> SpareOutline:
    return SpareOutline(str(spare.where), spare.box, spare.port)

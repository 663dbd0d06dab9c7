"""The stages of `read`: a schedule as understood, column by column and row by row, for a person to check."""

from collections.abc import Iterable
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.columns import column_words
from tagmaker.job.choices import choices_of_job
from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.read import Schedule, read_schedule
from tagmaker.job.schedule.result import Column, FilledCell, ReadSheet, SkippedRow
from tagmaker.problems import Problem

__all__ = ["Understood", "read", "read_lines"]


class Understood(Struct, frozen=True):
    """A schedule as understood, with all that is wrong with it."""

    schedule: Schedule
    problems: tuple[Problem, ...]

    def as_json(self) -> dict[str, object]:
        """What `--json` prints, its problems aside."""
        return {"sheets": [_sheet_json(sheet) for sheet in self.schedule.sheets]}


def read(path: Path, job: Path | None) -> Understood:
    """Read a schedule as a job would, with the job's [columns] and sheets if one is named."""
    choices, problems = choices_of_job(job)
    schedule, found = read_schedule(path, path.name, choices)
    return Understood(schedule, (*problems, *sorted(found, key=lambda problem: problem.where.order)))


def _sheet_json(sheet: ReadSheet) -> dict[str, object]:
    return {
        "where": str(sheet.where),
        "remark": sheet.remark,
        "left_out": sheet.why,
        "columns": [
            {"where": str(c.where), "header": c.header, "key": c.key, "unit": c.unit, "named": c.name}
            for c in sheet.columns
        ],
        "left": [{"where": str(each.where), "why": each.why, "text": each.text} for each in sheet.left],
        "filled": [
            {"where": str(f.where), "key": f.key, "text": f.text, "from": str(f.source)} for f in sheet.filled
        ],
        "spares": [{"where": str(s.where), "box": s.box, "port": s.port} for s in sheet.spares],
        "rows": [{"where": str(row.where), **row_texts(row)} for row in sheet.rows],
    }


def row_texts(row: UnitRow) -> dict[str, str]:
    """What a row says, by the columns' keys; "" where it says nothing."""
    texts = {"unit": row.tag, "box": row.box, "port": row.port, "room": row.room, "address": row.address}
    texts["capacity"] = row.capacity.text(row.capacity.unit) if row.capacity else ""
    lengths = {key: getattr(row, key) for key, kind in column_words().kind_of.items() if kind == "length"}
    texts |= {key: length.text if length else "" for key, length in lengths.items()}
    return {key: texts[key] for key in column_words().kind_of}


def read_lines(understood: Understood) -> list[str]:
    """What `read` prints."""
    lines = [line for sheet in understood.schedule.sheets for line in _sheet_lines(sheet)]
    count = len(understood.schedule.rows)
    return [*lines, f"{count} {'unit' if count == 1 else 'units'} understood"]


def _sheet_lines(sheet: ReadSheet) -> list[str]:
    if sheet.why:
        return [f"{sheet.where}: left out, {sheet.why}"]
    lines = [f"{sheet.where}" + (f" ({sheet.remark})" if sheet.remark else "")]
    lines += _block("columns", map(_column_cells, sheet.columns))
    lines += _block("rows passed over", map(_left_cells, sheet.left))
    lines += _block("filled in", map(_filled_cells, sheet.filled))
    return [*lines, *_row_lines(sheet)]


def _row_lines(sheet: ReadSheet) -> list[str]:
    keys = [key for key in column_words().kind_of if any(key == column.key for column in sheet.columns)]
    head = ["", *keys]
    rows = [
        [_place(row.where.cell, row.where.line), *(row_texts(row)[key] for key in keys)] for row in sheet.rows
    ]
    return _block("rows as understood", [head, *rows]) if rows else []


def _place(cell: str, line: int) -> str:
    return cell if cell.strip("0123456789") else f"line {line}"


def _column_cells(column: Column) -> list[str]:
    meaning = column.key + (f" (bare numbers: {column.unit})" if column.unit else "")
    named = f" (by {column.name!r} in [columns])" if column.name else ""
    return [_place(column.where.cell, column.where.line), column.header, (meaning or "left out") + named]


def _left_cells(left: SkippedRow) -> list[str]:
    return [_place(left.where.cell, left.where.line), left.why, left.text]


def _filled_cells(filled: FilledCell) -> list[str]:
    source = _place(filled.source.cell, filled.source.line)
    return [_place(filled.where.cell, filled.where.line), f"{filled.key} {filled.text}", f"from {source}"]


def _block(title: str, rows: Iterable[list[str]]) -> list[str]:
    """A heading and lines whose cells stand in columns; nothing where there are none."""
    table = list(rows)
    if not table:
        return []
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    lines = ("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in table)
    return [f"  {title}:", *(f"    {line}".rstrip() for line in lines)]

"""The command `read`: a schedule as understood, column by column and row by row.

Prints tables whose cells are aligned; each line begins with the cell's name ("C7") or, of a CSV file, the
line's number. What was inferred has lines of its own. `--json` prints the same, sheet by sheet.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, end, existing_schedule, job_path
from tagmaker.cli.show import count

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tagmaker.job.schedule.result import Column, FilledCell, Inference, ReadSheet, SkippedRow
    from tagmaker.problems import Where
    from tagmaker.workflows.read import Understood

__all__ = ["read", "read_lines"]


def read(
    schedule: Annotated[Path, typer.Argument(metavar="SCHEDULE", help="A schedule: .xlsx or CSV.")],
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="A job whose [columns] and sheets apply.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show how each column of a schedule was understood, what was left out, and every row as understood."""
    from tagmaker.workflows import read as workflow

    understood = workflow.read(existing_schedule(schedule), job_path(job) if job else None)
    end(understood.problems, understood.outline, read_lines(understood), as_json=as_json)


def read_lines(understood: "Understood") -> list[str]:
    """Every sheet as understood, and the number of units and listed boxes."""
    lines = [line for sheet in understood.schedule.sheets for line in _sheet_lines(sheet)]
    schedule = understood.schedule
    units, boxes, systems = len(schedule.rows), len(schedule.boxes), len(schedule.systems)
    found = [count(units, "unit")] if units or not (boxes or systems) else []
    found += [count(boxes, "box", "boxes")] * bool(boxes) + [count(systems, "system")] * bool(systems)
    return [*lines, f"{', '.join(found)} understood"]


def _sheet_lines(sheet: "ReadSheet") -> list[str]:
    if sheet.why:
        return [f"{sheet.where}: left out, {sheet.why}"]
    lines = [f"{sheet.where}" + (f" ({sheet.remark})" if sheet.remark else "")]
    lines += _block("columns", map(_column_cells, sheet.columns))
    lines += _block("rows skipped", map(_left_cells, sheet.left))
    lines += _block("filled in", map(_filled_cells, sheet.filled))
    lines += _block("inferred", map(_inferred_cells, sheet.inferred))
    return [*lines, *_row_lines(sheet), *_box_lines(sheet), *_system_lines(sheet)]


def _row_lines(sheet: "ReadSheet") -> list[str]:
    """The rows under the keys that the sheet or the job gives, in the order of layouts/columns.toml."""
    from tagmaker.catalog.columns import column_words
    from tagmaker.workflows.read import row_texts

    given = {column.key for column in sheet.columns} | {each.key for each in sheet.inferred}
    keys = [key for key in column_words().kind_of if key in given]
    rows = [(row.where, row_texts(row)) for row in sheet.rows]
    cells = [[_place(where), *(texts[key] for key in keys)] for where, texts in rows]
    return _block("rows as understood", [["", *keys], *cells]) if cells else []


def _box_lines(sheet: "ReadSheet") -> list[str]:
    """The boxes of a sheet of boxes, under the keys of [[box]] in the order of its columns."""
    from tagmaker.workflows.read import box_texts

    keys = [column.key for column in sheet.columns if column.key]
    rows = [[_place(box.where), *(box_texts(box)[key] for key in keys)] for box in sheet.boxes]
    return _block("boxes as understood", [["", *keys], *rows]) if rows else []


def _system_lines(sheet: "ReadSheet") -> list[str]:
    """The systems of a sheet of systems, under the keys of [[system]] in the order of its columns."""
    keys = [column.key for column in sheet.columns if column.key]
    rows = [[_place(each.where), *(each.texts.get(key, "") for key in keys)] for each in sheet.systems]
    return _block("systems as understood", [["", *keys], *rows]) if rows else []


def _place(where: "Where") -> str:
    """A cell's name, or the line's number where the place has no column, or the whole sheet."""
    if not where.line:
        return "sheet"
    return where.cell if where.cell.strip("0123456789") else f"line {where.line}"


def _column_cells(column: "Column") -> list[str]:
    meaning = column.key + (f" (bare numbers: {column.unit})" if column.unit else "")
    why = f" (by {column.name!r} in [columns])" if column.name else "" if column.key else " (remarks)"
    return [_place(column.where), column.header, (meaning or "left out") + why]


def _left_cells(left: "SkippedRow") -> list[str]:
    return [_place(left.where), left.why, left.text]


def _filled_cells(filled: "FilledCell") -> list[str]:
    return [_place(filled.where), f"{filled.key} {filled.text}", f"from {_place(filled.source)}"]


def _inferred_cells(inferred: "Inference") -> list[str]:
    return [_place(inferred.where), f"{inferred.key} {inferred.text}", f"from {inferred.source}"]


def _block(title: str, rows: "Iterable[list[str]]") -> list[str]:
    """A heading and a table, each column as wide as its widest cell; nothing where there are no rows."""
    table = list(rows)
    if not table:
        return []
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    lines = ("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in table)
    return [f"  {title}:", *(f"    {line}".rstrip() for line in lines)]

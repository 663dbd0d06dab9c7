"""The stages of looking at a block of boxes before it is saved: read the job → take it → list its cells.

Takes a job's folder and a block as copied from a spreadsheet; gives its lines with what each cell is, and
every problem at its cell. Nothing is written.
"""

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from pathlib import Path

from msgspec import Struct

from tagmaker.problems import Problem
from tagmaker.workflows.edit_boxes import PASTED, paste_boxes, pasted_rows
from tagmaker.workflows.edit_draft import open_draft
from tagmaker.workflows.edit_kinds import PasteBoxes

__all__ = ["PastedLine", "Preview", "paste_preview"]

LINES_AT_MOST = 200


class PastedLine(Struct, frozen=True):
    """A line of the block: its number, its cells, whether the job has its box, the problems of each cell."""

    number: int
    cells: tuple[str, ...]
    is_known: bool
    problems: tuple[tuple[Problem, ...], ...]


class Preview(Struct, frozen=True):
    """The block as it would be taken: the keys of its columns, its first lines, how many there are.

    `problems` are all that is wrong with it; without any it can be saved.
    """

    keys: tuple[str, ...]
    lines: tuple[PastedLine, ...]
    count: int
    problems: tuple[Problem, ...]


def paste_preview(folder: Path, edit: PasteBoxes) -> Preview:
    """What a block would do to the job as it is now."""
    draft = open_draft(folder)
    if isinstance(draft, Problem):
        return Preview((), (), 0, (draft,))
    keys, rows = pasted_rows(draft, edit)
    draft.problems.clear()  # of the headers: found again below
    paste_boxes(draft, edit)
    if not draft.problems:
        draft.files()
    known = {str(table.get("tag", "")).strip().upper() for table in draft.rows("box")}
    known |= {box.key for source in draft.sources for box in source.schedule.boxes}
    lines = tuple(_line(number, keys, cells, known, draft.problems) for number, cells in rows[:LINES_AT_MOST])
    return Preview(tuple(keys), lines, len(rows), tuple(draft.problems))


def _line(
    number: int,
    keys: Sequence[str],
    cells: Sequence[str],
    known: AbstractSet[str],
    problems: Sequence[Problem],
) -> PastedLine:
    """A line with its problems at its cells; one that is of no cell is at the first."""
    width = max(len(keys), len(cells))
    own = [each for each in problems if (each.where.file, each.where.line) == (PASTED, number)]
    at_cells = tuple(
        tuple(each for each in own if max(1, each.where.column) == column) for column in range(1, width + 1)
    )
    tag = cells[keys.index("tag")] if "tag" in keys[: len(cells)] else ""
    return PastedLine(number, (*cells, *[""] * (width - len(cells))), tag.upper() in known, at_cells)

"""Boxes of a job changed, added, removed or pasted as a block from a spreadsheet.

A box's value is changed where it is: in its [[box]] of job.toml, or in its row of a sheet of boxes where that
is a CSV file. Of a workbook the cells to change are listed.
"""

from collections.abc import Mapping

from msgspec import Struct

from tagmaker.catalog.columns import column_words, plain_word
from tagmaker.files.toml import did_you_mean
from tagmaker.job.edit_toml import AddTable, RemoveTable, SetKeys, TomlValue
from tagmaker.job.schedule.result import BoxFacts, ReadSheet
from tagmaker.job.sources import Source
from tagmaker.problems import Where, column_letters, error
from tagmaker.workflows.edit_draft import JOB, Draft
from tagmaker.workflows.edit_kinds import AddBox, PasteBoxes, RemoveBox, SetBox, WorkbookCell
from tagmaker.workflows.edit_values import given, without_empty, words

__all__ = ["PASTED", "add_box", "paste_boxes", "pasted_rows", "remove_box", "set_box"]

BOX_KEYS = ("tag", "ports", "place", "power", "system", "level", "fed_from", "shown")
PASTED = "pasted block"
CELLS_AT_MOST = 20_000
HEADER_LEAST = 2  # known words that make the first line a header


class _OnSheet(Struct, frozen=True):
    """A box's row on a sheet of boxes."""

    source: Source
    sheet: ReadSheet
    facts: BoxFacts


def set_box(draft: Draft, edit: SetBox) -> None:
    """Keys of a box."""
    values = given(draft, edit.values, Where(JOB))
    if _set(draft, edit.tag, values, Where(JOB)):
        draft.what.append(f"{edit.tag}: {words(values)}")


def add_box(draft: Draft, edit: AddBox) -> None:
    """A new [[box]]."""
    values = without_empty(given(draft, edit.values, Where(JOB)))
    draft.toml.append(AddTable("box", values))
    draft.what.append(f"new box {values.get('tag', '')}")


def remove_box(draft: Draft, edit: RemoveBox) -> None:
    """A [[box]] taken out."""
    index = _index(draft, edit.tag)
    if index is None:
        draft.wrong(f"{JOB} has no box {edit.tag}", Where(JOB), "a box of a sheet is removed in the sheet")
        return
    draft.toml.append(RemoveTable("box", index))
    draft.what.append(f"box {edit.tag} removed")


def _index(draft: Draft, tag: str) -> int | None:
    """The index of the [[box]] with a tag."""
    tags = [str(table.get("tag", "")).strip().upper() for table in draft.rows("box")]
    return tags.index(tag.upper()) if tag.upper() in tags else None


def _on_sheet(draft: Draft, tag: str) -> _OnSheet | None:
    """The row of a box on a sheet of boxes."""
    return next(
        (
            _OnSheet(source, sheet, facts)
            for source in draft.sources
            for sheet in source.schedule.sheets
            for facts in sheet.boxes
            if facts.key == tag.upper()
        ),
        None,
    )


def _set(draft: Draft, tag: str, values: Mapping[str, TomlValue | None], where: Where) -> bool:
    """Change a box where each of its values is; False where the job has no such box."""
    index, row = _index(draft, tag), _on_sheet(draft, tag)
    if index is None and row is None:
        draft.wrong(f"the job has no box {tag}", where, "look at what the job holds now")
        return False
    table = draft.rows("box")[index] if index is not None else {}
    in_toml = {
        key: value
        for key, value in values.items()
        if index is not None and (key in table or row is None or not _given_there(row, key))
    }
    if in_toml and index is not None:
        draft.toml.append(SetKeys(("box", index), in_toml))
    for key, value in values.items():
        if row and key not in in_toml:
            _set_cell(draft, row, key, str(value if value is not None else ""), where)
    return True


def _given_there(row: _OnSheet, key: str) -> bool:
    """Whether a sheet of boxes gives a value of a box."""
    facts = row.facts
    return bool(facts.ports if key == "ports" else facts.tag if key == "tag" else facts.texts.get(key))


def _set_cell(draft: Draft, row: _OnSheet, key: str, text: str, where: Where) -> None:
    """Change a cell of a sheet of boxes, or list it where the sheet is a workbook's."""
    column = next((each for each in row.sheet.columns if each.key == key), None)
    line = row.facts.where.line
    if column is None:
        hint = f"add a column for it to the sheet of boxes, or write a [[box]] for {row.facts.tag} in {JOB}"
        draft.wrong(f"{row.source.name} has no column for {key} of {row.facts.tag}", where, hint)
    elif row.source.is_workbook:
        before = str(row.facts.ports or "") if key == "ports" else row.facts.texts.get(key, row.facts.tag)
        cell = f"{column_letters(column.index + 1)}{line}"
        draft.workbook.append(WorkbookCell(row.source.name, row.sheet.where.sheet, cell, before, text))
    else:
        draft.cells.setdefault(row.source.name, {})[line, column.index] = text


# --- a block from a spreadsheet


def paste_boxes(draft: Draft, edit: PasteBoxes) -> None:
    """Boxes changed and added from lines of cells; every cell that cannot be used is a problem."""
    keys, rows = pasted_rows(draft, edit)
    if sum(len(cells) for _, cells in rows) > CELLS_AT_MOST:
        draft.wrong(f"the block has more than {CELLS_AT_MOST:,} cells", Where(PASTED), "paste a part of it")
        return
    if "tag" not in keys:
        draft.wrong("the block has no column of the boxes' tags", Where(PASTED), "copy it too")
        return
    before = len(draft.problems)
    for at, cells in rows:
        _paste(draft, at, keys, cells)
    if not rows:
        draft.wrong("the block holds no box", Where(PASTED), "copy the rows of the boxes")
    elif len(draft.problems) == before:
        draft.what.append(f"{len(rows)} boxes pasted" if len(rows) > 1 else f"box {rows[0][1][0]} pasted")


def pasted_rows(draft: Draft, edit: PasteBoxes) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The keys of a block's columns, and the cells of each filled line with its number; headers aside."""
    lines = edit.text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    rows = [
        (at, [cell.strip() for cell in line.split("\t")]) for at, line in enumerate(lines, 1) if line.strip()
    ]
    if rows and (named := _header(draft, rows[0])):
        return named, rows[1:]
    return [*edit.keys], rows


def _header(draft: Draft, row: tuple[int, list[str]]) -> list[str]:
    """The keys that a line of headers names, empty where the line is none; an unknown header is a problem."""
    at, cells = row
    keys = [_key(cell) for cell in cells]
    if len({key for key in keys if key}) < HEADER_LEAST or "tag" not in keys:
        return []
    for column, (key, cell) in enumerate(zip(keys, cells, strict=True), start=1):
        if key and key in keys[: column - 1]:
            _wrong_cell(draft, at, column, f"two headers mean {key}", "delete one of the columns")
        if not key and cell:
            hint = did_you_mean(plain_word(cell), column_words().box_key_of)
            _wrong_cell(draft, at, column, f"header {cell!r} is not known", hint)
    return keys


def _key(header: str) -> str:
    """The key of [[box]] that a header means, "" if none."""
    words = column_words()
    word = plain_word(header)
    if word == "tag" or words.key_of.get(word) == "box":
        return "tag"
    return words.box_key_of.get(word, word if word in BOX_KEYS else "")


def _paste(draft: Draft, at: int, keys: list[str], cells: list[str]) -> None:
    """One line of the block as a box."""
    for column in range(len(keys) + 1, len(cells) + 1):
        if cells[column - 1]:
            _wrong_cell(draft, at, column, f"cell {cells[column - 1]!r} has no heading", "delete it")
    typed = {key: cell for key, cell in zip(keys, cells, strict=False) if key and cell}
    tag = typed.get("tag", "")
    if not tag:
        _wrong_cell(draft, at, keys.index("tag") + 1, "the row has no tag of a box", "write the box's tag")
        return
    values = without_empty(given(draft, typed, Where(PASTED, at)))
    if "ports" in values and not isinstance(values["ports"], int):
        _wrong_cell(draft, at, keys.index("ports") + 1, f"ports {typed['ports']!r} is not a number", "")
    elif _index(draft, tag) is None and _on_sheet(draft, tag) is None:
        draft.toml.append(AddTable("box", values))
    else:
        others = {key: value for key, value in values.items() if key != "tag"}
        _set(draft, tag, others, Where(PASTED, at))


def _wrong_cell(draft: Draft, line: int, column: int, message: str, hint: str) -> None:
    """Note a problem at a cell of the block."""
    where = Where(PASTED, line, "", column)
    draft.problems.append(error("edit-refused", f"{column_letters(column)}{line}: {message}", where, hint))

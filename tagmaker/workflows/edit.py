"""The stages of a change of a job: read its files → compare with what was shown → collect → try → write.

The one way by which anything but a person's own programs changes a job's files. Each change keeps the earlier
contents, so that it can be undone. A file that is not as it was shown is never written over.
"""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.files.history import (
    Stepped,
    change_files,
    content_digest,
    end_unfinished,
    step,
)
from tagmaker.files.journal import Change, read_journal
from tagmaker.job.edit_toml import SetKeys
from tagmaker.job.schedule.columns import same_header
from tagmaker.problems import Problem, Where, error, has_errors
from tagmaker.workflows.edit_boxes import add_box, paste_boxes, remove_box, set_box
from tagmaker.workflows.edit_csv_beside import csv_beside
from tagmaker.workflows.edit_draft import JOB, Draft, open_draft
from tagmaker.workflows.edit_kinds import (
    AddBox,
    AddUnit,
    AnswerColumn,
    ChooseSheets,
    Edit,
    LeaveRowsOut,
    MoveUnits,
    PasteBoxes,
    RemoveBox,
    RemoveUnit,
    SetBands,
    SetBox,
    SetJob,
    SetPrint,
    SetUnit,
    Typed,
    WorkbookCell,
)
from tagmaker.workflows.edit_moves import move_units
from tagmaker.workflows.edit_units import add_unit, remove_unit, set_unit
from tagmaker.workflows.edit_values import given, words

__all__ = ["Edited", "History", "Past", "apply", "digests", "go_to", "history", "redo", "undo"]

SHOWN_OF_WHAT = 3  # parts of a change that its words name; more are counted
CONFLICT_HINT = "it was saved by another program or window: look at what it holds now, then change it again"


class Edited(Struct, frozen=True):
    """What became of a change: `what` was done in words, "" where nothing was written.

    `digests` are those of the job's files now, for the next page. `cells` are those that a person must change
    in a workbook: nothing was written then.
    """

    problems: tuple[Problem, ...] = ()
    digests: Mapping[str, str] = {}
    what: str = ""
    cells: tuple[WorkbookCell, ...] = ()


class Past(Struct, frozen=True):
    """A change of the history: what in words, its files, when (UTC, ISO 8601), whether it is undone.

    `before` is the number of the change before it, 0 for none.
    """

    number: int
    before: int
    when: str
    what: str
    files: tuple[str, ...]
    is_undone: bool


class History(Struct, frozen=True):
    """The changes of a job that are kept, newest first; the one to undo next, and the one to make again."""

    changes: tuple[Past, ...] = ()
    undo: Past | None = None
    redo: Past | None = None
    problems: tuple[Problem, ...] = ()


def digests(folder: Path) -> dict[str, str]:
    """SHA-256 of job.toml and of each schedule that it names, by name: what a page carries as `seen`."""
    draft = open_draft(folder)
    return draft.seen if isinstance(draft, Draft) else {}


def apply(folder: Path, edits: Sequence[Edit], seen: Mapping[str, str]) -> Edited:
    """Make changes of a job's files together, all or none.

    `seen` has the digest of each file as the page showed it. A file that differs from it, or that would be
    changed and is not in it, is a problem and nothing is written.
    """
    draft = open_draft(folder)
    if isinstance(draft, Problem):
        return Edited((draft,), digests(folder))
    if blocked := _not_as_shown(draft, seen):
        return Edited(blocked, draft.seen)
    for edit in _moves_as_one(edits):
        TAKERS[type(edit)](draft, edit)
    listed = tuple(draft.workbook)
    if listed and not draft.problems:
        names = ", ".join(dict.fromkeys(cell.file for cell in listed))
        cells = f"{len(listed)} cells are" if len(listed) > 1 else f"cell {listed[0].cell} is"
        message = f"{names} is a workbook and is not rewritten: {cells} to be changed in it"
        hint = "change them in the spreadsheet program, or let the job read a CSV file made of its rows"
        draft.wrong(message, Where(names), hint, "edit-workbook")
    new = {} if draft.problems else draft.files()
    if unseen := [name for name in new if name in draft.contents and name not in seen]:
        draft.wrong(f"the page did not show {unseen[0]}", Where(unseen[0]), CONFLICT_HINT, "edit-conflict")
    new = {name: content for name, content in new.items() if content_digest(content) != draft.seen.get(name)}
    if has_errors(draft.problems) or not new:
        return Edited(tuple(draft.problems), draft.seen, cells=listed)
    done = change_files(folder, new, draft.seen, _words(draft.what))
    return Edited(done.problems, digests(folder), done.change.what if done.change else "")


def _not_as_shown(draft: Draft, seen: Mapping[str, str]) -> tuple[Problem, ...]:
    """A problem for each file that is not as the page showed it."""
    now = draft.seen
    return tuple(
        error("edit-conflict", f"{name} changed on disk meanwhile", Where(name), CONFLICT_HINT)
        for name, digest in seen.items()
        if name in now and now[name] != digest
    )


def _words(parts: Sequence[str]) -> str:
    """The parts of a change as one line."""
    named = "; ".join(parts[:SHOWN_OF_WHAT])
    more = len(parts) - SHOWN_OF_WHAT
    return f"{named} and {more} more" if more > 0 else named


def _moves_as_one(edits: Sequence[Edit]) -> list[Edit]:
    """The changes with all moves in one, as what a blank cell means depends on all of them."""
    moves = [edit for edit in edits if isinstance(edit, MoveUnits)]
    others: list[Edit] = [edit for edit in edits if not isinstance(edit, MoveUnits)]
    if not moves:
        return others
    as_csv = any(edit.as_csv for edit in moves)
    return [MoveUnits(tuple(move for edit in moves for move in edit.moves), as_csv), *others]


# --- the schedule's questions


def _answer(draft: Draft, edit: AnswerColumn) -> None:
    """A header's meaning in [columns], under the name that it has there if it has one."""
    value = f"{edit.key} ({edit.unit})" if edit.key and edit.unit else edit.key
    names = [name for name in draft.table("columns") if same_header(name, edit.header)]
    changes: dict[str, str | None] = {(names[0] if names else edit.header): value}
    draft.toml.append(SetKeys(("columns",), changes))
    meaning = "no answer" if value is None else value or "left out"
    draft.what.append(f"column {edit.header}: {meaning}")


def _choose_sheets(draft: Draft, edit: ChooseSheets) -> None:
    draft.toml.append(SetKeys(("job",), {"sheets": edit.sheets or None}))
    draft.what.append(f"sheets: {', '.join(edit.sheets) or 'all with a header'}")


def _leave_out(draft: Draft, edit: LeaveRowsOut) -> None:
    kept = [name for name in draft.choices.hidden if name not in edit.names]
    names = kept if edit.back else [*kept, *edit.names]
    draft.choices = replace(draft.choices, hidden=tuple(names))
    draft.toml.append(SetKeys(("job",), {"hidden_left_out": tuple(names) or None}))
    word = "no longer left out" if edit.back else "left out"
    draft.what.append(f"hidden rows {word}: {', '.join(edit.names)}")


# --- tables of job.toml


def _set_table(draft: Draft, name: str, values: Mapping[str, Typed]) -> None:
    new = given(draft, values, Where(JOB))
    draft.toml.append(SetKeys((name,), new))
    draft.what.append(words(new) if name == "job" else f"{name}: {words(new)}")


def _move(draft: Draft, edit: MoveUnits) -> None:
    workbooks = move_units(draft, edit.moves)
    if not edit.as_csv:
        return
    draft.workbook = [cell for cell in draft.workbook if cell.file not in workbooks]
    for source in draft.sources:
        if source.name in workbooks:
            csv_beside(draft, source, workbooks[source.name])


TAKERS: Mapping[type, Callable[[Draft, Any], None]] = {
    MoveUnits: _move,
    AnswerColumn: _answer,
    ChooseSheets: _choose_sheets,
    LeaveRowsOut: _leave_out,
    SetJob: lambda draft, edit: _set_table(draft, "job", edit.values),
    SetPrint: lambda draft, edit: _set_table(draft, "print", edit.values),
    SetBands: lambda draft, edit: _set_table(draft, "bands", edit.values),
    SetBox: set_box,
    AddBox: add_box,
    RemoveBox: remove_box,
    PasteBoxes: paste_boxes,
    SetUnit: set_unit,
    AddUnit: add_unit,
    RemoveUnit: remove_unit,
}
"""What takes a change of each kind into the draft."""


# --- back and forth


def history(folder: Path) -> History:
    """The changes of a job that are kept; a change that a killed program began is ended first."""
    half_changed = end_unfinished(folder)
    journal = read_journal(folder)
    if isinstance(journal, Problem):
        return History(problems=(journal,))
    numbers = [0, *(change.number for change in journal.changes)]
    past = [
        Past(change.number, numbers[at], change.when, change.what, _names(change), at >= journal.done)
        for at, change in enumerate(journal.changes)
    ]
    undo_next = past[journal.done - 1] if journal.done else None
    redo_next = past[journal.done] if journal.done < len(past) else None
    return History(tuple(reversed(past)), undo_next, redo_next, half_changed)


def _names(change: Change) -> tuple[str, ...]:
    return tuple(each.name for each in change.files)


def undo(folder: Path, number: int = 0) -> Edited:
    """Give back what the last change replaced; with its number, only if it is still the last."""
    return _stepped(folder, step(folder, "back", number), "undone")


def redo(folder: Path, number: int = 0) -> Edited:
    """Make the change again that was undone last; with its number, only if it is still that one."""
    return _stepped(folder, step(folder, "forth", number), "redone")


def _stepped(folder: Path, done: Stepped, word: str) -> Edited:
    return Edited(done.problems, digests(folder), f"{word}: {done.change.what}" if done.change else "")


def go_to(folder: Path, number: int, last: int) -> Edited:
    """Undo changes, or make them again, until the one of a number is the last in force (0: none).

    `last` is the change that was the last in force on the page: where it is another now, nothing is done.
    Each step is made whole; one that cannot be made ends the way, and what was done before it stays.
    """
    steps: list[Edited] = []
    while True:
        past = history(folder)
        now = past.undo.number if past.undo else 0
        if past.problems or now == number:
            return _gone(folder, steps, past.problems)
        if now != last:
            message = "the history changed meanwhile"
            return _gone(folder, steps, (error("edit-conflict", message, Where(".history"), CONFLICT_HINT),))
        following = past.redo if now < number else past.undo
        if following is None or number not in {0, *(each.number for each in past.changes)}:
            message = "this change is not in the history any more"
            return _gone(folder, steps, (error("history-end", message, Where(".history")),))
        steps.append((redo if now < number else undo)(folder, following.number))
        if steps[-1].problems:
            return _gone(folder, steps[:-1], steps[-1].problems)
        last = following.number if now < number else following.before


def _gone(folder: Path, steps: Sequence[Edited], problems: tuple[Problem, ...]) -> Edited:
    """What became of going through the history."""
    if len(steps) < 2:
        return Edited(problems, digests(folder), steps[0].what if steps else "")
    return Edited(problems, digests(folder), f"{len(steps)} changes {steps[0].what.partition(':')[0]}")

"""The stages of `changes`: read two jobs or sets → compare → what is to be done on site."""

from collections.abc import Iterator
from pathlib import Path

import msgspec
from msgspec import Struct

from tagmaker.catalog.words import Words, load_words
from tagmaker.files.plain import is_folder, is_there
from tagmaker.problems import Problem, Severity
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issued import Issued, issued_plan
from tagmaker.revisions.model import Changes
from tagmaker.revisions.plan_file import PLAN_FILE, read_plan_file
from tagmaker.revisions.work_lines import work_of_changes
from tagmaker.tags.work_list import BoxWork
from tagmaker.workflows.planning import plan

__all__ = ["Compared", "changes", "changes_lines"]


class Compared(Struct, frozen=True):
    """Two jobs or sets compared; None where one of them could not be read."""

    changes: Changes | None
    problems: tuple[Problem, ...]

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done on site."""
        return self.changes is not None and self.changes.is_work

    def as_json(self) -> dict[str, object]:
        """The changes as `--json` prints them."""
        if self.changes is None:
            return {}
        plain: dict[str, object] = msgspec.json.decode(msgspec.json.encode(self.changes))
        return {**plain, "to_do": self.is_work}


def changes(old: Path, new: Path) -> Compared:
    """Two job folders, or plan.json files of sets, or one of each."""
    words = load_words()
    sides = [_side(path, words) for path in (old, new)]
    problems = tuple(problem for _, found in sides for problem in found)
    was, now = (issued for issued, _ in sides)
    if was is None or now is None:
        return Compared(None, problems)
    return Compared(compare(was, now), problems)


def _side(path: Path, words: Words) -> tuple[Issued | None, tuple[Problem, ...]]:
    """What one side says: a set's plan.json, or a job without errors, planned."""
    if path.suffix == ".json" or (is_folder(path) and not is_there(path / "job.toml") and _is_set(path)):
        found = read_plan_file(path)
        return (None, (found,)) if isinstance(found, Problem) else (found, ())
    checked = plan(path)
    errors = tuple(problem for problem in checked.problems if problem.severity is Severity.ERROR)
    return (None if checked.plan is None or errors else issued_plan(checked.plan, words)), errors


def _is_set(path: Path) -> bool:
    return is_there(path / PLAN_FILE)


def changes_lines(compared: Compared) -> list[str]:
    """What differs, as the terminal shows it."""
    if compared.changes is None:
        return []
    words, found = load_words(), compared.changes
    head = words("changes.revision", was=found.was.revision, now=found.now.revision)
    lines = [f"{found.now.name}: {head}", ""]
    lines += [line for told in work_of_changes(found, words) for line in _told_lines(told)]
    return lines if compared.is_work else [*lines, words("changes.nothing_to_do")]


def _told_lines(told: BoxWork) -> Iterator[str]:
    yield f"{told.box}  {told.where}".rstrip()
    for punch in told.punches:
        yield f"  {punch.number:>3}. {punch.place}: {punch.wrong}"
        yield f"       {punch.to_do}"
    yield from (f"       ({note})" for note in told.notes)
    yield ""

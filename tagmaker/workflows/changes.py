"""The stages of `changes`: read both sides → compare → what is to be done on site.

Each side is a job, which is planned, or a set's plan.json. Gives every difference as a record; the lines of
work are made from it by `revisions.work_lines`.
"""

from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.words import Words, load_words
from tagmaker.files.plain import is_folder, is_there
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem, Severity, Where
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issued import Issued, IssuedJob
from tagmaker.revisions.issuing import issued_pair, issued_plan
from tagmaker.revisions.model import BoxChange, Changes, SystemChange, UnitChange
from tagmaker.revisions.plan_file import PLAN_FILE, foreign, read_plan_file, unproved
from tagmaker.revisions.work_lines import work_of_changes
from tagmaker.tags.walk import JobIdentity
from tagmaker.workflows.planning import plan

__all__ = ["ChangesOutline", "Compared", "StepOutline", "changes"]


class StepOutline(Struct, frozen=True):
    """One line of work.

    `box` is empty where the work is done once for the system, `system` where none is given.
    """

    number: int
    step: str
    role: str
    system: str
    box: str
    place: str
    what: str
    how: str
    ports: tuple[str, ...]
    codes: tuple[str, ...]


class ChangesOutline(Struct, frozen=True):
    """What `changes --json` prints beside the problems.

    `units`, `boxes` and `systems` have every difference, `steps` the work on site; `to_do` is whether there
    is any.
    """

    was: IssuedJob
    now: IssuedJob
    units: tuple[UnitChange, ...]
    boxes: tuple[BoxChange, ...]
    systems: tuple[SystemChange, ...]
    steps: tuple[StepOutline, ...]
    to_do: bool


class Compared(Struct, frozen=True):
    """Two jobs or sets compared; `changes` is None where one of them cannot be read or has errors."""

    changes: Changes | None
    problems: tuple[Problem, ...]

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done on site; a difference on paper alone is none."""
        return self.changes is not None and self.changes.is_work

    @property
    def outline(self) -> ChangesOutline | None:
        """The same as a record of the JSON keys; None where nothing was compared."""
        if self.changes is None:
            return None
        found = self.changes
        steps = tuple(_steps(found))
        return ChangesOutline(
            found.was, found.now, found.units, found.boxes, found.systems, steps, to_do=self.is_work
        )


def _steps(found: Changes) -> Iterator[StepOutline]:
    """The lines of work as the terminal and changes.pdf have them."""
    for work in work_of_changes(found, load_words()):
        for item in work.punches:
            yield StepOutline(
                number=item.number,
                step=item.step,
                role=item.role,
                system=work.system,
                box="" if item.is_system else item.box,
                place=item.place,
                what=item.wrong,
                how=item.to_do,
                ports=item.ports,
                codes=item.codes,
            )


def changes(old: Path, new: Path) -> Compared:
    """Compare two sides: each a job (folder or job.toml), or a set (folder or its plan.json)."""
    sides = [_side(path) for path in (old, new)]
    problems = tuple(problem for _, found in sides for problem in found)
    first, second = (side for side, _ in sides)
    if first is None or second is None:
        return Compared(None, problems)
    was, now = _issued(first, second, load_words())
    own = JobIdentity(now.job.number, now.job.name)
    return Compared(compare(was, now), (*problems, *foreign(was.job, own, Where(old.as_posix()))))


def _issued(was: Plan | Issued, now: Plan | Issued, words: Words) -> tuple[Issued, Issued]:
    """What both sides issue; of two plans as far as it differs."""
    if isinstance(was, Plan) and isinstance(now, Plan):
        return issued_pair(was, now, words)
    before, after = (issued_plan(side, words) if isinstance(side, Plan) else side for side in (was, now))
    return before, after


def _side(path: Path) -> tuple[Plan | Issued | None, tuple[Problem, ...]]:
    """One side: a set as its plan.json has it, or a job without errors, planned; else None and its errors.

    A folder that holds both is a job: it is what a person edits.
    """
    if path.suffix == ".json" or (is_folder(path) and not is_there(path / "job.toml") and _is_set(path)):
        found = read_plan_file(path)
        return (None, (found,)) if isinstance(found, Problem) else (found, tuple(unproved(found, path)))
    checked = plan(path)
    errors = tuple(problem for problem in checked.problems if problem.severity is Severity.ERROR)
    return (None if errors else checked.plan), errors


def _is_set(path: Path) -> bool:
    return is_there(path / PLAN_FILE)

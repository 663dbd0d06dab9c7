"""The command `changes`: what is to be done on site between two jobs or sets.

Prints a numbered list of work, box by box; exit code 1 where there is any. `--json` prints every difference,
those on paper alone too, with `to_do` for whether any is work.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, end, job_path

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tagmaker.tags.work_list import BoxWork
    from tagmaker.workflows.changes import Compared

__all__ = ["changes", "changes_lines"]


def changes(
    old: Annotated[Path, typer.Argument(metavar="OLD", help="The job, or the plan.json, as it was.")],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="The job, or the plan.json, as it is now.")],
    as_json: AsJson = False,
) -> None:
    """List the work on site step by step: pipes, cables, switches, tags; exit 1 if there is any."""
    from tagmaker.workflows import changes as workflow

    found = workflow.changes(job_path(old), job_path(new))
    outline, lines = (found.outline, ()) if as_json else (None, changes_lines(found))  # each lists all work
    end(found.problems, outline, lines, as_json=as_json, is_wrong=found.is_work)


def changes_lines(compared: "Compared") -> list[str]:
    """The two revisions, then the work of each box; none where nothing was compared."""
    if compared.changes is None:
        return []
    from tagmaker.catalog.steps import change_steps
    from tagmaker.catalog.words import load_words
    from tagmaker.revisions.work_lines import work_of_changes

    words, found = load_words(), compared.changes
    head = words("changes.revision", was=found.was.revision, now=found.now.revision)
    lines = [f"{found.now.name}: {head}", ""]
    lines += [line for work in work_of_changes(found, words) for line in _box_lines(work)]
    return [*lines, change_steps().standing if compared.is_work else words("changes.nothing_to_do")]


def _box_lines(work: "BoxWork") -> "Iterator[str]":
    """A box and where it is, its numbered lines with how and by whom, notes in brackets, a blank line."""
    yield f"{work.box}  {work.where}".rstrip()
    for item in work.punches:
        place = item.place if item.box == work.box else f"{item.box}, {item.place}"
        yield f"  {item.number:>3}. {place}: {item.wrong} [{item.role}]"
        if item.to_do:
            yield f"       {item.to_do}"
    yield from (f"       ({note})" for note in work.notes)
    yield ""

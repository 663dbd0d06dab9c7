"""The command `start`: a new job folder, from nothing or from a schedule.

Prints the files, what was found in the schedule, and the next step. `--json` prints folder and files.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, end, existing_schedule
from tagmaker.cli.show import count
from tagmaker.problems import has_errors

if TYPE_CHECKING:
    from tagmaker.workflows.start import Started

__all__ = ["start", "started_lines"]


Folder = Annotated[Path, typer.Argument(metavar="DIR", help="The new job's folder.")]
Source = Annotated[
    Path | None,
    typer.Option("--from", metavar="SCHEDULE", help="The schedule to take the boxes and units from."),
]
Family = Annotated[
    str | None, typer.Option("--family", metavar="NAME", help="The boxes' family; needed with --from.")
]


def start(folder: Folder, source: Source = None, family: Family = None, as_json: AsJson = False) -> None:
    """Write a new job folder that runs, with every key explained; what was inferred is marked to confirm."""
    from tagmaker.workflows import start as workflow

    if source and not family:
        known = ", ".join(workflow.families())
        raise typer.BadParameter(
            f"--from needs --family: a box's rules must be chosen, never assumed; known: {known}"
        )
    path = existing_schedule(source) if source else None
    started = workflow.start(folder, path, family or workflow.EXAMPLE_FAMILY)
    end(started.problems, started.outline, started_lines(started), as_json=as_json)


def started_lines(started: "Started") -> list[str]:
    """The files, the boxes and units taken from a schedule, and what is to be done next."""
    if not started.files:
        return ["nothing was written"]
    lines = [f"{started.folder}: {', '.join(started.files)}"]
    if started.boxes:
        found = f"{count(started.boxes, 'box', 'boxes')}, {count(started.units, 'unit')}"
        lines.append(f'{found}; check every line marked "confirm"')
    job = started.folder / "job.toml"
    if started.is_to_mend:
        return [*lines, f"correct the problems above in {job}; then it runs"]
    if has_errors(started.problems):
        return [*lines, f"give the meaning of the headers under [columns] in {job}; then it runs"]
    return [*lines, f"next: tagmaker make {started.folder}"]

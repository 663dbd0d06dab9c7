"""Commands of schedules: read, start."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, end, job_path, print_lines
from tagmaker.files.plain import is_there

__all__ = ["read", "start"]


def read(
    schedule: Annotated[Path, typer.Argument(metavar="SCHEDULE", help="A schedule: .xlsx or CSV.")],
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="A job whose [columns] and sheets hold.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say how each column of a schedule was understood, what was left out, and every row as understood."""
    from tagmaker.workflows import read as schedules  # noqa: PLC0415 — as above

    understood = schedules.read(_there(schedule), job_path(job) if job else None)
    lines = schedules.read_lines(understood)
    end(understood.problems, understood.as_json(), lines, as_json=as_json)


def start(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The new job's folder.")],
    source: Annotated[
        Path | None,
        typer.Option("--from", metavar="SCHEDULE", help="A schedule whose boxes and units the job has."),
    ] = None,
    family: Annotated[
        str | None, typer.Option("--family", metavar="NAME", help="The boxes' family; needed with --from.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Write a new job folder that runs, with every key explained; what was inferred is marked to confirm."""
    from tagmaker.workflows import start as starting  # noqa: PLC0415 — as above

    if source and not family:
        known = ", ".join(starting.families())
        raise typer.BadParameter(
            f"--from needs --family, for a box's rules are chosen, never assumed: {known}"
        )
    path = _there(source) if source else None
    started = starting.start(folder, path, family or starting.EXAMPLE_FAMILY)
    result: dict[str, object] = {"folder": str(folder), "files": list(started.files)}
    end(started.problems, result, starting.started_lines(started, folder), as_json=as_json)


def _there(schedule: Path) -> Path:
    """A schedule that exists; ends with wrong usage where it does not."""
    if not is_there(schedule):
        print_lines([f"{schedule}: no such file", "    name a schedule, .xlsx or CSV"], err=True)
        raise typer.Exit(2)
    return schedule

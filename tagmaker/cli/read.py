"""The command `read`: a schedule as understood."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, end, existing_schedule, job_path

__all__ = ["read"]


def read(
    schedule: Annotated[Path, typer.Argument(metavar="SCHEDULE", help="A schedule: .xlsx or CSV.")],
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="A job whose [columns] and sheets hold.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say how each column of a schedule was understood, what was left out, and every row as understood."""
    from tagmaker.workflows import read as schedules  # noqa: PLC0415 — heavy, and `--help` needs none of it

    understood = schedules.read(existing_schedule(schedule), job_path(job) if job else None)
    lines = schedules.read_lines(understood)
    end(understood.problems, understood.as_json(), lines, as_json=as_json)

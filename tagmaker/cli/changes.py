"""The command `changes`: what is to be done on site between two jobs."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, end, job_path

__all__ = ["changes"]


def changes(
    old: Annotated[Path, typer.Argument(metavar="OLD", help="The job, or the plan.json, as it was.")],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="The job, or the plan.json, as it is now.")],
    as_json: AsJson = False,
) -> None:
    """Say what is to be done on site: switches, tags, placards, ports to look at again; exit 1 if any."""
    from tagmaker.workflows import changes as comparing  # noqa: PLC0415 — heavy, and `--help` needs none of it

    found = comparing.changes(job_path(old), job_path(new))
    end(
        found.problems,
        found.as_json(),
        comparing.changes_lines(found),
        as_json=as_json,
        is_wrong=found.is_work,
    )

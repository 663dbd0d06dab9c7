"""The command `start`: a new job folder."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, end, existing_schedule

__all__ = ["start"]


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
    from tagmaker.workflows import start as starting  # noqa: PLC0415 — heavy, and `--help` needs none of it

    if source and not family:
        known = ", ".join(starting.families())
        raise typer.BadParameter(
            f"--from needs --family, for a box's rules are chosen, never assumed: {known}"
        )
    path = existing_schedule(source) if source else None
    started = starting.start(folder, path, family or starting.EXAMPLE_FAMILY)
    result: dict[str, object] = {"folder": str(folder), "files": list(started.files)}
    end(started.problems, result, starting.started_lines(started, folder), as_json=as_json)

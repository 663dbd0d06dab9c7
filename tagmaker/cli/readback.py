"""The command `readback`: what the walk found."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, end, job_path

__all__ = ["readback"]


def readback(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILES", help="Filled-in walk sheets, the phone's files, or folders of them."),
    ],
    job: Annotated[Path, typer.Option("--job", metavar="JOB", help="The job that was walked.")],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="Write the punch list, a PDF.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Compare what the walk found with the job: as planned, differs or not seen, and what to do."""
    from tagmaker.workflows import readback as stages  # noqa: PLC0415 — heavy, and `--help` needs none of it

    result = stages.readback(files, job_path(job))
    problem = stages.write_punch_list(result, out) if out else None
    problems = [*result.problems, *([problem] if problem else [])]
    lines = stages.readback_lines(result)
    end(problems, result.as_json(), lines, as_json=as_json, is_wrong=result.is_wrong)

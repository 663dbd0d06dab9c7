"""The command `scan`: what scanned codes are."""

import json
import sys
from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, Since, end, job_path, print_lines

__all__ = ["scan"]


def scan(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILES", help="Photos, PDFs, or lines of text; - is standard input."),
    ],
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="The job to judge them against.")
    ] = None,
    session: Annotated[
        Path | None,
        typer.Option("--session", metavar="FILE", help="Keep the lines of - here, and go on from them."),
    ] = None,
    since: Since = None,
    rebuild: Annotated[
        bool, typer.Option("--rebuild", metavar="", help="Print the boxes that the codes alone tell of.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Say what each code is, whether it is of the job, and whether anything is crossed or differs."""
    from tagmaker.workflows import scan as scanning  # noqa: PLC0415 — heavy, and `--help` needs none of it

    if since and not job:
        raise typer.BadParameter("--since goes with --job")
    quiet = as_json or rebuild
    run_ = scanning.scan(
        files,
        scanning.Against(job_path(job) if job else None, since),
        session,
        sys.stdin,
        _silent if quiet else _say_at_once,
    )
    result: dict[str, object] = {"boxes": run_.rebuilt()} if rebuild else run_.as_json()
    lines = [json.dumps(result)] if rebuild else scanning.summary_lines(run_)
    end(run_.problems, result, lines, as_json=as_json, is_wrong=run_.is_wrong)


def _silent(_line: str) -> None:
    pass


def _say_at_once(line: str) -> None:
    print_lines([line])

"""Commands for what comes back from site: scan, readback, explain."""

import json
import sys
from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, Since, end, job_path, print_lines

__all__ = ["explain", "readback", "scan"]


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
    from tagmaker.workflows import scan as scanning  # noqa: PLC0415 — as above

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
    from tagmaker.workflows import readback as stages  # noqa: PLC0415 — as above

    result = stages.readback(files, job_path(job))
    problem = stages.write_punch_list(result, out) if out else None
    problems = [*result.problems, *([problem] if problem else [])]
    lines = stages.readback_lines(result)
    end(problems, result.as_json(), lines, as_json=as_json, is_wrong=result.is_wrong)


def explain(
    ports: Annotated[int, typer.Argument(metavar="PORTS", help="How many ports the box has.")] = 0,
    found: Annotated[str, typer.Argument(metavar="FOUND", help="The switches found ON, in words.")] = "",
    family: Annotated[
        str | None, typer.Option("--family", metavar="NAME", help="The box family whose rules hold.")
    ] = None,
    wish: Annotated[
        str | None, typer.Option("--wish", metavar="WORDS", help="What the ports should be, in words.")
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="A job whose own families are known too.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what a box believes with its switches as found, and what to move for a wish; alone it asks."""
    from tagmaker.workflows import explain as explaining  # noqa: PLC0415 — as above

    asked = explaining.Asked(family or "", ports, found, wish or "")
    if not ports:
        asked = explaining.ask(lambda text: str(typer.prompt(text, default="", show_default=False)), asked)
    path = job_path(job) if job else None
    answer = explaining.explain(asked, path if path is None or path.is_dir() else path.parent)
    end(answer.problems, {"boards": answer.boards}, answer.lines, as_json=as_json)


def _silent(_line: str) -> None:
    pass


def _say_at_once(line: str) -> None:
    print_lines([line])

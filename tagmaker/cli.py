"""The command line: it parses, calls, prints and exits.

Exit codes: 0 done, 1 the job has errors and nothing was written, 2 wrong usage.
"""

import io
import json
import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker import __version__

if TYPE_CHECKING:
    from tagmaker.pipeline import Checked

app = typer.Typer(
    help="Labels, placards and verification sheets for the branch boxes of heat-recovery air-conditioning.",
    epilog="Example: tagmaker make example_jobs/clinic -o out",
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)

JobPath = Annotated[
    Path | None, typer.Argument(metavar="JOB", help="The job's folder, or its job.toml.", show_default=False)
]
Boxes = Annotated[
    list[str] | None,
    typer.Option("--box", metavar="TAG", help="Limit checks and output to this box; may be given again."),
]
AsJson = Annotated[bool, typer.Option("--json", metavar="", help="Print one JSON object to standard output.")]

BEGIN = """No job was named. A job is a folder with a file job.toml. The smallest one:

    [job]
    name = "Tide Street Bakery"
    family = "four-port-boards"

    [[box]]
    tag = "BX-1"
    ports = 6

    [[unit]]
    unit = "FC-1"
    box = "BX-1"
    port = "A"
    capacity = "24 kBtu/h"

Then: tagmaker make THAT-FOLDER -o out"""


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"tagmaker {__version__}")
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool,
        typer.Option(
            "--version", metavar="", callback=_version, is_eager=True, help="Print the version and exit."
        ),
    ] = False,
) -> None:
    """Labels, placards and verification sheets for the branch boxes of heat-recovery air-conditioning."""


@app.command(epilog="Example: tagmaker make example_jobs/clinic -o out --box BB-12")
def make(
    job: JobPath = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", metavar="OUT", help="The output folder; default: JOB's name and -out, here."
        ),
    ] = None,
    box: Boxes = None,
    as_json: AsJson = False,
) -> None:
    """Write a job's label sheets, placards, verification sheets, register and plan into OUT."""
    from tagmaker import pipeline  # noqa: PLC0415 — heavy, and `--help` needs none of it
    from tagmaker.terminal import Bar, made_lines  # noqa: PLC0415

    path = _job_path(job)
    target = out or Path(f"{path.resolve().name if path.is_dir() else path.resolve().parent.name}-out")
    with Bar() as bar:
        made = pipeline.make(path, target, box or (), bar.move)
    summary = {
        "out": str(target),
        "tags": made.tags,
        "boxes": made.boxes,
        "files": [name for name, _ in made.files],
    }
    _finish(made.checked, summary, made_lines(made, target), as_json=as_json)


@app.command(epilog="Example: tagmaker check example_jobs/full-of-mistakes")
def check(job: JobPath = None, box: Boxes = None, as_json: AsJson = False) -> None:
    """Say everything that is wrong with a job, and write nothing."""
    from tagmaker import pipeline  # noqa: PLC0415 — as above
    from tagmaker.terminal import checked_lines  # noqa: PLC0415

    checked = pipeline.check(_job_path(job), box or ())
    _finish(checked, {}, checked_lines(checked), as_json=as_json)


@app.command(epilog="Example: tagmaker switches example_jobs/clinic --box BB-13")
def switches(job: JobPath = None, box: Boxes = None, as_json: AsJson = False) -> None:
    """Show every board's switches, with the reason for each that is ON, and the port loads."""
    from tagmaker import pipeline  # noqa: PLC0415 — as above
    from tagmaker.plan.as_json import boxes_json  # noqa: PLC0415
    from tagmaker.terminal import switch_lines  # noqa: PLC0415

    checked = pipeline.plan(_job_path(job), box or ())
    boxes = boxes_json(checked.plan) if checked.plan else []
    _finish(checked, {"boxes": boxes}, switch_lines(checked), as_json=as_json)


def _job_path(job: Path | None) -> Path:
    if job is None:
        typer.echo(BEGIN, err=True)
        raise typer.Exit(2)
    if not job.exists():
        typer.echo(f"{job}: no such folder or file\n    name a folder that holds job.toml", err=True)
        raise typer.Exit(2)
    return job


def _finish(checked: "Checked", result: dict[str, object], lines: list[str], *, as_json: bool) -> None:
    """Print what was found and what was done; exit 1 when an error was among it."""
    from tagmaker.problems import has_errors  # noqa: PLC0415 — as above
    from tagmaker.terminal import problem_lines  # noqa: PLC0415

    if as_json:
        problems = [problem.as_json() for problem in checked.problems]
        _print([json.dumps({**result, "problems": problems})])
    else:
        _print(problem_lines(checked.problems), err=True)
        _print(lines)
    raise typer.Exit(int(has_errors(checked.problems)))


def _print(lines: Iterable[str], *, err: bool = False) -> None:
    """Print lines; a reader that closes the pipe early is no error, so the exit code stays the job's."""
    try:
        for line in lines:
            typer.echo(line, err=err)
    except BrokenPipeError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, (sys.stderr if err else sys.stdout).fileno())
        os.close(nowhere)


def run() -> None:
    """The program's entry point; a sign that the terminal cannot show is spelt out, never a question mark."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    app()

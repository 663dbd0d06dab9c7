"""What all commands share: arguments, the job's path, and how a command ends."""

import json
import os
import re
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.files.plain import is_folder, is_there
from tagmaker.problems import visible

if TYPE_CHECKING:
    from tagmaker.problems import Problem

__all__ = [
    "AsJson",
    "Boxes",
    "JobPath",
    "Only",
    "Since",
    "check_since",
    "default_out",
    "end",
    "existing_schedule",
    "job_folder",
    "job_path",
    "print_lines",
    "shown",
    "upper",
]

STYLE = re.compile("(\x1b\\[(?:0|1|31|33)m)")  # those of terminal.py

JobPath = Annotated[
    Path | None, typer.Argument(metavar="JOB", help="The job's folder, or its job.toml.", show_default=False)
]
Boxes = Annotated[
    list[str] | None,
    typer.Option("--box", metavar="TAG", help="Limit checks and output to this box; may be given again."),
]
Only = Annotated[
    list[str] | None,
    typer.Option("--only", metavar="BOX/PORT", help="Print this port's tags alone; may be given again."),
]
Since = Annotated[
    Path | None,
    typer.Option("--since", metavar="PLAN", help="The plan.json of the set that hangs on site."),
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


def upper(tags: list[str] | None) -> tuple[str, ...]:
    """Tags given as options, in capitals."""
    return tuple(tag.upper() for tag in tags or ())


def job_path(job: Path | None) -> Path:
    """The job that a command was given; ends with wrong usage where it is none."""
    if job is None:
        typer.echo(BEGIN, err=True)
        raise typer.Exit(2)
    if not is_there(job):
        lines = [f"{job}: no such folder or file", "    name a folder that holds job.toml"]
        print_lines(lines, err=True)
        raise typer.Exit(2)
    return job


def existing_schedule(schedule: Path) -> Path:
    """A schedule that exists; ends with wrong usage where it does not."""
    if not is_there(schedule):
        print_lines([f"{schedule}: no such file", "    name a schedule, .xlsx or CSV"], err=True)
        raise typer.Exit(2)
    return schedule


def default_out(job: Path) -> Path:
    """Where a job's set goes when no folder is named: the job's name and -out, here."""
    folder = job.resolve() if is_folder(job) else job.resolve().parent
    return Path(f"{folder.name}-out")


def check_since(since: Path | None, out: Path, *, prints_all: bool) -> None:
    """End with wrong usage where an update would take the place of the set that it goes on from."""
    if since is None and prints_all:
        raise typer.BadParameter("--all goes with --since")
    folder = since if since is None or is_folder(since) else since.parent
    if folder and not prints_all and folder.resolve() == out.resolve():
        raise typer.BadParameter(
            f"--since and --out are both {out}: give the update a folder of its own, "
            "or the next run finds nothing changed"
        )


def job_folder(job: Path) -> Path:
    """The folder of a job that an option names."""
    path = job_path(job)
    return path if is_folder(path) else path.parent


def end(
    problems: "Iterable[Problem]",
    result: dict[str, object],
    lines: list[str],
    *,
    as_json: bool,
    is_wrong: bool = False,
    errors_count: bool = True,
) -> None:
    """Print what was found and what was done; exit 1 when an error was among it or the site is wrong.

    Where errors do not count they are told, and the exit is `is_wrong`'s alone.
    """
    from tagmaker.cli.show import problem_lines  # noqa: PLC0415
    from tagmaker.problems import has_errors  # noqa: PLC0415 — as above

    found = list(problems)
    if as_json:
        print_lines([json.dumps({**result, "problems": [each.as_json() for each in found]})])
    else:
        print_lines((line for each in problem_lines(found) for line in each.split("\n")), err=True)
        print_lines(lines)
    raise typer.Exit(int((errors_count and has_errors(found)) or is_wrong))


def shown(line: str) -> str:
    """A line as it may be printed: nothing in it is obeyed but the program's own styles."""
    return "".join(part if STYLE.fullmatch(part) else visible(part) for part in STYLE.split(line))


def print_lines(lines: Iterable[str], *, err: bool = False) -> None:
    """Print lines, control characters but the program's own styles spelt out.

    A reader that closes the pipe early is no error, so the exit code stays the job's.
    """
    try:
        for line in lines:
            typer.echo(shown(line), err=err)
    except BrokenPipeError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, (sys.stderr if err else sys.stdout).fileno())
        os.close(nowhere)

"""What the commands share: options, checks of the paths that they are given, and how a command ends.

A path that does not exist is wrong usage: a message on standard error and exit code 2. What is wrong inside
a job is a problem: exit code 1.
"""

import json
import os
import re
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import msgspec
import typer
from msgspec import Struct

from tagmaker.cli.show import problem_lines
from tagmaker.files.plain import is_folder, is_there
from tagmaker.problems import Problem, at_most_each, has_errors, visible

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
    "json_object",
    "print_lines",
    "shown",
    "upper",
]

STYLE = re.compile("(\x1b\\[(?:0|1|31|33)m)")  # those of cli/show.py

JobPath = Annotated[
    Path | None, typer.Argument(metavar="JOB", help="The job's folder, or its job.toml.", show_default=False)
]
Boxes = Annotated[
    list[str] | None,
    typer.Option("--box", metavar="TAG", help="Limit checks and output to this box; repeatable."),
]
Only = Annotated[
    list[str] | None,
    typer.Option("--only", metavar="BOX/PORT", help="Print only the tags of this port; repeatable."),
]
Since = Annotated[
    Path | None,
    typer.Option("--since", metavar="PLAN", help="The plan.json of the set now on site."),
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
    """Tags given as options, in capitals; none where the option is absent."""
    return tuple(tag.upper() for tag in tags or ())


def job_path(job: Path | None) -> Path:
    """The job that a command was given; exits with 2 where none is named or the path does not exist."""
    if job is None:
        typer.echo(BEGIN, err=True)
        raise typer.Exit(2)
    if not is_there(job):
        lines = [f"{job}: no such folder or file", "    name a folder that holds job.toml"]
        print_lines(lines, err=True)
        raise typer.Exit(2)
    return job


def existing_schedule(schedule: Path) -> Path:
    """A schedule that exists; exits with 2 where it does not."""
    if not is_there(schedule):
        print_lines([f"{schedule}: no such file", "    name a schedule, .xlsx or CSV"], err=True)
        raise typer.Exit(2)
    return schedule


def default_out(job: Path) -> Path:
    """The output folder without -o: the name of the job's folder with "-out", in the current folder."""
    folder = job.resolve() if is_folder(job) else job.resolve().parent
    return Path(f"{folder.name}-out")


def check_since(since: Path | None, out: Path, *, prints_all: bool) -> None:
    """Exit with 2 for --all without --since, or where an update would replace the set that it updates."""
    if since is None and prints_all:
        raise typer.BadParameter("--all goes with --since")
    folder = since if since is None or is_folder(since) else since.parent
    if folder and not prints_all and folder.resolve() == out.resolve():
        raise typer.BadParameter(
            f"--since and --out are both {out}: give the update a folder of its own, "
            "or the next run finds nothing changed"
        )


def job_folder(job: Path) -> Path:
    """The folder of a job that an option names, by the folder or by its job.toml."""
    path = job_path(job)
    return path if is_folder(path) else path.parent


def end(
    problems: Iterable[Problem],
    result: Struct | None,
    lines: Iterable[str],
    *,
    as_json: bool,
    is_wrong: bool = False,
    errors_count: bool = True,
) -> None:
    """Print problems and result, and exit: 1 with an error among the problems or where `is_wrong`, else 0.

    Plain: problems to standard error, `lines` to standard output. As JSON: one object on standard output,
    the fields of `result` and `problems` (None: `problems` alone). Without `errors_count` errors are printed
    and the exit code is that of `is_wrong`.
    """
    found = list(problems)
    listed = at_most_each(found)
    if as_json:
        print_lines([json_object(result, listed)])
    else:
        print_lines((line for each in problem_lines(listed) for line in each.split("\n")), err=True)
        print_lines(lines)
    raise typer.Exit(int((errors_count and has_errors(found)) or is_wrong))


def json_object(result: Struct | None, problems: Iterable[Problem] | None = None) -> str:
    """A result's fields as one JSON object on one line, with `problems` as its last key where given.

    The text is ASCII, so that it reads the same in every encoding of a terminal or pipe.
    """
    content = {} if result is None else msgspec.to_builtins(result)
    if problems is not None:
        content["problems"] = [msgspec.to_builtins(each.outline) for each in problems]
    return json.dumps(content)


def shown(line: str) -> str:
    """A line that is safe to print: every control character spelt out but those of the program's styles."""
    return "".join(part if STYLE.fullmatch(part) else visible(part) for part in STYLE.split(line))


def print_lines(lines: Iterable[str], *, err: bool = False) -> None:
    """Print lines as `shown` makes them safe, to standard output or standard error.

    A reader that closes the pipe early (`| head`) is not an error: the rest goes to the null device, so that
    Python's own flush at exit does not fail, and the exit code stays the job's.
    """
    try:
        for line in lines:
            typer.echo(shown(line), err=err)
    except BrokenPipeError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, (sys.stderr if err else sys.stdout).fileno())
        os.close(nowhere)

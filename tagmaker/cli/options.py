"""What the commands share: options, checks of the paths that they are given, and how a command ends.

A path that does not exist is wrong usage: a message on standard error and exit code 2. What is wrong inside
a job is a problem: exit code 1.
"""

import shlex
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer
from msgspec import Struct

from tagmaker.cli.printing import NOT_PRINTED, NotPrinted, print_lines, report_not_printed, shown
from tagmaker.cli.show import problem_lines
from tagmaker.files.plain import are_same, is_folder, is_there
from tagmaker.problems import Problem, at_most_each, has_errors
from tagmaker.workflows.as_json import json_object

__all__ = [
    "AsJson",
    "Boxes",
    "JobPath",
    "Only",
    "PrintedSets",
    "Since",
    "WrongUsage",
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

SCHEDULES = {".csv", ".tsv", ".txt", ".xlsx", ".xlsm", ".xls", ".ods"}
"""Endings of files that hold rows of units, and are no job."""

NAME_SCHEDULE = "name a schedule, .xlsx or CSV"

JobPath = Annotated[
    Path | None, typer.Argument(metavar="JOB", help="The job's folder, or its job.toml.", show_default=False)
]
Boxes = Annotated[
    list[str] | None,
    typer.Option("--box", metavar="TAG", help="Limit checks and output to this box; repeatable."),
]
Only = Annotated[
    list[str] | None,
    typer.Option(
        "--only",
        metavar="BOX/PORT",
        help="Print only the tags of this port, or one tag by its code: BOX/PORT/WHAT[/UNIT]; repeatable.",
    ),
]
Since = Annotated[
    Path | None,
    typer.Option("--since", metavar="PLAN", help="The plan.json of the set now on site."),
]
PrintedSets = Annotated[
    list[Path] | None,
    typer.Option(
        "--since", metavar="PLAN", help="The plan.json of the printed set; repeatable.  [default: JOB-out]"
    ),
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


class WrongUsage(typer.TyperException):
    """A mistake on the command line that is no option's: exit code 2, printed as it is."""

    exit_code = 2

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


def upper(tags: list[str] | None) -> tuple[str, ...]:
    """Tags given as options, in capitals; none where the option is absent."""
    return tuple(tag.upper() for tag in tags or ())


def job_path(job: Path | None) -> Path:
    """The job that a command was given; raises WrongUsage where none is named, or the path is no job."""
    if job is None and is_there(Path("job.toml")):
        raise WrongUsage("no job was named", "the current folder is one: name it with a point, .")
    if job is None:
        raise WrongUsage(BEGIN)
    if not is_there(job):
        raise WrongUsage(f"{job}: no such folder or file", "name a folder that holds job.toml")
    if job.suffix.lower() in SCHEDULES and not is_folder(job):
        if is_there(job.parent / "job.toml"):
            raise WrongUsage(f"{job} is a schedule, not a job", f"name its job's folder: {job.parent}")
        begin = f"make a job of it: tagmaker start NEW-JOB --from {shlex.quote(str(job))} --family NAME"
        raise WrongUsage(f"{job} is a schedule, not a job", begin)
    return job


def existing_schedule(schedule: Path) -> Path:
    """A schedule that exists; raises WrongUsage where it does not, or is a folder."""
    if not is_there(schedule):
        raise WrongUsage(f"{schedule}: no such file", NAME_SCHEDULE)
    if is_folder(schedule):
        raise WrongUsage(f"{schedule} is a folder, not a schedule", NAME_SCHEDULE)
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
    if folder and not prints_all and are_same(folder, out):
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

    Where the result could not be printed 3 takes the place of 0.

    Plain: problems to standard error, `lines` to standard output. As JSON: one object on standard output,
    the fields of `result` and `problems` (None: `problems` alone). Without `errors_count` errors are printed
    and the exit code is that of `is_wrong`.
    """
    found = list(problems)
    code = int((errors_count and has_errors(found)) or is_wrong)
    listed = at_most_each(found)
    try:
        if as_json:
            print_lines([json_object(result, listed)])
        else:
            print_lines((line for each in problem_lines(listed) for line in each.split("\n")), err=True)
            print_lines(lines)
    except NotPrinted as reason:
        report_not_printed(reason, is_done=code == 0)
        raise typer.Exit(code or NOT_PRINTED) from reason
    raise typer.Exit(code)

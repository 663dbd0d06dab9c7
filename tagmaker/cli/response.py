"""The command `response`: a test that finds crossed cables and pipes with the covers shut.

Prints each system with its rounds, and the files. `--json` prints the object of response.json.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, JobPath, end, job_folder, job_path, upper
from tagmaker.cli.show import count, tally

if TYPE_CHECKING:
    from tagmaker.workflows.response import Responded

__all__ = ["response", "response_lines"]


def response(
    job: JobPath = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", metavar="OUT", help="The folder of this test alone; default: the job's, -response."
        ),
    ] = None,
    system: Annotated[str, typer.Option("--system", metavar="TAG", help="Test this system alone.")] = "",
    without: Annotated[
        list[str] | None,
        typer.Option(
            "--without", metavar="UNIT", help="Leave out this unit, whose room must not change; repeatable."
        ),
    ] = None,
    cool_only: Annotated[
        list[str] | None,
        typer.Option("--cool-only", metavar="UNIT", help="Never call this unit to heat; repeatable."),
    ] = None,
    since: Annotated[
        Path | None,
        typer.Option("--since", metavar="FILE", help="Keep the calls of this response.json."),
    ] = None,
    expected: Annotated[
        bool, typer.Option("--expected", metavar="", help="Show on the sheets what is called.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Write a response test: rounds of heat and cool that show which line is crossed with which."""
    from tagmaker.plan.response import Asked
    from tagmaker.workflows import response as workflow

    path = job_path(job)
    asked = Asked(system.upper(), upper(without), upper(cool_only))
    target = out or Path(f"{job_folder(path).resolve().name}-response")
    done = workflow.response(path, target, workflow.ResponseRequest(asked, since, expected))
    end(done.problems, done.outline, response_lines(done), as_json=as_json)


def response_lines(done: "Responded") -> list[str]:
    """Each system with its rounds and what heats, and the files; or that it was refused."""
    if not done.files:
        return [f"{tally(done.problems)}: nothing was written"]
    lines = [f"{done.out}:"]
    lines += [f"  {name}" + (f"  {count(pages, 'page')}" if pages else "") for name, pages in done.files]
    for calls in done.systems:
        name = f"system {calls.system}: " if calls.system else ""
        least, most = min(calls.heat_share), max(calls.heat_share)
        shares = f"{least:.0%} to {most:.0%} of the capacity heats"
        lines.append(f"{name}{count(len(calls.ports), 'port')} in {count(calls.rounds, 'round')}, {shares}")
    return lines

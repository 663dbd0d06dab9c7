"""The command `handover`: one record of a whole site for owner and inspector, as a PDF to be signed.

Prints whether anything is open, each open point, and the file. Exit code 1 where anything is open. `--json`
prints the record.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, JobPath, PrintedSets, end, job_folder, job_path
from tagmaker.cli.readback import printed_sets
from tagmaker.cli.show import count, tally
from tagmaker.files.plain import is_folder

if TYPE_CHECKING:
    from tagmaker.tags.handover import OpenPoint
    from tagmaker.workflows.handover import HandedOver

__all__ = ["handover", "handover_lines"]


def handover(
    job: JobPath = None,
    returned: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="RETURNED",
            help="What came back: all that `readback` takes; default: the job's folder returned.",
            show_default=False,
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", metavar="FILE", help="The record, a PDF; default: the job's, -handover.pdf."
        ),
    ] = None,
    since: PrintedSets = None,
    as_json: AsJson = False,
) -> None:
    """Write one signed record of what was planned, found and proved, with everything open first."""
    from tagmaker.workflows import handover as workflow
    from tagmaker.workflows.returned import RETURNED

    path = job_path(job)
    folder = job_folder(path)
    target = out or Path(f"{folder.resolve().name}-handover.pdf")
    came_back = folder / RETURNED
    files = returned or ([came_back] if is_folder(came_back) else [])
    made = workflow.handover(path, files, printed_sets(path, since))
    done = workflow.write_handover(made, target)
    end(done.problems, done.record, handover_lines(done), as_json=as_json, is_wrong=done.is_open)


def handover_lines(done: "HandedOver") -> list[str]:
    """Whether anything is open, each point with what to do, and the file; or that it was refused."""
    if done.record is None or done.out is None:
        return [f"{tally(done.problems)}: nothing was written"]
    record = done.record
    state = "no open points" if record.complete else f"NOT COMPLETE: {count(len(record.open), 'open point')}"
    lines = [f"{record.job.name}: {state}"]
    for point in record.open:
        lines += _point_lines(point)
    attached = ", ".join(each.name for each in record.attached)
    return [*lines, f"{done.out}: {count(done.pages, 'page')}, with {attached}; not a certificate"]


def _point_lines(point: "OpenPoint") -> list[str]:
    where = " ".join(filter(None, (point.where, point.place)))
    head = f"{where}: {point.what}" if where else point.what
    return [f"  {point.number}. {head}", *([f"      do: {point.to_do}"] if point.to_do else [])]

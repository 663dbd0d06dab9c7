"""The first stages of most commands: read a job → plan it → check the plan."""

from collections.abc import Iterable
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.files.toml import did_you_mean
from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem, Where, error, for_boxes
from tagmaker.revisions.selection import WHOLE, Selection

__all__ = ["Checked", "in_order", "plan"]


class Checked(Struct, frozen=True):
    """A job as planned (None if it cannot be planned) and all its problems, in the order of its files.

    `sheets` are (stock, labels, pages) that printing needs; a page stock has no labels. `part_used` are
    (stock, labels used, labels left) of last sheets that have labels left. `plan` alone fills neither.
    """

    plan: Plan | None
    problems: tuple[Problem, ...]
    sheets: tuple[tuple[str, int, int], ...] = ()
    part_used: tuple[tuple[str, int, int], ...] = ()


def plan(path: Path, selection: Selection = WHOLE) -> Checked:
    """Read and plan a job; boxes and problems limited to the selected boxes."""
    job, problems = read_job(path)
    if job is None:
        return Checked(None, in_order(problems))
    planned, found = plan_job(job)
    boxes = tuple(box for box in planned.boxes if not selection.boxes or box.row.key in selection.boxes)
    reported = for_boxes((*problems, *found), selection.boxes)
    unknown = _unknown(job, planned, selection)
    return Checked(replace(planned, boxes=boxes), in_order((*reported, *unknown)))


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Each problem once, by file and line; those of one place in the order found."""
    once = dict.fromkeys(problems)
    return tuple(sorted(once, key=lambda problem: problem.where.order))


def _unknown(job: Job, planned: Plan, selection: Selection) -> list[Problem]:
    """Boxes and ports named on the command line that the job does not have."""
    boxes = {row.key: row.tag for row in job.boxes}
    ports = {
        f"{box.row.key}/{letter}" for box in planned.boxes for port in box.ports for letter in port.letters
    }
    problems = [
        error("box-unknown", f"the job has no box {tag!r}", Where("--box"), did_you_mean(tag, boxes.values()))
        for tag in selection.boxes
        if tag not in boxes
    ]
    problems += [
        error("port-unknown", f"the job has no port {name!r}", Where("--only"), "write BOX/PORT, like BB-1/C")
        for name in selection.ports
        if name not in ports
    ]
    return problems

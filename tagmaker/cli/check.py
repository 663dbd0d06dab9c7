"""The command `check`: every problem of a job and what can be made of it; writes nothing."""

from typing import TYPE_CHECKING

from tagmaker.cli.options import AsJson, Boxes, JobPath, Since, default_out, end, job_path, upper
from tagmaker.cli.show import count, tally
from tagmaker.problems import has_errors

if TYPE_CHECKING:
    from tagmaker.workflows.planning import Checked

__all__ = ["check", "checked_lines"]


def check(job: JobPath = None, box: Boxes = None, since: Since = None, as_json: AsJson = False) -> None:
    """Report every problem of a job, and write nothing."""
    from tagmaker.revisions.selection import Selection
    from tagmaker.workflows import check as workflow

    path = job_path(job)
    checked = workflow.check(path, Selection(upper(box), since=since), default_out(path))
    end(checked.problems, None, checked_lines(checked), as_json=as_json)


def checked_lines(checked: "Checked") -> list[str]:
    """How many boxes can be made, where there is no error, and how many problems there are."""
    lines = [tally(checked.problems)]
    if has_errors(checked.problems):
        return [*lines, "make writes nothing until the errors are corrected"]
    if checked.plan is None:
        return lines
    can = f"{count(len(checked.plan.boxes), 'box', 'boxes')} can be made"
    return [f"{checked.plan.job.name}: {can}", *lines]

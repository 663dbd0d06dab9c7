"""The command `check`: everything that is wrong with a job."""

from tagmaker.cli.options import (
    AsJson,
    Boxes,
    JobPath,
    Since,
    default_out,
    end,
    job_path,
    upper,
)

__all__ = ["check"]


def check(job: JobPath = None, box: Boxes = None, since: Since = None, as_json: AsJson = False) -> None:
    """Say everything that is wrong with a job, and write nothing."""
    from tagmaker.cli.show import checked_lines  # noqa: PLC0415
    from tagmaker.revisions.selection import Selection  # noqa: PLC0415
    from tagmaker.workflows import check as workflow  # noqa: PLC0415 — heavy, and `--help` needs none of it

    path = job_path(job)
    checked = workflow.check(path, Selection(upper(box), since=since), default_out(path))
    end(checked.problems, {}, checked_lines(checked), as_json=as_json)

"""The command `switches`: every board's switches and the port loads."""

from tagmaker.cli.options import (
    AsJson,
    Boxes,
    JobPath,
    end,
    job_path,
    upper,
)

__all__ = ["switches"]


def switches(job: JobPath = None, box: Boxes = None, as_json: AsJson = False) -> None:
    """Show every board's switches, with the reason for each that is ON, and the port loads."""
    import msgspec  # noqa: PLC0415

    from tagmaker.cli.show import switch_lines  # noqa: PLC0415
    from tagmaker.plan.outline import outlines  # noqa: PLC0415
    from tagmaker.revisions.selection import Selection  # noqa: PLC0415
    from tagmaker.workflows import switches as workflow  # noqa: PLC0415 — heavy, and `--help` needs none of it

    checked = workflow.switches(job_path(job), Selection(upper(box)))
    boxes = msgspec.to_builtins(outlines(checked.plan)) if checked.plan else []
    end(checked.problems, {"boxes": boxes}, switch_lines(checked), as_json=as_json)

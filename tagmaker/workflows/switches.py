"""The stages of `switches`: read → plan → check; every board's switches and the port loads."""

from pathlib import Path

from tagmaker.revisions.selection import WHOLE, Selection
from tagmaker.workflows.planning import Checked, plan

__all__ = ["switches"]


def switches(path: Path, selection: Selection = WHOLE) -> Checked:
    """The job as planned, limited to the selected boxes; nothing is laid out."""
    return plan(path, selection)

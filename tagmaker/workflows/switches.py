"""The stages of `switches`: read → plan → check; nothing is laid out and nothing is written."""

from pathlib import Path

from msgspec import Struct

from tagmaker.plan.model import Plan
from tagmaker.plan.outline import BoxOutline, outlines
from tagmaker.problems import Problem
from tagmaker.revisions.selection import WHOLE, Selection
from tagmaker.workflows.planning import plan

__all__ = ["Switches", "SwitchesOutline", "switches"]


class SwitchesOutline(Struct, frozen=True):
    """What `switches --json` prints beside the problems: the selected boxes in the job's order."""

    boxes: tuple[BoxOutline, ...]


class Switches(Struct, frozen=True):
    """The planned boxes with every switch and port; `plan` is None for a job that cannot be read."""

    plan: Plan | None
    problems: tuple[Problem, ...]

    @property
    def outline(self) -> SwitchesOutline:
        """The same as a record of the JSON keys."""
        return SwitchesOutline(outlines(self.plan) if self.plan else ())


def switches(path: Path, selection: Selection = WHOLE) -> Switches:
    """Plan a job, limited to the selected boxes; what has errors is still planned as far as it goes."""
    checked = plan(path, selection)
    return Switches(checked.plan, checked.problems)

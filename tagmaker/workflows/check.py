"""The stages of `check`: read → plan → check → lay out → compare with the earlier set; nothing is written.

The same stages as those of `make`, without ink: what `check` accepts, `make` makes, unless a code does not
read back or the output folder is refused.
"""

from pathlib import Path

from msgspec.structs import replace

from tagmaker.revisions.plan_file import read_whole_set
from tagmaker.revisions.selection import WHOLE, Selection
from tagmaker.workflows.layout import lay_out, unrevised, with_baseline
from tagmaker.workflows.planning import Checked, plan

__all__ = ["check"]


def check(path: Path, selection: Selection = WHOLE, beside: Path | None = None) -> Checked:
    """The plan, and every problem that `make` would report before it draws.

    The job is compared with the set that `selection.since` names, else with the one in the folder `beside`
    where there is one: a job that differs from it needs a new revision.
    """
    selection, problems = with_baseline(replace(selection, prints_all=True, has_marks=False))
    checked, laid_out = lay_out(plan(path, selection), selection, lambda _done, _of: None, inks=None)
    if laid_out and beside and not selection.baseline:
        problems += unrevised(laid_out, read_whole_set(beside))
    return replace(checked, problems=(*checked.problems, *problems))

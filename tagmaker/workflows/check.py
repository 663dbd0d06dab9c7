"""The stages of `check`: read → plan → check → lay out; nothing is written."""

from pathlib import Path

from msgspec.structs import replace

from tagmaker.catalog.words import load_words
from tagmaker.revisions.plan_file import read_plan_file
from tagmaker.revisions.selection import WHOLE, Selection
from tagmaker.workflows.layout import lay_out, unrevised, with_baseline
from tagmaker.workflows.planning import Checked, plan

__all__ = ["check"]


def check(path: Path, selection: Selection = WHOLE, beside: Path | None = None) -> Checked:
    """Everything that `make` would stop at.

    The job is compared with the set of `selection.since`, else with that in the folder `beside`, if one is
    there.
    """
    selection, problems = with_baseline(replace(selection, prints_all=True))
    checked, laid_out = lay_out(
        plan(path, selection), selection, load_words(), lambda _done, _of: None, inks=False
    )
    if laid_out and beside and not selection.baseline:
        problems += unrevised(laid_out, read_plan_file(beside))
    return replace(checked, problems=(*checked.problems, *problems))

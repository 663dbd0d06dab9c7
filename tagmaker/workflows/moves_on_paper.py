"""Whether the paper of moved units fits: labels, placards and sheets of the boxes that differ, laid out.

Takes a kept plan with moves; gives the problems of the layout that the moves add and remove. Slower than
planning by a box's paper each, so that a page asks for it after it has shown the rest.
"""

from collections.abc import Iterable

from msgspec import Struct

from tagmaker.catalog.words import load_words
from tagmaker.problems import Problem
from tagmaker.revisions.selection import WHOLE
from tagmaker.sheets.box import LabelWay, fit_box
from tagmaker.sheets.label_needs import Widest, widest_of
from tagmaker.workflows.kept_plan import KeptPlan
from tagmaker.workflows.planning import in_order

__all__ = ["BOXES_AT_MOST", "OnPaper", "moves_on_paper"]

BOXES_AT_MOST = 12
"""Boxes that are laid out, before and after: a second's work."""


class OnPaper(Struct, frozen=True):
    """Problems of the layout that the moves add and remove; `left_out` are keys of boxes not laid out."""

    new: tuple[Problem, ...]
    gone: tuple[Problem, ...]
    left_out: tuple[str, ...] = ()


def moves_on_paper(after: KeptPlan) -> OnPaper:
    """The boxes that differ, laid out as they are and with the moves; nothing where a stock is unknown."""
    before = after.before
    if before is None or not after.job.prints.is_whole:
        return OnPaper((), ())
    keys, left_out = after.touched[:BOXES_AT_MOST], after.touched[BOXES_AT_MOST:]
    job = after.job  # its boxes and units have the same tags before and after
    widest = widest_of((box.shown for box in job.boxes), (unit.tag for unit in job.units))
    was, now = (dict.fromkeys(_fitted(each, keys, widest)) for each in (before, after))
    return OnPaper(
        in_order(problem for problem in now if problem not in was),
        in_order(problem for problem in was if problem not in now),
        left_out,
    )


def _fitted(kept: KeptPlan, keys: Iterable[str], widest: Widest) -> list[Problem]:
    """The problems of everything that these boxes print."""
    words = load_words()
    boxes, way = (box for key in keys if (box := kept.box(key))), LabelWay(widest)
    return [problem for box in boxes for problem in fit_box(kept.job, box, words, WHOLE, way)[1]]

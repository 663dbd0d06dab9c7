"""Fit boxes to labels and sheets, on all cores where there are many boxes.

What comes back is the same, byte for byte, as what one process makes. Ink (PDF operators) passes
between processes: marks take longer to send than to make, and a campus of them is a gigabyte.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.draw.ink import drawn
from tagmaker.draw.marks import Mark, Page, Text, flat
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.box import FittedBox, fit_box
from tagmaker.sheets.label import NO_WIDEST
from tagmaker.sheets.label_needs import Widest
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.cores import on_cores

__all__ = ["Fitter", "fit_boxes"]

SECONDS = 0.02  # that a box takes
AT_ONCE = 4  # boxes that a process fits before it sends them
Fitted = tuple[FittedBox, list[Problem]]


class Fitter(Struct, frozen=True):
    """All that fitting a box needs beside the box; the widest texts of the job decide sizes.

    `inks` has its pages and labels as ink; where the selection wants no marks, pages keep what checks read.
    """

    job: Job
    words: Words
    selection: Selection
    inks: bool = True
    widest: Widest = NO_WIDEST

    def fit(self, box: BoxPlan) -> Fitted:
        """One box fitted, with its problems; ink takes less memory than marks."""
        fitted, problems = fit_box(self.job, box, self.words, self.selection, self.widest)
        if not self.selection.has_marks:
            placard, walk = map(_read_pages, (fitted.placard, fitted.walk))
            return replace(fitted, placard=placard, walk=walk), problems
        if not self.inks:
            return fitted, problems
        labels = tuple(replace(each, marks=drawn(each.marks, all_faces())) for each in fitted.labels)
        placard, walk = _drawn_pages(fitted.placard), _drawn_pages(fitted.walk)
        return replace(fitted, labels=labels, placard=placard, walk=walk), problems


def _drawn_pages(pages: Sequence[Page]) -> tuple[Page, ...]:
    return tuple(replace(page, marks=drawn(page.marks, all_faces())) for page in pages)


def _read_pages(pages: Sequence[Page]) -> tuple[Page, ...]:
    """Pages with the texts alone whose heights are checked."""
    return tuple(
        replace(page, marks=tuple(each for each in flat(page.marks) if _is_checked(each))) for page in pages
    )


def _is_checked(mark: Mark) -> bool:
    return isinstance(mark, Text) and mark.role == "main"


def fit_boxes(
    fitter: Fitter, boxes: Sequence[BoxPlan], progress: Callable[[int, int], None]
) -> Iterator[Fitted]:
    """Every box fitted, in order, with `progress(done, of)` called as boxes are done."""
    is_small = fitter.inks or not fitter.selection.has_marks  # marks take longer to send than to make
    starts = range(0, len(boxes), AT_ONCE if is_small else 1)
    seconds = SECONDS * len(boxes) if is_small else 0
    done = 0
    for sent in on_cores(_Part(fitter, boxes, starts.step), starts, seconds):
        for *parts, problems in sent:
            yield FittedBox(boxes[done], *parts), problems
            done += 1
            progress(done, len(boxes))


class _Part(Struct, frozen=True):
    """Fits a few boxes from one on; a box itself is not sent back."""

    fitter: Fitter
    boxes: Sequence[BoxPlan]
    count: int

    def __call__(self, start: int) -> list[tuple[Any, ...]]:
        """What is to be sent of each box: the fields of a fitted box after the first, and its problems."""
        sent = []
        for box in self.boxes[start : start + self.count]:
            fitted, problems = self.fitter.fit(box)
            sent.append((fitted.issued, fitted.labels, fitted.placard, fitted.walk, fitted.bands, problems))
        return sent

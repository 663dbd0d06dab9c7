"""Fit boxes to labels and sheets, on all cores where there are many boxes.

What comes back is the same, byte for byte, as what one process makes. Ink (PDF operators) passes
between processes: marks take longer to send than to make, and a campus of them is a gigabyte.
"""

from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.draw.ink import drawn
from tagmaker.draw.marks import Mark, Page, Text, flat
from tagmaker.files.packed import pack
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.band_sheets import Band
from tagmaker.sheets.box import LabelWay, fit_box
from tagmaker.sheets.label import NO_WIDEST, FittedLabel
from tagmaker.sheets.label_needs import Widest
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.cores import on_cores

__all__ = ["Fitter", "SentBox", "Wanted", "fit_boxes"]

SECONDS = 0.02  # that a box takes
AT_ONCE = 4  # boxes that a process fits before it sends them
Fitted = tuple["SentBox", list[Problem]]


class SentBox(Struct, frozen=True):
    """A fitted box as it passes between processes: its labels, its bands, the rest packed.

    `issued` is its records, `placard` and `walk` its pages, each by itself. `checked` is the first page of
    its placard with the texts alone whose heights are checked.
    """

    issued: bytes
    labels: tuple[FittedLabel, ...]
    placard: tuple[bytes, ...]
    walk: tuple[bytes, ...]
    bands: tuple[Band, ...]
    checked: tuple[Page, ...]


class Wanted(Struct, frozen=True):
    """What is kept of marks: ink with `inks`, else the marks; nothing without `has_marks`."""

    inks: bool
    has_marks: bool

    def marks(self, marks: tuple[Mark, ...]) -> tuple[Mark, ...]:
        """These marks as they are kept."""
        if not self.has_marks:
            return ()
        return drawn(marks, all_faces()) if self.inks else marks

    def page(self, page: Page) -> bytes:
        """A page as it waits, packed."""
        return pack(replace(page, marks=self.marks(page.marks)))


class Fitter(Struct, frozen=True):
    """All that fitting a box needs beside the box; the widest texts of the job decide sizes.

    `inks` has its pages and labels as ink; where the selection wants no marks, its pages have none.
    """

    job: Job
    words: Words
    selection: Selection
    inks: bool = True
    widest: Widest = NO_WIDEST

    def fit(self, box: BoxPlan) -> Fitted:
        """One box fitted, with its problems."""
        wanted = Wanted(self.inks, self.selection.has_marks)
        way = LabelWay(self.widest, self.inks)
        fitted, problems = fit_box(self.job, box, self.words, self.selection, way)
        sent = SentBox(
            issued=pack(fitted.issued),
            labels=fitted.labels,
            placard=tuple(map(wanted.page, fitted.placard)),
            walk=tuple(map(wanted.page, fitted.walk)),
            bands=fitted.bands,
            checked=tuple(map(_checked, fitted.placard[:1])),
        )
        return sent, problems


def _checked(page: Page) -> Page:
    marks = (mark for mark in flat(page.marks) if isinstance(mark, Text) and mark.role == "main")
    return replace(page, marks=tuple(marks))


def fit_boxes(
    fitter: Fitter, boxes: Sequence[BoxPlan], progress: Callable[[int, int], None]
) -> Iterator[Fitted]:
    """Every box fitted, in order, with `progress(done, of)` called as boxes are done."""
    is_small = fitter.inks or not fitter.selection.has_marks  # marks take longer to send than to make
    starts = range(0, len(boxes), AT_ONCE if is_small else 1)
    seconds = SECONDS * len(boxes) if is_small else 0
    done = 0
    for sent in on_cores(_Part(fitter, boxes, starts.step), starts, seconds):
        for fitted in sent:
            yield fitted
            done += 1
            progress(done, len(boxes))


class _Part(Struct, frozen=True):
    """Fits a few boxes from one on."""

    fitter: Fitter
    boxes: Sequence[BoxPlan]
    count: int

    def __call__(self, start: int) -> list[Fitted]:
        """Each box fitted, with its problems."""
        return list(map(self.fitter.fit, self.boxes[start : start + self.count]))

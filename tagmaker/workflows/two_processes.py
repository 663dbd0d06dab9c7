"""Boxes laid out on two cores: a forked process takes half of them and sends them back as ink.

What comes back is the same as what one core makes, byte for byte. Operators pass between the two, not marks:
those take longer to send than to make.
"""

import os
import pickle
from collections.abc import Callable, Iterator, Sequence
from typing import IO

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.draw.fonts import numbered
from tagmaker.draw.ink import drawn
from tagmaker.draw.marks import Page
from tagmaker.files.write import scratch_file
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.box import FittedBox, fit_box
from tagmaker.typeset.fonts import all_faces

__all__ = ["Fitter", "fit_on_two_cores"]

MANY = 16  # boxes for which a second process pays: 1.09 s become 0.83 s, 2.53 s of 50 boxes 1.82 s
SHARE = 0.5  # of the boxes that the second process takes
Fitted = tuple[FittedBox, list[Problem]]


class Fitter(Struct, frozen=True):
    """All that laying out a box asks for beside the box; `inks` where it is to be printed."""

    job: Job
    words: Words
    selection: Selection
    inks: bool = True

    def fit(self, box: BoxPlan) -> Fitted:
        """A box as ink, which takes a quarter of the room of marks, or as marks where nothing is printed."""
        fitted, problems = fit_box(self.job, box, self.words, self.selection)
        if not self.inks:
            return fitted, problems
        labels = tuple(replace(each, marks=drawn(each.marks, all_faces())) for each in fitted.labels)
        placard, walk = _drawn_pages(fitted.placard), _drawn_pages(fitted.walk)
        return replace(fitted, labels=labels, placard=placard, walk=walk), problems


def _drawn_pages(pages: Sequence[Page]) -> tuple[Page, ...]:
    return tuple(replace(page, marks=drawn(page.marks, all_faces())) for page in pages)


def fit_on_two_cores(
    fitter: Fitter, boxes: Sequence[BoxPlan], progress: Callable[[int, int], None]
) -> Iterator[Fitted]:
    """Every box in order; where there is no second core, or it fails, one does it all."""
    half = len(boxes) - int(len(boxes) * SHARE)
    second = _Second(fitter, boxes[half:]) if fitter.inks and len(boxes) >= MANY and _cores() > 1 else None
    for number, box in enumerate(boxes[:half], start=1):
        yield fitter.fit(box)
        progress(min(2 * number, len(boxes)) if second else number, len(boxes))
    done = half
    for fitted in second.results() if second else ():
        yield fitted
        done += 1
    for number, box in enumerate(boxes[done:], start=done + 1):
        yield fitter.fit(box)
        progress(number, len(boxes))


def _cores() -> int:
    """The cores that this process may use; one where a process cannot be forked."""
    if not hasattr(os, "fork"):
        return 1
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class _Second:
    """The forked process and the file that it writes: boxes one after the other."""

    def __init__(self, fitter: Fitter, boxes: Sequence[BoxPlan]) -> None:
        self.boxes = boxes
        for face in all_faces():
            numbered(face)  # once, for both processes
        self.file: IO[bytes] = scratch_file()  # closed when its results are read
        self.process = os.fork()
        if self.process == 0:
            self._work(fitter, boxes)

    def _work(self, fitter: Fitter, boxes: Sequence[BoxPlan]) -> None:
        """The forked process: it writes its boxes and ends, whatever happens, without a word."""
        status = 1
        try:
            for box in boxes:
                fitted, problems = fitter.fit(box)
                sent = (fitted.issued, fitted.labels, fitted.placard, fitted.walk, fitted.bands, problems)
                pickle.dump(sent, self.file, pickle.HIGHEST_PROTOCOL)
            self.file.flush()
            status = 0
        finally:
            os._exit(status)

    def results(self) -> Iterator[Fitted]:
        """What the process made, when it has ended; what it did not make is left to the caller."""
        os.waitpid(self.process, 0)
        self.file.seek(0)
        with self.file:
            for box in self.boxes:
                try:
                    *sent, problems = pickle.load(self.file)  # noqa: S301 — written by the process itself
                except (EOFError, pickle.UnpicklingError):
                    return
                yield FittedBox(box, *sent), problems

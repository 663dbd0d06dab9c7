"""What the paper's pages keep while a desk runs: facts of jobs, layouts, tried stocks; each by its digest.

Small jobs are laid out while the page waits; large ones by a process of their own, so that the desk stays
quick and small.
"""

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any, Generic, TypeVar
from weakref import WeakKeyDictionary

from tagmaker.catalog.stock import Use
from tagmaker.desk.state import Desk, DeskJob
from tagmaker.desk.works import Work
from tagmaker.revisions.selection import WHOLE, Selection
from tagmaker.workflows.paper import Paper, paper
from tagmaker.workflows.preview import Preview, Previews, lay_out_preview, preview_key
from tagmaker.workflows.stock_choice import StockChoice, stock_choice

__all__ = ["PaperState", "paper_state"]

LAID_OUT_AT_ONCE = 15  # boxes: 0.4 s; with more, two processes share the work
FACTS_KEPT, CHOICES_KEPT = 4, 12
Kept = TypeVar("Kept")


class _Few(Generic[Kept]):
    """The last few things by their keys."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: dict[str, Kept] = {}
        self._lock = threading.Lock()

    def find(self, key: str) -> Kept | None:
        with self._lock:
            return self._kept.get(key)

    def keep(self, key: str, thing: Kept) -> None:
        with self._lock:
            self._kept[key] = thing
            for old in list(self._kept)[: -self.most]:
                del self._kept[old]


class PaperState:
    """All that the paper's pages of one desk keep."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.previews = Previews(desk.received)
        self._facts: _Few[Paper] = _Few(FACTS_KEPT)
        self._choices: _Few[StockChoice] = _Few(CHOICES_KEPT)
        self._running: dict[tuple[str, str], dict[str, Work]] = {}
        self._lock = threading.Lock()

    def seen(self, job: DeskJob) -> str:
        """A digest of all files that a job is read from, as they are now."""
        return preview_key(job.folder, WHOLE)

    def facts(self, job: DeskJob) -> Paper:
        """What the paper of a job is chosen from."""
        key = self.seen(job)
        found = self._facts.find(key)
        if found is None:
            found = paper(job.folder)
            self._facts.keep(key, found)
        return found

    def preview(self, job: DeskJob, selection: Selection, out: Path) -> tuple[str, Preview | Work]:
        """A selection as laid out, under its key; or the work that lays it out."""
        key = preview_key(job.folder, selection, out)
        if found := self.previews.find(key):
            return key, found
        boxes = len(selection.boxes) or len(self.facts(job).boxes)
        file = self.previews.file(key)
        if boxes <= LAID_OUT_AT_ONCE and not selection.weighed_in:  # files of any size are read for that
            with self._lock:  # a page and its reload ask for the same
                found = self.previews.find(key) or lay_out_preview(job.folder, selection, out, file)
                self.previews.keep(key, found)
            return key, found
        return key, self._worked(
            (job, "preview", key), self.previews.keep, lay_out_preview, job.folder, selection, out, file
        )

    def choice(self, job: DeskJob, use: Use) -> StockChoice | Work:
        """The stocks of a use tried on a job; or the work that tries them."""
        key = f"{use} {self.seen(job)}"
        return self._choices.find(key) or self._worked(
            (job, "stocks", key), self._choices.keep, stock_choice, job.folder, use
        )

    def _worked(
        self, what: tuple[DeskJob, str, str], keep: Callable[[str, Any], None], function: Any, *given: Any
    ) -> Any:
        """The result of a work, which is then kept; until it is done the work, begun where it is not.

        Two windows may wait for different works of a kind; with a third the first one is stopped.
        """
        job, kind, key = what
        with self._lock:
            running = self._running.setdefault((job.id, kind), {})
            if key in running and running[key].state in {"stopped", "failed"}:
                ended = running.pop(key)
                if ended.state == "failed":  # shown once; asked for again it is tried again
                    return ended
            if key not in running:
                for old in list(running)[:-1]:  # one other goes on
                    self.desk.works.stop(running.pop(old).number)
                work = self.desk.works.start(job.id, f"{kind} {key}", function, *given)
                if work is None:
                    raise RuntimeError(f"a work of {kind} was begun elsewhere")
                running[key] = work
            work = running[key]
            if work.state != "done":
                return work
            keep(key, running.pop(key).result)
            return work.result


_STATES: "WeakKeyDictionary[Desk, PaperState]" = WeakKeyDictionary()
_FIRST = threading.Lock()


def paper_state(desk: Desk) -> PaperState:
    """The state of a desk's paper, made when it is first asked for."""
    with _FIRST:
        if desk not in _STATES:
            _STATES[desk] = PaperState(desk)
        return _STATES[desk]

"""A job as understood, kept for as long as none of its files changes: a page is asked for window by window.

One job is kept, the one that was looked at last: a large one takes seconds to read, and much memory.
"""

import threading
from pathlib import Path

from tagmaker.workflows.kept_plan import job_marks
from tagmaker.workflows.questions import Understanding, understand_job

__all__ = ["LastUnderstood"]

Marks = dict[str, tuple[int, int, int]]


class LastUnderstood:
    """The job that was understood last, by its folder and by what its files looked like then."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._last: tuple[Path, Marks, Understanding] | None = None

    def of(self, folder: Path) -> Understanding:
        """The job in a folder as it is on disk now."""
        with self._lock:  # a second request waits for the first one's result
            marks = job_marks(folder)
            if self._last is None or self._last[:2] != (folder, marks):
                self._last = None  # its memory is free before the next is read
                self._last = (folder, marks, understand_job(folder))
            return self._last[2]

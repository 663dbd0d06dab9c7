"""What came back to each job as it was read last, and the work that reads it again when a file changes."""

import threading
from pathlib import Path

from msgspec import Struct

from tagmaker.desk.works import Work, Works
from tagmaker.files.received import new_place
from tagmaker.workflows.returned import returned_digest
from tagmaker.workflows.returned_read import ReturnedOutline, read_returned

__all__ = ["SiteRead", "SiteReads"]


class SiteRead(Struct, frozen=True):
    """What the page shows: the last result, None before the first, and the state of the reading.

    `out` is the folder of its punch list; `is_old` where the files changed since.
    """

    result: ReturnedOutline | None
    out: Path | None
    work: Work
    is_old: bool


class _Begun(Struct):
    """A reading: of which files, its work, and where it writes."""

    digest: str
    work: Work
    out: Path


class SiteReads:
    """The last whole reading of each job, and the one that goes on.

    `keeping` is held by whoever adds files: each looks at what is there.
    """

    def __init__(self, works: Works, received: Path, root: Path) -> None:
        self._works, self._received, self._root = works, received, root
        self.keeping = threading.Lock()
        self._lock = threading.Lock()
        self._now: dict[str, _Begun] = {}
        self._done: dict[str, _Begun] = {}

    def of(self, job: str, folder: Path) -> SiteRead:
        """A job as it was read; begins a reading where a file changed and none goes on."""
        digest = returned_digest(folder)
        with self._lock:
            now = self._taken(job)
            if now is None or (now.digest != digest and now.work.state != "running"):
                now = self._begin(job, folder, digest)
            done = self._done.get(job)
        result = done.work.result if done else None
        is_old = done is None or done.digest != digest
        return SiteRead(result, done.out if done else None, now.work, is_old)

    def again(self, job: str) -> None:
        """Have a reading that failed begun again by whoever asks for it next."""
        with self._lock:
            now = self._now.get(job)
            if now and now.work.state in {"failed", "stopped"}:
                del self._now[job]

    def _taken(self, job: str) -> _Begun | None:
        """The reading that was begun last; one that is done takes the place of the last result."""
        now = self._now.get(job)
        if now and now.work.state == "done":
            self._done[job] = now
        return now

    def _begin(self, job: str, folder: Path, digest: str) -> _Begun:
        out = new_place(self._received).folder
        work = self._works.start(job, "readback", read_returned, folder, self._root, out)
        if work is None:  # another goes on, whose end sends an event
            return self._now[job]
        self._now[job] = _Begun(digest, work, out)
        return self._now[job]

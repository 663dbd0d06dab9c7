"""The handover record of each job as it was made last, and the work that makes one."""

import threading
from pathlib import Path

from msgspec import Struct

from tagmaker.desk.works import Work, Works
from tagmaker.files.received import new_place
from tagmaker.workflows.handover_made import HandoverMade, handover_digest, make_handover

__all__ = ["HandoverWork", "Handovers"]


class HandoverWork(Struct, frozen=True):
    """A record that is being made or was: its work, the folder of its files.

    `is_old` where the job, what came back or a set changed since it was begun.
    """

    work: Work
    out: Path
    is_old: bool

    @property
    def made(self) -> HandoverMade | None:
        """The record, once it is made."""
        result: HandoverMade | None = self.work.result
        return result


class _Begun(Struct, frozen=True):
    """A record that was begun: of which files, its work, and where it writes."""

    digest: str
    work: Work
    out: Path


class Handovers:
    """The last record of each job."""

    def __init__(self, works: Works, received: Path, root: Path) -> None:
        self._works, self._received, self._root = works, received, root
        self._lock = threading.Lock()
        self._begun: dict[str, _Begun] = {}

    def of(self, job: str, folder: Path) -> HandoverWork | None:
        """A job's record as it is now; None where none was begun since the desk was started."""
        begun = self._begun.get(job)
        if begun is None:
            return None
        return HandoverWork(begun.work, begun.out, handover_digest(folder, self._root) != begun.digest)

    def begin(self, job: str, folder: Path) -> None:
        """Begin a record; one that is being made goes on."""
        digest = handover_digest(folder, self._root)
        out = new_place(self._received).folder
        with self._lock:
            work = self._works.start(job, "handover", make_handover, folder, self._root, out)
            if work:
                self._begun[job] = _Begun(digest, work, out)

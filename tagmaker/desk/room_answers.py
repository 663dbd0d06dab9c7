"""Answers to where one more unit can go: of a large job each is a work in a process of its own.

An answer is kept until a file of the job changes; a page that asks again gets the same work.
"""

import hashlib
import threading
from collections import OrderedDict
from pathlib import Path

from tagmaker.desk.works import Work, Works
from tagmaker.workflows.returned import job_digest
from tagmaker.workflows.room import RoomFor
from tagmaker.workflows.room_shown import RoomShown, room_shown

__all__ = ["BOXES_AT_ONCE", "RoomAnswers"]

BOXES_AT_ONCE = 60
"""Boxes of a job that are asked in the request: a process takes longer to start than these take."""
KEPT = 20


class RoomAnswers:
    """The works of the last questions; from any thread."""

    def __init__(self, works: Works) -> None:
        self._works = works
        self._lock = threading.Lock()
        self._asked: OrderedDict[str, Work] = OrderedDict()

    def of(self, job: str, folder: Path, asked: RoomFor, boxes: int) -> RoomShown | Work:
        """The answer; of a large job the work that looks for it, begun where none was or one failed."""
        if boxes <= BOXES_AT_ONCE:
            return room_shown(folder, asked)
        key = hashlib.sha256(f"{job} {job_digest(folder)} {asked!r}".encode()).hexdigest()[:16]
        with self._lock:
            work = self._asked.pop(key, None)
            if work is None or work.state in {"failed", "stopped"}:
                work = self._works.start(job, f"room {key}", room_shown, folder, asked)
            if work is None:
                raise RuntimeError("a work of this question is running, and is not known")
            self._asked[key] = work
            while len(self._asked) > KEPT:
                self._asked.popitem(last=False)
        return work

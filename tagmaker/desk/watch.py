"""The files of the jobs whose pages are open, looked at again and again, so that a save shows at once.

Asking the system for each change would need another way on every system; a look at a job's files takes less
than a millisecond.
"""

import threading

from tagmaker.desk.state import Desk
from tagmaker.workflows.kept_plan import job_marks

__all__ = ["watching"]

LOOK_SECONDS = 0.3


def watching(desk: Desk, is_over: threading.Event) -> None:
    """Send `changed` with the names of a job's changed files to its pages; a thread of its own."""
    kept: dict[str, dict[str, tuple[int, int, int]]] = {}
    while not is_over.wait(LOOK_SECONDS):
        watched = desk.events.watched() - {""}
        kept = {job: marks for job, marks in kept.items() if job in watched}
        for job in watched:
            if (found := desk.job(job)) is None:
                continue
            marks = job_marks(found.folder)
            before = kept.get(job) or desk.marks.get(job, marks)
            kept[job] = marks
            names = sorted(name for name in before | marks if before.get(name) != marks.get(name))
            if names:
                desk.events.send(job, "changed", names)

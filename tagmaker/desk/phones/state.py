"""What the phones' door knows of each open job while it runs: its plan, entries, check of tags and walk page.

All of it is made again when a file of the job changes; entries are read from the phones' files then.
"""

import threading
from pathlib import Path

from msgspec import Struct
from starlette.exceptions import HTTPException
from starlette.requests import Request

from tagmaker.desk.phones.devices import Devices
from tagmaker.desk.phones.door import device_of
from tagmaker.desk.phones.photos import PhotoReaders
from tagmaker.desk.phones.rates import Rates
from tagmaker.desk.state import Desk
from tagmaker.plan.model import Plan
from tagmaker.workflows.check_tags import TagCheck
from tagmaker.workflows.phone_marks import Marks
from tagmaker.workflows.phone_response import PhoneTest, response_marks, tests_of
from tagmaker.workflows.phone_walk import WalkPage, page_in_phone, walk_marks
from tagmaker.workflows.planning import plan
from tagmaker.workflows.returned import RETURNED, job_digest

__all__ = ["Open", "OpenJob", "open_job_of", "open_of"]

WALK_SCRIPTS = ("/static/sync.js", "/static/walk-sync.js")


class OpenJob(Struct, frozen=True):
    """An open job as it is now; `digest` changes with any of its files."""

    id: str
    folder: Path
    digest: str
    plan: Plan
    walk: Marks
    page: WalkPage
    tests: tuple[PhoneTest, ...]
    readings: Marks


class Open:
    """All open jobs of a desk, and the limits that all phones share."""

    def __init__(self, desk: Desk, devices: Devices, wrong: Rates) -> None:
        self.desk, self.devices, self.wrong = desk, devices, wrong
        self.photos = PhotoReaders()
        self._lock = threading.Lock()
        self._jobs: dict[str, OpenJob] = {}
        self._checks: dict[str, TagCheck] = {}

    def folder(self, job: str) -> Path | None:
        """The folder of a job of the desk; None where it was moved or removed."""
        found = self.desk.job(job)
        return found.folder if found else None

    def job(self, job: str) -> OpenJob | None:
        """A job as it is now; None where it cannot be planned, or does not exist."""
        folder = self.folder(job)
        if folder is None:
            return None
        digest = job_digest(folder)
        with self._lock:  # a second phone waits for the first one's result
            known = self._jobs.get(job)
            if known is None or known.digest != digest:
                checked = plan(folder)
                if checked.plan is None:
                    self._jobs.pop(job, None)
                    return None
                self._jobs[job] = _opened(job, folder, digest, checked.plan)
            return self._jobs[job]

    def check(self, job: str) -> TagCheck | None:
        """The check of tags of a job, whether or not it can be planned."""
        folder = self.folder(job)
        if folder is None:
            return None
        with self._lock:
            return self._checks.setdefault(job, TagCheck(folder))

    def title(self, job: str) -> str:
        """What a job is called on its phones."""
        found = self.job(job)
        below = self.desk.job(job)
        return found.plan.job.title if found else below.below if below else ""

    def close(self, job: str) -> None:
        """Let a job's state go."""
        with self._lock:
            self._jobs.pop(job, None)
            self._checks.pop(job, None)


def _opened(job: str, folder: Path, digest: str, planned: Plan) -> OpenJob:
    tests = tests_of(planned, folder / RETURNED)
    return OpenJob(
        job,
        folder,
        digest,
        planned,
        Marks(folder, walk_marks(planned)),
        page_in_phone(planned, WALK_SCRIPTS),
        tests,
        Marks(folder, response_marks(tests)),
    )


def open_of(request: Request) -> Open:
    """The open jobs of the door that a request came to."""
    found: Open = request.app.state.open
    return found


def open_job_of(request: Request) -> OpenJob:
    """The one job of the phone that asks; answers 409 where it cannot be planned now."""
    job = open_of(request).job(device_of(request).job)
    if job is None:
        raise HTTPException(409, "The job has errors now: the desk shows them. What you entered stays here.")
    return job

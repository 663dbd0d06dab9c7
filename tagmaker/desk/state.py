"""What a desk knows while it runs: its folder, the jobs below it, open pages, works, received files."""

import hashlib
from pathlib import Path

from msgspec import Struct
from starlette.exceptions import HTTPException
from starlette.requests import Request

from tagmaker.desk.events import Events
from tagmaker.desk.handovers import Handovers
from tagmaker.desk.live_scans import LiveScans
from tagmaker.desk.site_reads import SiteReads
from tagmaker.desk.understood import LastUnderstood
from tagmaker.desk.works import Works
from tagmaker.files.jobs_below import jobs_below
from tagmaker.files.plain import is_folder
from tagmaker.workflows.kept_plan import job_marks

__all__ = ["Desk", "DeskJob", "desk_of", "job_of"]

ID_DIGITS = 12


class DeskJob(Struct, frozen=True):
    """A job as addresses name it: an id in place of a path, so that no address can lead out of the folder."""

    id: str
    folder: Path
    below: str

    @property
    def path(self) -> str:
        """The beginning of its pages' addresses."""
        return f"/job/{self.id}"


class Desk:
    """A running desk; all pages share it."""

    def __init__(self, folder: Path, received: Path) -> None:
        self.folder = folder.resolve()
        self.received = received
        self.events = Events()
        self.works = Works(self.events)
        self.understood = LastUnderstood()
        self.site_reads = SiteReads(self.works, received, self.folder)
        self.handovers = Handovers(self.works, received, self.folder)
        self.live_scans = LiveScans()
        self.marks: dict[str, dict[str, tuple[int, int, int]]] = {}
        """The files of jobs as they were before their last page was made: a change since then is sent."""
        self._jobs: dict[str, DeskJob] = {}

    def jobs(self) -> list[DeskJob]:
        """The jobs below the folder as they are now, by their paths."""
        found = [self._named(folder) for folder in jobs_below(self.folder)]
        self._jobs = {job.id: job for job in found}
        return found

    def job(self, id_: str) -> DeskJob | None:
        """The job of an id; one that is new on disk, or gone from it, is looked for once more."""
        job = self._jobs.get(id_)
        if job is None or not is_folder(job.folder):
            self.jobs()
        return self._jobs.get(id_)

    def below(self, folder: Path) -> str:
        """A folder as pages name it: by its path below the desk's own."""
        return folder.relative_to(self.folder).as_posix()

    def _named(self, folder: Path) -> DeskJob:
        below = self.below(folder)
        return DeskJob(
            hashlib.sha256(below.encode("utf-8", "surrogateescape")).hexdigest()[:ID_DIGITS], folder, below
        )


def desk_of(request: Request) -> Desk:
    """The desk that a request came to."""
    desk: Desk = request.app.state.desk
    return desk


def job_of(request: Request) -> DeskJob:
    """The job that a request's address names; answers 404 where there is none."""
    job = desk_of(request).job(request.path_params["job"])
    if job is None:
        raise HTTPException(404, "No such job: it was moved or removed.")
    if request.method == "GET" and "text/html" in request.headers.get("accept", ""):
        desk_of(request).marks[job.id] = job_marks(job.folder)
    return job

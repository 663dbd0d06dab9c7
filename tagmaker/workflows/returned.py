"""The folder of what came back to a job, JOB/returned: the user's files, kept there and never replaced.

Takes files that were handed in; gives under which names they are kept, which files there are, and whether
anything changed since they were read.
"""

import hashlib
from collections.abc import Mapping, Sequence
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.folders import outside
from tagmaker.files.jobs_below import marks_of
from tagmaker.files.kept import Kept, keep_files
from tagmaker.files.plain import files_below, is_folder, is_there, lies_within
from tagmaker.files.refused import cannot_write
from tagmaker.problems import Problem, Where
from tagmaker.site.walk.returns import left_out
from tagmaker.workflows.kept_plan import job_marks

__all__ = [
    "RETURNED",
    "Keeping",
    "job_digest",
    "keep_returned",
    "returned_digest",
    "returned_files",
    "returned_folder",
    "returned_left_out",
]

RETURNED = "returned"


class Keeping(Struct, frozen=True):
    """What became of files that were handed in: under which name each is kept, or why none is."""

    kept: tuple[Kept, ...] = ()
    problems: tuple[Problem, ...] = ()


def returned_folder(job: Path) -> Path | Problem:
    """The folder of what came back, there or not; a problem where a link leads out of the job's folder."""
    folder = job / RETURNED
    if not lies_within(folder, job):
        return outside(RETURNED, Where(RETURNED))
    if is_there(folder) and not is_folder(folder):
        return cannot_write(folder, FileExistsError(17, "a file has this name"))
    return folder


def returned_files(job: Path) -> list[Path]:
    """The files that came back, folders searched; a link to outside the job's folder is skipped."""
    folder = returned_folder(job)
    if isinstance(folder, Problem) or not is_folder(folder):
        return []
    return [file for file in files_below(folder) if lies_within(file, job)]


def returned_left_out(job: Path) -> list[Problem]:
    """What is in the folder and is not read: links, locked folders; the folder itself where it is a link."""
    folder = returned_folder(job)
    if isinstance(folder, Problem):
        return [folder]
    files = files_below(folder) if is_folder(folder) else ()
    strange = (
        outside(f"{RETURNED}/{file.relative_to(folder).as_posix()}", Where(file.as_posix()))
        for file in files
        if not lies_within(file, job)
    )
    return [*left_out([folder]), *strange]


def keep_returned(sources: Sequence[Path], job: Path) -> Keeping:
    """Keep files with what came back to a job."""
    folder = returned_folder(job)
    if isinstance(folder, Problem):
        return Keeping(problems=(folder,))
    try:
        return Keeping(tuple(keep_files(sources, folder)))
    except OSError as reason:
        return Keeping(problems=(cannot_write(folder, reason),))


def job_digest(job: Path) -> str:
    """Changes with any file of the job, by names, sizes and times; what came back is left out."""
    marks = {name: mark for name, mark in job_marks(job).items() if not name.startswith(f"{RETURNED}/")}
    return _digest(marks)


def returned_digest(job: Path) -> str:
    """Changes with any file of the job and with any that came back, or is left out."""
    left = {each.where.file: (0, 0, 0) for each in returned_left_out(job)}
    return f"{job_digest(job)}{_digest(marks_of(returned_files(job)) | left)}"


def _digest(marks: Mapping[str, tuple[int, int, int]]) -> str:
    return hashlib.sha256(repr(sorted(marks.items())).encode("utf-8", "surrogatepass")).hexdigest()

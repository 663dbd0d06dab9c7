"""The stages of a list of jobs: look below a folder → read each job's head → plan it and find its last set.

Takes the folder in which the jobs are; gives each job with what a person looks for first. A job's head is
read for all jobs at once, its state (`job_state`) for one job: planning a large one takes seconds.
"""

import datetime as dt
from pathlib import Path

import msgspec
from msgspec import Struct

from tagmaker.catalog.folders import outside
from tagmaker.files.jobs_below import changed_at, folders_named, jobs_below
from tagmaker.files.plain import lies_within, read_plain
from tagmaker.files.toml import TomlFile, read_toml
from tagmaker.problems import Problem, Severity, Where
from tagmaker.revisions.plan_file import BYTES_AT_MOST, PLAN_FILE
from tagmaker.workflows.planning import plan

__all__ = [
    "JobFound",
    "JobState",
    "SetFound",
    "find_jobs",
    "job_found",
    "job_state",
    "last_set",
    "sets_of",
]


class JobFound(Struct, frozen=True):
    """A job by its head: `place` is its folder below the one that was looked into, "." for that itself.

    `problem` is why the file cannot be read; the name is then the folder's.
    """

    folder: Path
    place: str
    name: str
    number: str = ""
    revision: str = ""
    is_draft: bool = False
    problem: Problem | None = None


class SetFound(Struct, frozen=True):
    """A printed set of a job: when its plan.json was written, its revision, whether it is a part."""

    folder: Path
    made: dt.datetime
    revision: str
    is_partial: bool


class JobState(Struct, frozen=True):
    """A job as planned: its counts (0 where it cannot be planned), and its last set, if there is one."""

    errors: int
    warnings: int
    boxes: int
    units: int
    last_set: SetFound | None


class _SetJob(Struct, frozen=True):
    """The keys of a plan.json's job that say whose set it is."""

    name: str = ""
    number: str = ""
    revision: str = ""


class _SetHead(Struct, frozen=True):
    """The head of a plan.json of any version."""

    job: _SetJob
    partial: bool = False


def find_jobs(root: Path) -> tuple[JobFound, ...]:
    """Every folder with a job.toml below a folder, itself too, by their paths."""
    return tuple(job_found(folder, root) for folder in jobs_below(root))


def job_found(folder: Path, root: Path) -> JobFound:
    """The job of a folder by its head."""
    place = folder.relative_to(root).as_posix()
    path = folder / "job.toml"
    inside = lies_within(path, folder)
    file = read_toml(path, path.name) if inside else outside(path.name, Where(place))
    if isinstance(file, Problem):
        return JobFound(folder, place, folder.resolve().name, problem=file)
    return _head(folder, place, file)


def _head(folder: Path, place: str, file: TomlFile) -> JobFound:
    """The keys of [job] as they are: what is wrong with them is the job's own page's to report."""
    content = file.content.get("job")
    keys = content if isinstance(content, dict) else {}
    texts = {key: str(keys.get(key, "")) for key in ("name", "number", "revision")}
    return JobFound(
        folder,
        place,
        texts["name"] or folder.resolve().name,
        texts["number"],
        texts["revision"] or "0",
        is_draft=keys.get("status") == "draft",
    )


def job_state(found: JobFound, root: Path) -> JobState:
    """A job planned, and its last set; label sizes are not looked at."""
    checked = plan(found.folder)
    severities = [problem.severity for problem in checked.problems]
    job = checked.plan.job if checked.plan else None
    return JobState(
        errors=severities.count(Severity.ERROR),
        warnings=severities.count(Severity.WARNING),
        boxes=len(job.boxes) if job else 0,
        units=len(job.units) if job else 0,
        last_set=last_set(found, root),
    )


def last_set(found: JobFound, root: Path) -> SetFound | None:
    """The newest set of a job."""
    return next(iter(sets_of(found, root)), None)


def sets_of(found: JobFound, root: Path) -> list[SetFound]:
    """The sets of a job, newest first: by name and number its own, in folders named NAME-out….

    As `make` writes them: beside the job, in it, or in the folder of all jobs.
    """
    name = f"{found.folder.resolve().name}-out"
    around = dict.fromkeys((found.folder.parent, found.folder, root))
    folders = [each for place in around for each in folders_named(place, name)]
    sets = [each for folder in folders if (each := _set(folder, found, root))]
    return sorted(sets, key=lambda each: each.made, reverse=True)


def _set(folder: Path, found: JobFound, root: Path) -> SetFound | None:
    """The set in a folder, if there is one of that job."""
    path = folder / PLAN_FILE
    if not any(lies_within(path, place) for place in (root, found.folder)):
        return None
    try:
        head = msgspec.json.decode(read_plain(path, BYTES_AT_MOST), type=_SetHead)
    except (OSError, ValueError, RecursionError):
        return None
    if (head.job.name, head.job.number) != (found.name, found.number):
        return None
    made = dt.datetime.fromtimestamp(changed_at(path)).astimezone()
    return SetFound(folder, made, head.job.revision, head.partial)

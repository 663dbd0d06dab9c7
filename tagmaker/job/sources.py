"""A job as read, with the schedules that it was read from: as written, and as understood.

Records for who shows a job's sheets; whoever plans a job takes the job alone.
"""

from msgspec import Struct

from tagmaker.job.model import Job
from tagmaker.job.schedule.read import Schedule
from tagmaker.job.schedule.sheet import Sheet
from tagmaker.problems import Problem

__all__ = ["ReadJob", "Source"]


class Source(Struct, frozen=True):
    """A schedule of a job: its name in job.toml, its sheets as written, and how they were understood."""

    name: str
    sheets: tuple[Sheet, ...]
    schedule: Schedule


class ReadJob(Struct, frozen=True):
    """A job as read, None where nothing can be planned, with its schedules and every problem found."""

    job: Job | None
    problems: tuple[Problem, ...]
    sources: tuple[Source, ...] = ()

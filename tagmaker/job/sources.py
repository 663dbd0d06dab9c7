"""A job as read, with the schedules that it was read from: as written, and as understood.

Records for who shows a job's sheets; whoever plans a job takes the job alone.
"""

from msgspec import Struct

from tagmaker.job.model import Job
from tagmaker.job.schedule.read import Schedule
from tagmaker.job.schedule.result import ReadSheet
from tagmaker.job.schedule.sheet import Sheet
from tagmaker.problems import Problem, Where

__all__ = ["ReadJob", "Source"]

WORKBOOK = ".xlsx"


class Source(Struct, frozen=True):
    """A schedule of a job: its name in job.toml, its sheets as written, and how they were understood."""

    name: str
    sheets: tuple[Sheet, ...] = ()
    schedule: Schedule = Schedule()

    @property
    def is_workbook(self) -> bool:
        """Whether it is never rewritten."""
        return self.name.lower().endswith(WORKBOOK)

    def sheet(self, where: Where) -> ReadSheet | None:
        """The sheet as understood in which a place is."""
        return next((each for each in self.schedule.sheets if each.where.sheet == where.sheet), None)


class ReadJob(Struct, frozen=True):
    """A job as read, None where nothing can be planned, with its schedules and every problem found."""

    job: Job | None
    problems: tuple[Problem, ...]
    sources: tuple[Source, ...] = ()

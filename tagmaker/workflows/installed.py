"""The set of a job that is installed: the newest one that covers the whole job.

A job of which a set was issued is changed on site first; what a change asks for there is compared with this
set.
"""

from pathlib import Path

from tagmaker.job.model import Job
from tagmaker.problems import Problem
from tagmaker.workflows.jobs import JobFound, SetFound, sets_of
from tagmaker.workflows.kept_plan import kept_set

__all__ = ["installed_set"]


def installed_set(job: Job, root: Path) -> tuple[SetFound | None, tuple[Problem, ...]]:
    """The newest set of a job that can be compared, and why newer ones cannot be.

    Sets are looked for as `jobs` does, below `root` alone. A set of single boxes or kits covers less.
    """
    found = JobFound(job.folder, ".", job.name, job.number)
    skipped: list[Problem] = []
    for each in sets_of(found, root):
        earlier = kept_set(each.folder)
        if not isinstance(earlier, Problem):
            return each, tuple(skipped)
        skipped.append(earlier)
    return None, tuple(skipped)

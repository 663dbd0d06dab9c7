"""The sets of a job on disk: where they are, of which revision, whole or a part, newest first."""

import datetime as dt
from functools import lru_cache
from pathlib import Path
from typing import Literal

from msgspec import Struct

from tagmaker.files.jobs_below import changed_at, folders_below
from tagmaker.files.plain import is_there, plain_size
from tagmaker.revisions.plan_file import PLAN_FILE, SetHead, read_set
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan

__all__ = ["Agreement", "SetOnDisk", "agreement", "default_folder", "sets_below"]

Agreement = Literal["agrees", "differs", "unknown"]


class SetOnDisk(Struct, frozen=True):
    """A set: its folder, when it was written (local time), what it is."""

    folder: Path
    written: dt.datetime
    head: SetHead

    @property
    def can_be_updated(self) -> bool:
        """Whether a later set can be made since this one: it is of the whole job, or of its update."""
        part = self.head.part
        return not (part.boxes or part.ports or part.stage or part.kit)


def sets_below(root: Path, name: str, number: str) -> list[SetOnDisk]:
    """The sets below a folder of the job of this name, or of this number where it has one; newest first."""
    found = [each for each in map(_read, folders_below(root)) if each]
    of_job = [
        each for each in found if (each.head.job.number == number if number else each.head.job.name == name)
    ]
    return sorted(of_job, key=lambda each: each.written, reverse=True)


def _read(folder: Path) -> SetOnDisk | None:
    """The set in a folder; None where its plan.json is none."""
    plan = folder / PLAN_FILE
    if not is_there(plan):
        return None
    try:
        at = changed_at(plan)
        head = _head(folder, at, plain_size(plan))
    except OSError:
        return None
    return SetOnDisk(folder, dt.datetime.fromtimestamp(at).astimezone(), head) if head else None


@lru_cache(maxsize=64)
def _head(folder: Path, _at: float, _size: int) -> SetHead | None:
    """A set's head, read again only where its file changed: that of a campus has 20 MB."""
    return read_set(folder)


def agreement(job: Path, head: SetHead) -> Agreement:
    """Whether a set says of its boxes what the job says now; unknown where the job cannot be planned."""
    planned = kept_plan(job)
    if not isinstance(planned, KeptPlan) or not head.digest:
        return "unknown"
    now = planned.issued_of(head.part.boxes or planned.boxes)
    return "agrees" if now.digest == head.digest else "differs"


def default_folder(root: Path, job: Path, part: str) -> Path:
    """Where a set is written unless the user names a folder: JOB-out beside the job.

    It is within the job's folder where that is the root itself. `part` is put behind the name.
    """
    return (job if job == root else job.parent) / f"{job.name}-out{part}"

"""The stages of a handover record with its files in a folder: what came back and sets → record → PDF, JSON.

For a page: the record itself stays in its files, what is open of it and what stopped it is small.
"""

from collections.abc import Callable
from pathlib import Path

from msgspec import Struct

from tagmaker.files.plain import is_folder
from tagmaker.files.write import write_file
from tagmaker.problems import Problem, at_most_each
from tagmaker.tags.handover import OpenPoint
from tagmaker.workflows.as_json import json_object
from tagmaker.workflows.handover import handover, write_handover
from tagmaker.workflows.jobs import job_found
from tagmaker.workflows.returned import RETURNED, returned_digest, returned_folder
from tagmaker.workflows.sets import sets_below

__all__ = ["HANDOVER_JSON", "HANDOVER_PDF", "HandoverMade", "handover_digest", "make_handover"]

HANDOVER_PDF, HANDOVER_JSON = "handover.pdf", "handover.json"


class HandoverMade(Struct, frozen=True):
    """A record that was written: everything open, the pages of its PDF and what is attached to that.

    `pages` is 0 where nothing was written: `problems` have the reason.
    """

    open: tuple[OpenPoint, ...]
    pages: int
    attached: tuple[str, ...]
    problems: tuple[Problem, ...]
    digest: str = ""


def make_handover(
    job: Path, root: Path, out: Path, *, progress: Callable[[int, int], None] = lambda _done, _of: None
) -> HandoverMade:
    """Write a job's record to the folder `out`, as `handover JOB` does, and what that prints as JSON.

    The job's printed sets are looked for below the folder `root`; the newest of the same plan is attached.
    """
    folder = returned_folder(job)
    if isinstance(folder, Problem):
        return HandoverMade((), 0, (), (folder,))
    given = [job / RETURNED] if is_folder(folder) else []
    done = write_handover(handover(job, given, _sets(job, root), progress), out / HANDOVER_PDF)
    problems = tuple(at_most_each(done.problems))
    if done.record is None or done.out is None:
        return HandoverMade((), 0, (), problems)
    text = json_object(done.record, problems)
    if problem := write_file(out / HANDOVER_JSON, f"{text}\n".encode()):
        return HandoverMade((), 0, (), (*problems, problem))
    attached = tuple(each.name for each in done.record.attached)
    return HandoverMade(done.record.open, done.pages, attached, problems, done.record.digest)


def _sets(job: Path, root: Path) -> list[Path]:
    """The job's sets, newest first."""
    found = job_found(job, root)
    return [each.folder for each in sets_below(root, found.name, found.number)]


def handover_digest(job: Path, root: Path) -> str:
    """Changes with any file that a record is made of: of the job, of what came back; with any of its sets."""
    found = job_found(job, root)
    sets = sets_below(root, found.name, found.number)
    return f"{returned_digest(job)} {[(each.folder.as_posix(), each.written.isoformat()) for each in sets]}"

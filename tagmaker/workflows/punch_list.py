"""The punch list as a PDF: each box and system with what to correct, what was not seen, and what is open.

What no box has is at the end: what a response test did not see, and files that do not count. The list says
that nothing is to be corrected only where none of these is there.
"""

from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from tagmaker.catalog.words import Words, load_words
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.refused import no_pdf
from tagmaker.files.write import write_file
from tagmaker.problems import Problem, Severity
from tagmaker.sheets.work_list import work_list_pages
from tagmaker.site.walk.findings import BoxFindings
from tagmaker.tags.work_list import BoxWork
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.readback import Readback
from tagmaker.workflows.readback_days import days_work
from tagmaker.workflows.readback_systems import system_work
from tagmaker.workflows.readback_typed import notes_of_systems

__all__ = ["write_punch_list"]

OF_BOXES = {"return-contradiction", "paper-unclear"}
"""Codes of problems of files whose boxes and systems have them as their own lines."""


def write_punch_list(result: Readback, out: Path) -> Problem | None:
    """Write the punch list, a PDF; a problem where that fails. Without a plan there is none to write."""
    if result.plan is None:
        return None
    if problem := no_pdf(out):
        return problem
    words, job = load_words(), result.plan.job
    work = [
        BoxWork(
            box.box, _where(box, words), box.punches, box.unknown, box.notes, open=list(_open(box, words))
        )
        for box in result.boxes
        if result.is_walked or result.responses or box.punches
    ]
    systems = result.systems if result.is_tested else ()
    notes = notes_of_systems(result.paper, (each.system for each in systems), words)
    work += [system_work(each, notes[each.system], words) for each in systems]
    work += days_work(result.days, result.paper, words)
    work += _tests(result, words)
    work.append(BoxWork(words("punch.files"), "", (), (), (), open=list(_of_files(result))))
    pages, problems = work_list_pages(job, work, words, words("punch.title"), words("punch.none"))
    if problems:
        return problems[0]
    return write_file(
        out, draw_pdf(f"{words('punch.title')} {job.name}", job.prepared_by, pages, all_faces())
    )


def _tests(result: Readback, words: Words) -> Iterator[BoxWork]:
    """What each response test did not see, and what of it is to be typed; its findings are in their boxes."""
    for each in result.responses:
        calls = each.judged.calls
        unknown = [words("response.not_seen", names=", ".join(each.unseen))] if each.unseen else []
        notes = each.notes if unknown or calls.plan in result.to_type else ()
        yield BoxWork(calls.system or words("response.all_boxes"), words("punch.test"), (), unknown, notes)


def _of_files(result: Readback) -> Iterator[str]:
    """Files that could not be read or do not count, and placards of no box of the job."""
    for each in result.problems:
        if each.severity is not Severity.NOTE and each.code not in OF_BOXES:
            yield f"{PurePosixPath(str(each.where)).name}: {each.message}"
    for verdict in result.scans.strange:
        yield f"{verdict.scan.source}: {', '.join(verdict.differences)}"


def _open(box: BoxFindings, words: Words) -> Iterator[str]:
    """What nobody proved or signed of a box; one that was not seen lists all of it as unknown."""
    if box.state == "not seen":
        return
    if box.unproved:
        yield words("punch.unproved", items=", ".join(box.unproved))
    if box.open_roles:
        yield words("punch.unsigned", roles=", ".join(box.open_roles))


def _where(box: BoxFindings, words: Words) -> str:
    """Where a box is, and where its power is isolated."""
    power = f"{words('walk.power')}: {box.power}" if box.power else ""
    return " · ".join(part for part in (box.place, power) if part)

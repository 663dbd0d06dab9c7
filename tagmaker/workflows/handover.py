"""The stages of `handover`: read files → plan → lay out → read back → what is open → record → pages → PDF.

Takes a job and all that came back from its site; gives one record of what was planned, found, proved and
signed. Whatever is open is listed first, and each page of a record with open points is marked NOT COMPLETE.
"""

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words, load_words
from tagmaker.draw.attachments import Attachment, Enclosed
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.refused import no_pdf
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem, Severity, Where, error, has_errors
from tagmaker.revisions.plan_file import PLAN_FILE
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.handover import handover_pages
from tagmaker.site.response.compare import SystemResult
from tagmaker.site.walk.findings import homes_of, parts_of
from tagmaker.site.walk.gather import gather
from tagmaker.site.walk.returns import left_out
from tagmaker.tags.handover import (
    BoxRecord,
    DaysRecord,
    FileRecord,
    Handover,
    JobRecord,
    OpenPoint,
    ResponseRecord,
    SystemRecord,
)
from tagmaker.tags.walk import digests
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.handover_boxes import box_record, with_marks
from tagmaker.workflows.handover_files import (
    READ_LIST,
    REGISTER,
    SEAL,
    Issue,
    ReadFiles,
    attachments,
    issue_of,
    read_files,
    sealed_record,
    write_record,
)
from tagmaker.workflows.handover_open import not_covered, numbered, open_points
from tagmaker.workflows.handover_systems import system_record
from tagmaker.workflows.laid_out import LaidOut
from tagmaker.workflows.layout import lay_out
from tagmaker.workflows.planning import plan
from tagmaker.workflows.readback import Readback, readback
from tagmaker.workflows.readback_typed import notes_of_systems

__all__ = ["HandedOver", "handover", "write_handover"]

RIGHT_PORT, RIGHT_UNIT = "as called", "as piped"


class HandedOver(Struct, frozen=True):
    """The record with what its PDF holds, `pages` once written; None where the job has errors."""

    problems: tuple[Problem, ...]
    record: Handover | None = None
    plan: Plan | None = None
    attached: tuple[Attachment, ...] = ()
    pictures: Mapping[str, bytes] = {}
    out: Path | None = None
    pages: int = 0

    @property
    def is_open(self) -> bool:
        """Whether anything is open, or there is no record."""
        return self.record is None or not self.record.complete


def handover(
    job: Path,
    given: Sequence[Path],
    sets: Sequence[Path] = (),
    progress: Callable[[int, int], None] = lambda _done, _of: None,
) -> HandedOver:
    """The record of a job with what came back; `sets` are the printed sets that are at hand.

    `progress` gets the stages that are done, a box each of the plan and one for what came back.
    """
    files = read_files(given)
    checked, laid_out = lay_out(
        plan(job),
        Selection(proof=False, has_marks=False),
        lambda done, of: progress(done, of + 1),
        inks=None,
    )
    if checked.plan is None or laid_out is None or has_errors(checked.problems):
        return HandedOver(checked.problems)
    issue = issue_of(laid_out, sets, checked.problems)
    back = readback(list(files.paths), job, sets)
    planned = back.plan
    if planned is None:
        return HandedOver(back.problems)
    if read_files(given).digests != files.digests:
        changed = error(
            "return-unreadable",
            "a returned file changed while it was read",
            Where(job.as_posix()),
            "try again",
        )
        return HandedOver((*back.problems, changed))
    back = replace(back, problems=(*left_out(given), *back.problems))
    return _record(planned, laid_out, issue, back, files, checked.problems)


def _record(  # noqa: PLR0913, PLR0917 — the results of all stages before it
    planned: Plan,
    laid_out: LaidOut,
    issue: Issue,
    back: Readback,
    files: ReadFiles,
    warned: Sequence[Problem],
) -> HandedOver:
    words, job = load_words(), laid_out.job
    about = {name: words(f"handover.about_{key}") for name, key in _ABOUT.items()}
    attached, digest = attachments(issue, files.digests, back.paper.cuts, about)
    found = tuple(open_points(planned, back, files.digests, issue.problems, words))
    points = numbered(_shortened(each, files) for each in found)
    record = Handover(
        job=JobRecord(
            job.name, job.number, job.revision, job.date.isoformat() if job.date else "", job.site,
            job.prepared_by,
        ),
        complete=not points,
        digest=digest,
        plan_from=issue.source,
        open=points,
        remarks=tuple(map(files.short, _remarks(back, warned, words))),
        not_covered=tuple(not_covered(planned, back, words)),
        counts={
            "as planned": back.counts.as_planned,
            "differs": back.counts.differs,
            "not seen": back.counts.not_seen,
        },
        boxes=tuple(_boxes(planned, back, words, files)),
        systems=tuple(_systems(planned, back, words)),
        response=tuple(_response(each, words) for each in back.responses),
        first_days=tuple(DaysRecord(each.system, each.days, each.read, each.of) for each in back.days),
        files=files.digests,
        attached=tuple(FileRecord(each.name, _sha256(each.content)) for each in attached),
        pictures=tuple(sorted(back.paper.cuts)),
    )  # fmt: skip
    problems = tuple(dict.fromkeys((*warned, *issue.problems, *back.problems)))
    return HandedOver(problems, record, planned, attached, back.paper.cuts)


_ABOUT = {REGISTER: "register", PLAN_FILE: "plan", READ_LIST: "read", "": "picture"}


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _shortened(point: OpenPoint, files: ReadFiles) -> OpenPoint:
    where, what = files.short(point.where), files.short(point.what)
    return replace(point, where=where, what=what, expect=tuple(map(files.short, point.expect)))


def _boxes(planned: Plan, back: Readback, words: Words, files: ReadFiles) -> Iterator[BoxRecord]:
    homes, typed = homes_of(planned), {each.source for each in back.paper.typed}
    for box, walked in zip(planned.boxes, back.boxes, strict=True):
        found = gather(back.sheets.get(box.row.key, ()), box, digests(planned.job, box))
        parts = parts_of(planned.job, box, found, words, homes)
        pictures = [name for name in back.paper.cuts if name.startswith(f"{box.row.key}_")]
        shown = with_marks(found, typed, words)
        made = box_record(planned.job, box, walked, parts, shown, pictures)
        yield replace(made, files=tuple(map(files.short, made.files)))


def _systems(planned: Plan, back: Readback, words: Words) -> Iterator[SystemRecord]:
    cuts = sorted(back.paper.cuts)
    for system, found in zip(planned.systems, back.systems, strict=True):
        yield system_record(planned.job, system, found, cuts, words)


def _response(result: SystemResult, words: Words) -> ResponseRecord:
    judged = result.judged
    called = judged.ports[: len(judged.calls.ports)]
    piped = [each for each in judged.units if each.verdict == RIGHT_UNIT and each.stub_read]
    return ResponseRecord(
        system=judged.calls.system or words("response.all_boxes"),
        plan=judged.calls.plan,
        ports_right=sum(each.verdict == RIGHT_PORT for each in called),
        ports=len(called),
        units_right=len(piped),
        units=len(judged.units),
        notes=result.notes,
    )


def _remarks(back: Readback, warned: Sequence[Problem], words: Words) -> Iterator[str]:
    """What people wrote, and what the checks of plan and files report without leaving it open."""
    yield from (f"{box.box} {note}" for box in back.boxes for note in box.notes)
    for tag, notes in notes_of_systems(back.paper, (each.system for each in back.systems), words).items():
        yield from (f"{words('system.title', system=tag)}: {note}" for note in notes)
    yield from (each.message for each in warned if each.severity is Severity.WARNING)
    yield from (each.message for each in back.problems if each.severity is Severity.NOTE)


def write_handover(done: HandedOver, out: Path) -> HandedOver:
    """The record written as a PDF; the problem of a text that does not fit, or of the file."""
    if done.record is None or done.plan is None:
        return done
    if problem := no_pdf(out):
        return replace(done, problems=(*done.problems, problem))
    words, job = load_words(), done.plan.job
    pages, problems = handover_pages(job, done.record, done.pictures, words)
    if problems:
        return replace(done, problems=(*done.problems, *problems), record=None)
    title = f"{job.title} – {words('handover.title')}"
    enclosed = Enclosed(done.attached, SEAL)
    pdf = sealed_record(draw_pdf(title, job.prepared_by, pages, all_faces(), enclosed))
    if problem := write_record(out, pdf):
        return replace(done, problems=(*done.problems, problem))
    return replace(done, out=out, pages=len(pages))

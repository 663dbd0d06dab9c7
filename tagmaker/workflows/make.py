"""The stages of `make`: read → plan → check → lay out → draw → prove → commit.

Takes a job and an output folder; gives a whole new set in that folder, or leaves the folder as it was. Each
document is drawn and dropped before the next, so that memory holds the ink of one document; those of a large
job are proved by other processes while the next is drawn, and one of those lays slips and summary out: an
error in these is found when something is drawn already, and the set refused as with any other.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import load_words
from tagmaker.files.output_set import OutputSet, open_output_set
from tagmaker.files.refused import OutputRefused
from tagmaker.files.waiting import WaitingRoom
from tagmaker.outputs.register import register_head
from tagmaker.outputs.walk_html import walk_html
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem, has_errors
from tagmaker.revisions.issuing import issued_head
from tagmaker.revisions.plan_file import (
    PLAN_FILE,
    read_manifest,
    read_manifest_for_part,
    read_whole_set,
)
from tagmaker.revisions.plan_pieces import plan_lists, plan_pieces
from tagmaker.revisions.selection import WHOLE, Selection
from tagmaker.workflows.cores import Workers
from tagmaker.workflows.documents import Document
from tagmaker.workflows.laid_out import LaidOut
from tagmaker.workflows.layout import (
    Progress,
    begin_layout,
    check_skip,
    planned,
    unrevised,
    whole,
    with_baseline,
)
from tagmaker.workflows.planning import Checked, PartUsed
from tagmaker.workflows.printing import Printed, Printing, ToProve, prove_part

__all__ = ["Made", "MadeOutline", "make"]

SECONDS_A_CODE = 0.0004  # that proof and drawing take


class MadeOutline(Struct, frozen=True):
    """What `make --json` prints beside the problems; the fields are the keys.

    `files` are in print order; `tags` counts printed labels.
    """

    out: str
    tags: int
    boxes: int
    files: tuple[str, ...]
    part_used: tuple[PartUsed, ...]


class Made(Struct, frozen=True):
    """The set as written: its files with their number of pages (0: no pages); no files where it was refused.

    `tags` counts printed labels. `codes_read` counts codes that were read back, -1 without a proof.
    """

    checked: Checked
    out: Path
    files: tuple[tuple[str, int], ...] = ()
    tags: int = 0
    boxes: int = 0
    codes_read: int = -1

    @property
    def outline(self) -> MadeOutline:
        """The same as a record of the JSON keys."""
        files = tuple(name for name, _ in self.files)
        return MadeOutline(self.out.as_posix(), self.tags, self.boxes, files, self.checked.part_used)


def make(
    path: Path, out: Path, selection: Selection = WHOLE, progress: Progress = lambda _done, _of: None
) -> Made:
    """Write the set of a job into `out`, or nothing where there is an error or a code does not read back.

    `progress(done, of)` is called as boxes are laid out. A set of a part of the job never replaces a whole
    one, and a folder with files that no earlier set wrote is refused.
    """
    selection, told = with_baseline(selection)
    if has_errors(told):
        return Made(Checked(None, tuple(told)), out)
    with closing(WaitingRoom()) as room, Workers() as workers:
        found = planned(path, selection)
        laid_out = begin_layout(found, selection, progress, workers, inks=room.put)
        return _commit(out, told, workers, *laid_out)


def _commit(
    out: Path, told: list[Problem], workers: Workers, checked: Checked, laid_out: LaidOut | None
) -> Made:
    """Write what was laid out, unless a problem or what is in the folder forbids it."""
    if laid_out is None:
        return Made(checked, out)
    selection, skipped = laid_out.selection, tuple(check_skip(laid_out))
    if has_errors((*checked.problems, *skipped)):
        return Made(_with(whole(checked, laid_out), skipped), out)
    warnings = told if selection.baseline else unrevised(laid_out, read_whole_set(out))
    try:
        reader = read_manifest_for_part if selection.is_part else read_manifest
        with open_output_set(out, reader, partial=selection.is_limited) as output_set:
            made = _write(output_set, out, checked, laid_out, workers)
    except OutputRefused as reason:
        made, warnings = Made(_with(checked, [reason.problem]), out), []
    checked = whole(checked, laid_out)
    if has_errors(checked.problems):  # of what was laid out meanwhile: with one core they are known before
        return Made(checked, out)
    # added last, so that plan.json is the same whatever set was in the folder before
    return replace(made, checked=_with(made.checked, warnings))


def _with(checked: Checked, problems: Iterable[Problem]) -> Checked:
    """With these problems as the last."""
    return replace(checked, problems=(*checked.problems, *problems))


def _write(output_set: OutputSet, out: Path, checked: Checked, laid_out: LaidOut, workers: Workers) -> Made:
    """Draw and prove every document, add the other files, and commit.

    An unread code refuses the whole; so does an error of what was laid out meanwhile.
    """
    printing = Printing(laid_out, output_set)
    proof, tags = laid_out.selection.proof, sum(each.pieces for each in laid_out.documents if each.has_labels)
    names: list[str] = []

    def to_prove() -> Iterator[ToProve]:
        """Every part of every document; while the last are read, the other files are written."""
        for document in _in_turn(laid_out.documents):
            yield from printing.print(document)
        problems = whole(checked, laid_out).problems
        if has_errors(problems):
            return
        printed = {each.file for each in printing.printed}
        for document in _in_turn([each for each in laid_out.documents if each.file not in printed]):
            yield from printing.print(document)
        names.extend(_others(output_set, laid_out, printing.printed, problems))

    proofs = list(workers.each(prove_part, to_prove(), SECONDS_A_CODE * tags if proof else 0))
    checked = whole(checked, laid_out)
    unread = [problem for each in proofs for problem in each.problems]
    if unread or has_errors(checked.problems):
        return Made(_with(checked, unread), out)
    output_set.finish()
    pages = {each.file: each.pages for each in printing.printed}
    files = tuple((name, pages.get(name, 0)) for name in names)
    boxes = sum(box.is_printed for box in laid_out.boxes)
    read = sum(each.read for each in proofs) if proof else -1
    return Made(checked, out, files, tags=tags, boxes=boxes, codes_read=read)


def _in_turn(documents: Sequence[Document]) -> list[Document]:
    """The documents as they are drawn: the shortest first, then those with the most codes.

    So codes are read from early on, and all the while that anything else is drawn or written.
    """
    first = min(documents, key=lambda each: len(each.sheets), default=None)
    return sorted(documents, key=lambda each: (each is not first, -max(each.pieces, len(each.sheets))))


def _others(
    output_set: OutputSet, laid_out: LaidOut, printed: Sequence[Printed], problems: Sequence[Problem]
) -> list[str]:
    """Write the files that are no documents, plan.json as the last; the names of all files in print order."""
    order = {each.file: at for at, each in enumerate(laid_out.documents)}
    documents = sorted(printed, key=lambda each: order[each.file])
    others = (_phone_walk, _link_page, _days_table)
    names = [*order, *(name for each in documents for name in each.pictures)]
    for name, content in (item for other in others for item in other(laid_out).items()):
        output_set.write(name, content)
        names.append(name)
    rows = [register_head(), *(row for each in documents for row in each.rows)]
    output_set.write_pieces("register.csv", map(bytes, rows))
    names.append("register.csv")
    files = {name: output_set.digests[name] for name in names}
    forms = [form for each in documents for form in each.forms]
    head = issued_head(laid_out.job, laid_out.issued_boxes, laid_out.systems)
    lists = plan_lists(laid_out.issued_boxes, forms, laid_out.put)
    output_set.write_pieces(PLAN_FILE, plan_pieces(head, lists, files, problems, laid_out.selection))
    return [*names, PLAN_FILE]


def _phone_walk(laid_out: LaidOut) -> dict[str, bytes]:
    """walk.html, of the boxes that have a walk sheet, and of systems where the set has their sheets."""
    walked = tuple(box.box for box in laid_out.boxes if box.walk)
    systems = tuple(laid_out.systems) if laid_out.has_system_sheets else ()
    return {"walk.html": walk_html(Plan(laid_out.job, walked, systems), load_words())} if walked else {}


def _days_table(laid_out: LaidOut) -> dict[str, bytes]:
    """first-days.csv, where the set has the systems' sheets."""
    if not laid_out.has_system_sheets:
        return {}
    from tagmaker.catalog.first_days import first_days  # noqa: PLC0415 — needed for jobs with systems only
    from tagmaker.tags.first_days import days_csv  # noqa: PLC0415

    return {"first-days.csv": days_csv(laid_out.job, laid_out.systems, first_days().days)}


def _link_page(laid_out: LaidOut) -> dict[str, bytes]:
    """The page that codes in form "link" open, to be put where the job's link says; its worker keeps it."""
    if "link" not in laid_out.job.prints.placard_codes or not any(box.placard for box in laid_out.boxes):
        return {}
    from tagmaker.workflows.placard_page import placard_files  # noqa: PLC0415 — few jobs ask for links

    return placard_files()

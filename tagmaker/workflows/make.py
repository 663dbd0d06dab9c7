"""The stages of `make`: read → plan → check → lay out → draw → prove → commit.

Takes a job and an output folder; gives a whole new set in that folder, or leaves the folder as it was. Each
document is drawn and dropped before the next, so that memory holds the ink of one document; those of a large
job are proved by other processes while the next is drawn.
"""

from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import load_words
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.output_set import OutputSet, open_output_set
from tagmaker.files.plain import read_plain
from tagmaker.files.refused import OutputRefused
from tagmaker.files.waiting import WaitingRoom
from tagmaker.outputs.proof import Expected, Proof, parts_of, prove
from tagmaker.outputs.register import register_csv
from tagmaker.outputs.walk_html import walk_html
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem, has_errors
from tagmaker.revisions.form_pages import form_pages
from tagmaker.revisions.plan_file import PLAN_FILE, plan_json, read_manifest, read_plan_file
from tagmaker.revisions.selection import WHOLE, Selection
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.cores import on_cores
from tagmaker.workflows.documents import Document, LaidOut, aligned, png_pages
from tagmaker.workflows.layout import Progress, check_skip, lay_out, unrevised, with_baseline
from tagmaker.workflows.placard_page import placard_files
from tagmaker.workflows.planning import Checked, PartUsed, plan

__all__ = ["Made", "MadeOutline", "make"]

SECONDS_A_CODE = 0.0004  # that proof and drawing take
BYTES_AT_MOST = 1 << 40  # of a file that was written here


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
    with closing(WaitingRoom()) as room:
        planned = _planned(path, selection)
        laid_out = lay_out(planned, selection, load_words(), progress, inks=room.put)
        return _commit(out, selection, told, *laid_out)


def _planned(path: Path, selection: Selection) -> Checked:
    """The job as planned, with the amounts weighed in where returned sheets are named."""
    if not selection.weighed_in:
        return plan(path, selection)
    from tagmaker.workflows.weighed_in import plan_weighed  # noqa: PLC0415 — heavy, and most sets need none

    return plan_weighed(path, selection)


def _commit(
    out: Path, selection: Selection, told: list[Problem], checked: Checked, laid_out: LaidOut | None
) -> Made:
    """Write what was laid out, unless a problem or what is in the folder forbids it."""
    if laid_out:
        checked = replace(checked, problems=(*checked.problems, *check_skip(laid_out)))
    if checked.plan is None or laid_out is None or has_errors(checked.problems):
        return Made(checked, out)
    warnings = told if selection.baseline else unrevised(laid_out, read_plan_file(out))
    try:
        with open_output_set(out, read_manifest, partial=selection.is_limited) as output_set:
            made = _write(output_set, out, checked, laid_out)
    except OutputRefused as reason:
        return Made(replace(checked, problems=(*checked.problems, reason.problem)), out)
    # added last, so that plan.json is the same whatever set was in the folder before
    return replace(made, checked=replace(made.checked, problems=(*made.checked.problems, *warnings)))


def _write(output_set: OutputSet, out: Path, checked: Checked, laid_out: LaidOut) -> Made:
    """Draw and prove every document, add the other files, and commit; an unread code refuses the whole."""
    issued, problems = laid_out.issued, list(checked.problems)
    boxes = sum(bool(box.labels or box.placard or box.walk) for box in laid_out.boxes)
    put = laid_out.inks or bytes
    phone = {name: put(content) for name, content in (_phone_walk(laid_out) | _link_page(laid_out)).items()}
    forms = [page for each in laid_out.documents for page in form_pages(each.file, each.pages)]
    _drop_marks(laid_out)
    printed, proofs = _print_all(laid_out, output_set)
    unread = [problem for each in proofs for problem in each.problems]
    if unread:
        return Made(replace(checked, problems=(*problems, *unread)), out)
    others = phone | _days_table(laid_out) | {"register.csv": register_csv(laid_out.placed)}
    for name, content in others.items():
        output_set.write(name, bytes(content))
    pictures = [name for each in printed for name in each.pictures]
    names = [*(each.file for each in printed), *pictures, *others]
    proof = laid_out.selection.proof
    files_kept = {name: output_set.digests[name] for name in names}
    output_set.write(PLAN_FILE, plan_json(issued, files_kept, problems, laid_out.selection, forms))
    output_set.finish()
    pages = {each.file: each.pages for each in printed}
    files = tuple((name, pages.get(name, 0)) for name in (*names, PLAN_FILE))
    read = sum(each.read for each in proofs) if proof else -1
    return Made(checked, out, files, tags=len(laid_out.placed), boxes=boxes, codes_read=read)


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
    return placard_files()


def _drop_marks(laid_out: LaidOut) -> None:
    """Leave the ink to the documents alone, each until it is drawn: of a campus it is a hundred megabytes."""
    laid_out.boxes.clear()
    laid_out.placed = [replace(each, label=replace(each.label, marks=())) for each in laid_out.placed]


def _taken(documents: list[Document]) -> Iterator[Document]:
    """Each document in order, removed from the list first, so that its ink is freed once it is drawn."""
    while documents:
        yield documents.pop(0)


class _Printed(Struct, frozen=True):
    """A document's file as written: its pages, its pictures' names."""

    file: str
    pages: int
    pictures: tuple[str, ...]


class _ToProve(Struct, frozen=True):
    """A part of a file on disk whose codes are to be read back: the first code of all, those of the part.

    The pages are those of the whole file, without their ink.
    """

    file: Path
    expected: list[Expected]
    pages: list[Page]
    dots_per_mm: float
    part: range


def _prove(each: _ToProve) -> Proof:
    """Read the codes of a part back, in whatever process this is."""
    pdf = read_plain(each.file, BYTES_AT_MOST)
    return prove(each.file.name, pdf, each.expected, each.pages, each.dots_per_mm, each.part)


def _parts(
    file: Path, document: Document, pages: Sequence[Page], codes: list[Expected]
) -> Iterator[_ToProve]:
    """What is to be proved of a file; nothing where it has no codes."""
    plain = [replace(page, marks=()) for page in pages]
    for part in parts_of(codes, len(pages)) if codes else ():
        wanted = [*codes[:1], *(each for each in codes[1:] if each.page in part)]
        yield _ToProve(file, wanted, plain, document.dots_per_mm, part)


def _print_all(laid_out: LaidOut, output_set: OutputSet) -> tuple[list[_Printed], list[Proof]]:
    """Every document printed, and every part of every document proved.

    The shortest is drawn first: its codes are read while the longer ones are drawn.
    """
    printed: list[_Printed] = []
    order = [each.file for each in laid_out.documents]
    laid_out.documents.sort(key=lambda each: len(each.pages))

    def to_prove() -> Iterator[_ToProve]:
        for document in _taken(laid_out.documents):
            codes = document.codes(laid_out.job.where) if laid_out.selection.proof else []
            pages = aligned(document)
            pdf = _drawn(document, pages, laid_out)
            output_set.write(document.file, pdf)
            pictures = _write_pngs(output_set, document, pdf) if laid_out.selection.png else ()
            printed.append(_Printed(document.file, len(pages), tuple(pictures)))
            yield from _parts(output_set.new / document.file, document, pages, codes)

    seconds = SECONDS_A_CODE * len(laid_out.placed) if laid_out.selection.proof else 0
    proofs = list(on_cores(_prove, to_prove(), seconds))
    return sorted(printed, key=lambda each: order.index(each.file)), proofs


def _drawn(document: Document, pages: Sequence[Page], laid_out: LaidOut) -> bytes:
    job = laid_out.job
    return draw_pdf(f"{job.title} – {document.title(load_words())}", job.prepared_by, pages, all_faces())


def _write_pngs(output_set: OutputSet, document: Document, pdf: bytes) -> Iterator[str]:
    """A document's pages as pictures; their names."""
    for number, picture in enumerate(png_pages(pdf, document.dots_per_mm), start=1):
        name = f"png/{document.file.removesuffix('.pdf')}-{number}.png"
        output_set.write(name, picture)
        yield name

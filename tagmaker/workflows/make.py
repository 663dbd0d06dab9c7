"""The stages in order: read → plan → check → tag → fit → place → draw → prove → commit."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from tagmaker.catalog.alignment import alignment_of
from tagmaker.catalog.words import Words, load_words
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.output_set import OutputRefused, Stage, open_stage
from tagmaker.files.toml import did_you_mean
from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tagmaker.outputs.proof import Expected, Proof, expected_of_labels, expected_of_pages, prove
from tagmaker.outputs.register import register_csv, tags_file
from tagmaker.outputs.walk_html import walk_html
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem, Where, error, for_boxes, has_errors, warning
from tagmaker.revisions.baseline import Since
from tagmaker.revisions.issued import Issued, issued
from tagmaker.revisions.plan_file import PLAN_FILE, plan_json, read_plan_file
from tagmaker.revisions.selection import Part
from tagmaker.sheets.bands import band_pages, check_bands
from tagmaker.sheets.box import FittedBox
from tagmaker.sheets.checks import check_letters, check_placards, check_stocks
from tagmaker.sheets.kits import kit_pages
from tagmaker.sheets.place import Placed, place_labels, tag_pages
from tagmaker.sheets.summary import Needed, summary_pages
from tagmaker.sheets.work_list import punch_pages
from tagmaker.symbols.png import page_pngs
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.two_processes import Fitter, fit_on_two_cores

__all__ = ["Checked", "Made", "Options", "check", "make", "plan"]

Progress = Callable[[int, int], None]
"""Called with boxes done and boxes in all."""
WHOLE = Part()
SCREEN_DOTS = 8  # a millimetre, for pictures of what is printed on no dot grid
MM_AN_INCH = 25.4


@dataclass(frozen=True)
class Checked:
    """A job as planned (None where it cannot be) and all that is wrong with it, in the files' order.

    `sheets` are (stock, labels, pages) that it needs; a page stock has no labels. `part_used` are (stock,
    labels used, labels left) of last sheets that are not used up.
    """

    plan: Plan | None
    problems: tuple[Problem, ...]
    sheets: tuple[tuple[str, int, int], ...] = ()
    part_used: tuple[tuple[str, int, int], ...] = ()


@dataclass(frozen=True)
class Made:
    """What `make` did: the files of the set with their pages, and how much of each thing there is.

    `codes_read` is how many codes read back, -1 without a proof.
    """

    checked: Checked
    files: tuple[tuple[str, int], ...] = ()
    tags: int = 0
    boxes: int = 0
    codes_read: int = -1


@dataclass(frozen=True, slots=True)
class Options:
    """How a set is written: its codes read back before it counts, its pages as pictures too.

    `since` is the plan.json of the set that hangs on site: only what changed is printed, or, with
    `prints_all`, everything in the revision in which it last changed.
    """

    proof: bool = True
    png: bool = False
    since: Path | None = None
    prints_all: bool = False


@dataclass
class _Set:
    """A job's set laid out, before there is ink."""

    job: Job
    part: Part
    boxes: list[FittedBox] = field(default_factory=list)
    placed: list[Placed] = field(default_factory=list)
    documents: dict[str, list[Page]] = field(default_factory=dict)

    @property
    def issued(self) -> Issued:
        """What the set says."""
        return issued(self.job, [box.issued for box in self.boxes])


def plan(path: Path, part: Part = WHOLE) -> Checked:
    """Read and plan a job; boxes and problems limited to the part's boxes."""
    job, problems = read_job(path)
    if job is None:
        return Checked(None, _sorted(problems))
    planned, found = plan_job(job)
    boxes = tuple(box for box in planned.boxes if not part.boxes or box.row.key in part.boxes)
    told = for_boxes((*problems, *found), part.boxes)
    return Checked(replace(planned, boxes=boxes), _sorted((*told, *_unknown(job, planned, part))))


def check(path: Path, part: Part = WHOLE, since: Path | None = None, beside: Path | None = None) -> Checked:
    """Everything that `make` would stop at, nothing written.

    The job is compared with the set of `since`, or with that in the folder `beside`, if one is there.
    """
    part, refused = _with_since(part, Options(since=since, prints_all=True))
    checked, laid_out = _laid_out(plan(path, part), part, load_words(), _silent, inks=False)
    if laid_out and beside and not part.since:
        refused += _unrevised(laid_out, read_plan_file(beside))
    return replace(checked, problems=(*checked.problems, *refused))


def make(
    path: Path,
    out: Path,
    part: Part = WHOLE,
    progress: Progress | None = None,
    options: Options = Options(),
) -> Made:
    """Write the set of a job into OUT, or nothing where the job has errors or a code does not read back."""
    part, unread = _with_since(part, options)
    if unread:
        return Made(Checked(None, tuple(unread)))
    checked, laid_out = _laid_out(plan(path, part), part, load_words(), progress or _silent, inks=True)
    if checked.plan is None or laid_out is None or has_errors(checked.problems):
        return Made(checked)
    told = [] if part.since else _unrevised(laid_out, read_plan_file(out))
    try:
        made = _write(checked, checked.plan, laid_out, out, options)
        # not in plan.json: the same job gives the same bytes, whatever was there before
        return replace(made, checked=replace(made.checked, problems=(*made.checked.problems, *told)))
    except OutputRefused as refused:
        return Made(replace(checked, problems=(*checked.problems, refused.problem)))


def _with_since(part: Part, options: Options) -> tuple[Part, list[Problem]]:
    """The part, with the set that it goes on from."""
    if options.since is None:
        return part, []
    earlier = read_plan_file(options.since)
    if isinstance(earlier, Problem):
        return part, [earlier]
    return replace(part, since=Since(earlier, prints_all=options.prints_all)), []


def _unrevised(whole: _Set, earlier: Issued | Problem) -> list[Problem]:
    """A warning where the job says something else than an earlier set of the same revision."""
    if whole.part.boxes or isinstance(earlier, Problem) or earlier.job.revision != whole.job.revision:
        return []
    if earlier.digest == whole.issued.digest:
        return []
    message = f"the job differs from the set of revision {whole.job.revision}, and its revision is the same"
    hint = "give [job] a new revision, so that old and new paper can be told apart"
    return [warning("revision-unchanged", message, whole.job.where, hint)]


def _silent(_done: int, _of: int) -> None:
    pass


def _sorted(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Each once, in the order of files and lines; of one place, in the order found."""
    once = dict.fromkeys(problems)
    return tuple(sorted(once, key=lambda problem: problem.where.order))


def _unknown(job: Job, planned: Plan, part: Part) -> list[Problem]:
    """Boxes and ports named on the command line that the job does not have."""
    boxes = {row.key: row.tag for row in job.boxes}
    ports = {
        f"{box.row.key}/{letter}" for box in planned.boxes for port in box.ports for letter in port.letters
    }
    problems = [
        error("box-unknown", f"the job has no box {tag!r}", Where("--box"), did_you_mean(tag, boxes.values()))
        for tag in part.boxes
        if tag not in boxes
    ]
    problems += [
        error("port-unknown", f"the job has no port {name!r}", Where("--only"), "write BOX/PORT, like BB-1/C")
        for name in part.ports
        if name not in ports
    ]
    return problems


def _laid_out(
    checked: Checked, part: Part, words: Words, progress: Progress, *, inks: bool
) -> tuple[Checked, _Set | None]:
    """Every box laid out and placed, so that every problem is known before there is ink."""
    if checked.plan is None or not checked.plan.job.prints.is_whole:
        return checked, None
    job = checked.plan.job
    whole = _Set(job, part)
    problems: list[Problem] = list(check_bands(job))
    stopped = has_errors(problems)
    for fitted, found in fit_on_two_cores(Fitter(job, words, part, inks), checked.plan.boxes, progress):
        whole.boxes.append(fitted)
        problems += found
    labels = [label for box in whole.boxes for label in box.labels]
    problems += check_letters(labels, job.prints.stocks, job.folder)
    problems += check_stocks((label.tag for label in labels), job.prints.stocks)
    problems += check_placards([box.placard for box in whole.boxes], job)
    if part.since:
        problems += _unrevised(whole, part.since.issued)
    if not stopped:
        problems += _place(whole, words)
    sheets = [(name, len(each), each[-1].page) for name, each in _by_stock(whole.placed).items()]
    placards = whole.documents.get("placards.pdf", [])
    sheets += [(job.prints.stocks["placard"].name, 0, len(placards))] if placards else []
    told = _sorted((*checked.problems, *problems))
    part_used = tuple(_part_used(whole.placed))
    return replace(checked, problems=told, sheets=tuple(sheets), part_used=part_used), whole


def _part_used(placed: Iterable[Placed]) -> Iterator[tuple[str, int, int]]:
    """The last sheets that have labels left, so that a later set can go on there."""
    for name, each in _by_stock(placed).items():
        last = each[-1]
        if last.stock.kind == "sheet" and last.place < last.stock.per_page:
            yield name, last.place, last.stock.per_page - last.place


def _place(whole: _Set, words: Words) -> list[Problem]:
    """The pages of every document, in the order in which they are printed."""
    job, part = whole.job, whole.part
    whole.placed = place_labels((label for box in whole.boxes for label in box.labels), job, part.skip)
    for stock, each in _by_stock(whole.placed).items():
        whole.documents[tags_file(stock)] = list(tag_pages(each))
    placards = [page for box in whole.boxes for page in box.placard]
    walks = [page for box in whole.boxes for page in box.walk]
    sheets = {"placards.pdf": placards, "walk.pdf": walks}
    whole.documents |= {name: pages for name, pages in sheets.items() if pages}
    problems = _place_changes(whole, words)
    if (part.has_sheets or part.kit) and whole.placed:
        boxes = [box.box for box in whole.boxes if box.labels]
        kits, found = kit_pages(job, boxes, whole.placed, words)
        whole.documents["kits.pdf"] = kits
        problems += found
    bands = [band for box in whole.boxes for band in box.bands]
    if bands:
        pages, found = band_pages(job, bands)
        whole.documents["bands.pdf"] = pages
        problems += found
    if part.has_sheets and whole.boxes and not part.is_update:
        plans = [box.box for box in whole.boxes]
        pages, found = summary_pages(job, plans, _needed(whole), words, is_part=part.is_limited)
        whole.documents["summary.pdf"] = pages
        problems += found
    return problems


def _needed(whole: _Set) -> list[Needed]:
    """What every file laid out so far is printed on."""
    stocks = {tags_file(each.stock.name): each.stock for each in whole.placed}
    stocks["placards.pdf"] = whole.job.prints.stocks["placard"]
    labels = Counter(tags_file(each.stock.name) for each in whole.placed)
    return [
        Needed(name, stocks.get(name), labels[name], len(pages)) for name, pages in whole.documents.items()
    ]


def _place_changes(whole: _Set, words: Words) -> list[Problem]:
    """The sheet with all that is to be done on site since the earlier set."""
    part = whole.part
    if part.since is None or not part.is_update or not part.has_sheets:
        return []
    from tagmaker.revisions.compare import compare  # noqa: PLC0415 — needed for updates only
    from tagmaker.revisions.work_lines import told_changes  # noqa: PLC0415

    limited = part.since.issued.limited_to(part.boxes, {row.key for row in whole.job.boxes})
    told = told_changes(compare(limited, whole.issued).of_boxes(part.boxes), words)
    title = words("changes.title", revision=part.since.issued.job.revision)
    none = words("changes.nothing_to_do")
    whole.documents["changes.pdf"], problems = punch_pages(whole.job, told, words, title, none)
    return problems


def _write(checked: Checked, planned: Plan, whole: _Set, out: Path, options: Options) -> Made:
    """Draw, prove and commit; a code that does not read back refuses the whole set."""
    job, dots = whole.job, _dots(whole)
    title = " ".join(part for part in (job.number, job.name) if part)
    walked = replace(planned, boxes=tuple(box.box for box in whole.boxes if box.walk))
    phone = {"walk.html": walk_html(walked, load_words())} if walked.boxes else {}
    issued_now, boxes = whole.issued, sum(bool(box.labels or box.placard or box.walk) for box in whole.boxes)
    _let_go(whole)
    pictures: list[str] = []
    pages_of: dict[str, int] = {}
    proofs: list[Proof] = []
    with open_stage(out, partial=whole.part.is_limited) as stage:
        for name in whole.documents:
            expected = _expected(name, whole) if options.proof else []
            pdf, pages = _draw(f"{title} – {name}", name, whole)
            stage.write(name, pdf)
            pages_of[name] = len(pages)
            if options.proof:
                proofs.append(prove(name, pdf, expected, pages, dots.get(name, 0)))
            if options.png:
                pictures += _write_pngs(stage, name, pdf, dots.get(name, 0))
        unread = tuple(problem for proof in proofs for problem in proof.problems)
        if unread:
            return Made(replace(checked, problems=(*checked.problems, *unread)))
        for name, content in phone.items():
            stage.write(name, content)
        stage.write("register.csv", register_csv(whole.placed))
        names = [*whole.documents, *pictures, *phone, "register.csv"]
        stage.write(
            PLAN_FILE, plan_json(issued_now, names, checked.problems, whole.part, proof=options.proof)
        )
        stage.finish()
    files = tuple((name, pages_of.get(name, 0)) for name in (*names, PLAN_FILE))
    read = sum(proof.read for proof in proofs) if options.proof else -1
    return Made(checked, files, len(whole.placed), boxes, read)


def _let_go(whole: _Set) -> None:
    """Only the documents keep ink from now on, each until it is drawn: a campus's is a hundred megabytes."""
    whole.boxes.clear()
    whole.placed = [replace(each, label=replace(each.label, marks=())) for each in whole.placed]


def _draw(title: str, name: str, whole: _Set) -> tuple[bytes, list[Page]]:
    """A document's file, and its pages without their marks, which the file has now."""
    pages = _aligned(name, whole.documents[name], whole)
    pdf = draw_pdf(title, whole.job.prepared_by, pages, all_faces())
    whole.documents[name] = []
    return pdf, [replace(page, marks=()) for page in pages]


def _expected(name: str, whole: _Set) -> list[Expected]:
    """The codes that a file must read back."""
    own = [each for each in whole.placed if tags_file(each.stock.name) == name]
    return expected_of_labels(own) if own else expected_of_pages(whole.documents[name], whole.job.where)


def _dots(whole: _Set) -> dict[str, int]:
    """Printer dots a millimetre of the files whose stock has a dot grid."""
    stocks = {tags_file(each.stock.name): each.stock for each in whole.placed}
    stocks["placards.pdf"] = whole.job.prints.stocks["placard"]
    return {name: stock.dots_per_mm for name, stock in stocks.items() if stock.dots_per_mm}


def _aligned(name: str, pages: list[Page], whole: _Set) -> list[Page]:
    """The pages of a label file, moved so that this user's printer puts them where they belong."""
    stock = next((each.stock.name for each in whole.placed if tags_file(each.stock.name) == name), "")
    kept = alignment_of(stock) if stock else None
    if kept is None:
        return pages
    x, y = kept.undo(0.0, 0.0)
    return [replace(page, adjust=(1 / kept.scale_x, 1 / kept.scale_y, x, y)) for page in pages]


def _write_pngs(stage: Stage, name: str, pdf: bytes, dots_per_mm: int) -> list[str]:
    """A file's pages as pictures, one bit deep for a printer with a dot grid."""
    dpi = (dots_per_mm or SCREEN_DOTS) * MM_AN_INCH
    written: list[str] = []
    for number, picture in enumerate(page_pngs(pdf, dpi, one_bit=dots_per_mm > 0), start=1):
        written.append(f"png/{name.removesuffix('.pdf')}-{number}.png")
        stage.write(written[-1], picture)
    return written


def _by_stock(placed: Iterable[Placed]) -> dict[str, list[Placed]]:
    groups: dict[str, list[Placed]] = {}
    for each in placed:
        groups.setdefault(each.stock.name, []).append(each)
    return groups

"""Photos and scans of sheets filled in by pen, read for `readback`.

Takes files and the printed sets whose sheets they may be; gives returns as forms and phones give them, what
is to be typed, and pictures of it. Where the boxes are is taken from the sets, never from today's job. It
loads the libraries of pictures, so `readback` loads it only where there is paper.
"""

import hashlib
import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct

from tagmaker.files.plain import is_plain_file, plain_size, read_plain
from tagmaker.problems import Problem, Where, error
from tagmaker.revisions.form_pages import FormPage
from tagmaker.revisions.plan_file import find_plan_file, read_form_pages
from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.pages import read_picture
from tagmaker.site.paper.readings import PageFault, PageReading, PrintedPages
from tagmaker.site.paper.sheets import PaperReturns, put_together
from tagmaker.site.paper.typed import TypedEntry
from tagmaker.site.scans.kinds import RefusedKind
from tagmaker.site.scans.sources import BROKEN, FILE_BYTES_AT_MOST
from tagmaker.symbols.read import Picture, open_picture, page_pictures
from tagmaker.tags.sheet_names import read_sheet_code
from tagmaker.tags.walk_code import WalkPage
from tagmaker.workflows.cores import on_cores
from tagmaker.workflows.readback_paper import kind_of

__all__ = ["PAGES_AT_MOST", "PrintedSets", "paper_back", "read_file"]

DOTS_AN_INCH = DOTS * 25.4
EMPTY_KEPT = 8  # pages, four megabytes each
SCAN_DPI = 200  # that of most scanners' one-bit pages: dots stay dots
PAGES_AT_MOST = 2_000
SECONDS_A_FILE = 0.5  # about what a photo of a page takes
PHOTO_HINT = "name photos (JPEG or PNG), or a scanner's PDF"


def paper_back(
    photos: Sequence[Path],
    unfilled: Sequence[Problem],
    sets: Sequence[Path],
    tests: Iterable[FormPage] = (),
    entries: Mapping[TypedEntry, str] | None = None,
) -> tuple[PaperReturns, list[Problem]]:
    """What photos and scanned PDFs give, and the problems of files that are neither.

    `unfilled` are the problems of PDFs without form fields: those that show a page of a sheet are scans. One
    with no mark on any page is none: programs that take fields out of a form take its entries with them.
    `tests` are the pages of response tests at hand, `entries` what was typed beside pictures, with its file.
    """
    printed = PrintedSets(tests)
    problems = [problem for each in sets if (problem := printed.add(each))]
    found: list[tuple[str, PageReading | PageFault]] = []
    files = [*photos, *(Path(problem.where.file) for problem in unfilled)]
    read = on_cores(_Reader(printed), files, SECONDS_A_FILE * (len(files) - 1))  # the first is read here
    for pages in itertools.islice(read, len(photos)):
        if isinstance(pages, Problem):
            problems.append(pages)
        else:
            found += pages
    for problem, pages in zip(unfilled, read, strict=True):
        if isinstance(pages, Problem) or not _is_scan([page for _, page in pages]):
            problems.append(problem)
        else:
            found += pages
    paper = put_together(found, printed.pages.by_code, entries)
    return paper, [*problems, *paper.problems]


def _is_scan(pages: Sequence[PageReading | PageFault]) -> bool:
    """Whether a PDF's pages show a page of a sheet, and a mark or a fault on any."""
    return any(map(_is_page, pages)) and not all(map(_is_unmarked, pages))


def _is_page(page: PageReading | PageFault) -> bool:
    return isinstance(page, PageReading) or page.is_page


def _is_unmarked(page: PageReading | PageFault) -> bool:
    """Whether a page of a box's walk has neither a mark nor handwriting, and all of it was seen."""
    if isinstance(page, PageFault) or not isinstance(read_sheet_code(page.code), WalkPage):
        return False
    return not page.written and all(tick == "blank" for tick in page.ticks.values())


class PrintedSets:
    """The forms of printed sets: their pages by the texts of their codes, and pictures of them, empty.

    Files and pictures are kept by the identity of their page, which lives as long as this.
    """

    def __init__(self, tests: Iterable[FormPage] = ()) -> None:
        self._pages: dict[str, list[FormPage]] = {each.code: [each] for each in tests}
        self._files: dict[int, tuple[Path, str]] = {}
        self._empty: dict[int, Picture | None] = {}

    def add(self, path: Path) -> Problem | None:
        """Take a set in; the problem where its plan.json cannot be read."""
        found = read_form_pages(path)
        if isinstance(found, Problem):
            return found
        for page in found.pages:
            if page.code:
                self._pages.setdefault(page.code, []).append(page)
                file = find_plan_file(path).with_name(page.file)
                self._files[id(page)] = file, found.digests.get(page.file, "")
        return None

    def __getstate__(self) -> tuple[dict[str, list[FormPage]], list[tuple[FormPage, tuple[Path, str]]]]:
        """What goes to another process, where pages are others: each file beside its page."""
        every = itertools.chain.from_iterable(self._pages.values())
        return self._pages, [(each, self._files[id(each)]) for each in every if id(each) in self._files]

    def __setstate__(
        self, state: tuple[dict[str, list[FormPage]], list[tuple[FormPage, tuple[Path, str]]]]
    ) -> None:
        self._pages, files = state
        self._files = {id(page): file for page, file in files}
        self._empty = {}

    @property
    def pages(self) -> PrintedPages:
        """What a reader of pictures needs."""
        return PrintedPages(self._pages, self._empty_page)

    def _empty_page(self, page: FormPage) -> "Picture | None":
        """A page as it was printed; None where its file is gone, or was filled in since, or is no set's."""
        if id(page) not in self._empty:
            if len(self._empty) >= EMPTY_KEPT:
                self._empty.clear()
            self._empty[id(page)] = self._drawn(page)
        return self._empty[id(page)]

    def _drawn(self, page: FormPage) -> "Picture | None":
        file, digest = self._files.get(id(page), (Path(), ""))
        try:
            content = read_plain(file, FILE_BYTES_AT_MOST) if is_plain_file(file) else b""
            if hashlib.sha256(content).hexdigest() != digest:
                return None
            return next(page_pictures(content, DOTS_AN_INCH, only=[page.page]), None)
        except BROKEN:
            return None


class _Reader(Struct, frozen=True):
    """Reads a file by these sets; processes of their own have one from their start."""

    printed: PrintedSets

    def __call__(self, file: Path) -> list[tuple[str, PageReading | PageFault]] | Problem:
        return read_file(file, self.printed)


def read_file(file: Path, printed: PrintedSets) -> list[tuple[str, PageReading | PageFault]] | Problem:
    """Each page that a photo or a PDF shows, with its source; the problem of a file that cannot be read."""
    where = Where(file.as_posix())
    try:
        if plain_size(file) > FILE_BYTES_AT_MOST:
            return error("return-unreadable", f"{file.name} is over 200 MB", where, PHOTO_HINT)
        kind = kind_of(file)
        if isinstance(kind, RefusedKind):
            return error("return-unreadable", f"{file.name} is refused: {kind.fault}", where, kind.hint)
        content = read_plain(file, FILE_BYTES_AT_MOST)
        return list(_pages(file.as_posix(), content, printed, is_pdf=kind == "pdf"))
    except BROKEN as reason:
        return error("return-unreadable", f"{file.name} cannot be read: {reason}", where, PHOTO_HINT)


def _pages(
    source: str, content: bytes, printed: PrintedSets, *, is_pdf: bool
) -> Iterator[tuple[str, PageReading | PageFault]]:
    if not is_pdf:
        yield from ((source, page) for page in read_picture(open_picture(content), printed.pages))
        return
    for number, picture in enumerate(page_pictures(content, SCAN_DPI, PAGES_AT_MOST), start=1):
        yield from ((f"{source} page {number}", page) for page in read_picture(picture, printed.pages))

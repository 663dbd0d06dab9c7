"""Every page of a selection as it will print, without writing a set: the stages of `make` up to the ink.

A job is laid out once and its pages are put into a file, each by itself; later one page is read from it and
drawn. So memory holds one page of a campus, and a large job can be laid out by another process. The file is
of the same program and only kept while it runs.
"""

import contextlib
import hashlib
import pickle
import threading
import zlib
from collections.abc import Callable, Iterator
from contextlib import closing
from functools import lru_cache
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.alignment import alignment_file
from tagmaker.catalog.words import load_words
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.plain import file_mark, plain_digest
from tagmaker.files.records import read_record, records_written, remove_records
from tagmaker.files.waiting import WaitingRoom
from tagmaker.job.choices import catalog_of_job, files_of_job, job_file
from tagmaker.problems import Problem, has_errors
from tagmaker.revisions.plan_file import find_plan_file, read_whole_set
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.place import Placed
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.documents import Document, aligned, png_pages
from tagmaker.workflows.layout import Progress, check_skip, lay_out, planned, unrevised, with_baseline
from tagmaker.workflows.planning import PartUsed, StockNeed

__all__ = [
    "PageView",
    "Preview",
    "PreviewDocument",
    "PreviewLabel",
    "Previews",
    "lay_out_preview",
    "page_picture",
    "page_view",
    "preview_key",
]

Mark = tuple[int, int, int]
QUICKLY = 1  # of nine ways to pack
KEPT = 2  # layouts: of the present selection and of the one before it


class PreviewLabel(Struct, frozen=True):
    """A label on a page: its code, its place on the sheet from 1, its rectangle in mm as it is printed."""

    code: str
    place: int
    x: float
    y: float
    width: float
    height: float


class PreviewDocument(Struct, frozen=True):
    """A file of the set: its title, the name of the stock that it is printed on, its size.

    `stock` is empty for plain paper; `pieces` counts labels or bands. `places` are the labels of a sheet in
    filling order (x, y, width, height in mm; none of rolls and plain paper) on a page of `page_mm`. `offsets`
    are where its pages are in the file of the layout. Labels of strips are cells: a page is one strip.
    """

    file: str
    title: str
    stock: str
    pieces: int
    is_strips: bool
    page_mm: tuple[float, float]
    places: tuple[tuple[float, float, float, float], ...]
    offsets: tuple[int, ...]

    @property
    def pages(self) -> int:
        """How many pages it has."""
        return len(self.offsets)


class Preview(Struct, frozen=True):
    """A selection as laid out: its documents, none where `make` would write nothing, and all problems."""

    problems: tuple[Problem, ...]
    documents: tuple[PreviewDocument, ...] = ()
    sheets: tuple[StockNeed, ...] = ()
    part_used: tuple[PartUsed, ...] = ()

    def document(self, file: str) -> PreviewDocument | None:
        """The document of that file name."""
        return next((each for each in self.documents if each.file == file), None)


class PageView(Struct, frozen=True):
    """What lies on one page: its size in mm, its labels."""

    width: float
    height: float
    labels: tuple[PreviewLabel, ...]


class _Stored(Struct, frozen=True):
    """A page in the file of a layout; `dots` a millimetre are its printer's, 0 without a grid."""

    page: Page
    labels: tuple[PreviewLabel, ...]
    dots: float


def preview_key(path: Path, selection: Selection, out: Path | None = None) -> str:
    """A digest of all that a layout depends on: the job's files, the selection, the user's printers.

    Equal keys mean equal pages and problems. `out` is the folder of the set that would be replaced. A file
    is read again where its time or size changed.
    """
    others = [*(find_plan_file(each) for each in (selection.since, out) if each), *selection.weighed_in]
    own = _files(path, file_mark(job_file(path)))
    files = {each.as_posix(): _digest(each, file_mark(each)) for each in (*own, *others, alignment_file())}
    asked = (path.as_posix(), files, repr(selection))
    return hashlib.sha256(repr(asked).encode(errors="backslashreplace")).hexdigest()


def _files(path: Path, mark: Mark) -> tuple[Path, ...]:
    """The files that a job is read from; its own families and stocks as they are now."""
    return (*_named_files(path, mark), *catalog_of_job(path))


@lru_cache(maxsize=64)
def _named_files(path: Path, _mark: Mark) -> tuple[Path, ...]:
    """The job's file and the schedules that it names; read again only where the file changed."""
    return files_of_job(path)


@lru_cache(maxsize=256)
def _digest(path: Path, _mark: Mark) -> str:
    """A file's digest, empty where it cannot be read; a file whose mark is the same is not read again."""
    with contextlib.suppress(OSError):
        return plain_digest(path)
    return ""


def _silent(_done: int, _of: int) -> None:
    """Nobody waits for progress."""


def lay_out_preview(
    path: Path, selection: Selection, out: Path, file: Path, progress: Progress = _silent
) -> Preview:
    """Lay a selection of a job out and put its pages into `file`; the problems are those of `make`.

    `out` is the folder of the set that would be replaced: a job that differs from it needs a new revision.
    """
    selection, told = with_baseline(selection)
    if has_errors(told):
        return Preview(tuple(told))
    with closing(WaitingRoom()) as room:
        found = planned(path, selection)
        checked, laid_out = lay_out(found, selection, progress, inks=room.put)
        if laid_out is None:
            return Preview((*checked.problems, *told))
        told = told if selection.baseline else unrevised(laid_out, read_whole_set(out))
        problems = (*checked.problems, *check_skip(laid_out), *told)
        if has_errors(problems):
            return Preview(problems)
        with records_written(file) as add:
            documents = tuple(_stored(each, add) for each in laid_out.documents)
        return Preview(problems, documents, checked.sheets, checked.part_used)


def _stored(document: Document, add: Callable[[bytes], int]) -> PreviewDocument:
    """A document's outline, its pages put into the file one by one."""
    offsets: list[int] = []
    for sheet in aligned(document):
        on_page = tuple(_label(each, sheet.page) for each in sheet.labels)
        stored = _Stored(sheet.page, on_page, document.dots_per_mm)
        offsets.append(add(zlib.compress(pickle.dumps(stored, pickle.HIGHEST_PROTOCOL), QUICKLY)))
    first = document.sheets[0].page
    return PreviewDocument(
        file=document.file,
        title=document.title(load_words()),
        stock=document.stock.name if document.stock else "",
        pieces=document.pieces,
        is_strips=document.stock is not None and document.stock.shape == "strip",
        page_mm=(first.width, first.height),
        places=tuple(_places(document)),
        offsets=tuple(offsets),
    )


def _places(document: Document) -> Iterator[tuple[float, float, float, float]]:
    """The labels of a sheet, in filling order."""
    stock = document.stock
    if stock and document.has_labels and stock.kind == "sheet":
        yield from ((*stock.corner(index), *stock.label) for index in range(stock.per_page))


def _label(placed: Placed, page: Page) -> PreviewLabel:
    """A label where it is printed: moved and scaled with its page."""
    scale_x, scale_y, dx, dy = page.adjust or (1.0, 1.0, 0.0, 0.0)
    x, y = scale_x * placed.x + dx, scale_y * placed.y + dy
    width, height = placed.stock.label
    return PreviewLabel(placed.label.tag.code, placed.place, x, y, scale_x * width, scale_y * height)


def page_view(file: Path, document: PreviewDocument, number: int) -> PageView:
    """A page of a document, from 1, out of the file of its layout; IndexError where there is none."""
    stored = _read(file, document, number)
    return PageView(stored.page.width, stored.page.height, stored.labels)


def page_picture(file: Path, document: PreviewDocument, number: int) -> bytes:
    """The PNG picture of the page that `make --png` writes."""
    stored = _read(file, document, number)
    pdf = draw_pdf(document.title, "", [stored.page], all_faces())
    return next(png_pages(pdf, stored.dots))


def _read(file: Path, document: PreviewDocument, number: int) -> _Stored:
    if not 0 < number <= document.pages:
        raise IndexError(number)
    content = zlib.decompress(read_record(file, document.offsets[number - 1]))
    stored: _Stored = pickle.loads(content)  # noqa: S301 — its own
    return stored


class Previews:
    """Layouts that are kept in a folder, the last few by their keys; any thread may ask."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._kept: dict[str, Preview] = {}
        self._lock = threading.Lock()

    def file(self, key: str) -> Path:
        """Where the pages of a layout are, or are to be put."""
        return self.folder / f"{key}.pages"

    def find(self, key: str) -> Preview | None:
        """The layout of that key, if it is kept."""
        with self._lock:
            preview = self._kept.pop(key, None)
            if preview:
                self._kept[key] = preview  # the last one asked for is dropped last
            return preview

    def keep(self, key: str, preview: Preview) -> None:
        """Keep a layout whose pages are in its file; the one not asked for longest is dropped."""
        with self._lock:
            self._kept[key] = preview
            for old in list(self._kept)[:-KEPT]:
                del self._kept[old]
                remove_records(self.file(old))

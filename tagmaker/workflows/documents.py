"""Every printed document: the files that it makes of the boxes, their stock, and what their codes must read.

A document is one row of `DOCUMENTS`: to add one, write the function that makes its pages and add its row. The
stages of `make` know none by name. Those without codes that list the whole job are laid out apart: in a large
job by another process, while the others are drawn.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.alignment import alignment_of
from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.ink import Put
from tagmaker.draw.marks import Page
from tagmaker.files.packed import Packed
from tagmaker.job.model import Job
from tagmaker.outputs.proof import Expected, expected_of_labels, expected_of_page
from tagmaker.outputs.register import tags_file
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem, Where
from tagmaker.sheets.band_sheets import band_pages
from tagmaker.sheets.kit_labels import KitLabel
from tagmaker.sheets.kits import kit_pages
from tagmaker.sheets.summary import Needed, summary_pages
from tagmaker.symbols.png import page_pngs
from tagmaker.workflows.cores import Workers
from tagmaker.workflows.fitting import Wanted
from tagmaker.workflows.laid_out import Apart, LaidOut, Sheet

__all__ = [
    "DOCUMENTS",
    "Document",
    "add_apart",
    "aligned",
    "lay_out_documents",
    "png_pages",
    "title_of_file",
]

SCREEN_DOTS = 8  # a millimetre, for pictures of what is printed on no dot grid
MM_AN_INCH = 25.4
SECONDS_A_BOX = 0.01  # that its share of documents takes, laid out and drawn


Pages = tuple[Iterable[Page], Sequence[Problem]]
Sheets = tuple[Sequence[Sheet], Sequence[Problem]]
Codes = Callable[[int, Sheet, Where], list[Expected]]
Maker = Callable[[Sequence[Needed]], Pages]
"""Makes pages, given what the other documents are printed on; it passes between processes."""


class Row(Struct, frozen=True):
    """A kind of document.

    `file` is its name, {stock} the stock's. `stocks` gives what it is printed on, a file for each (None:
    plain paper); `sheets` makes the pages of one file, none where the set has no such document; `codes` lists
    what the codes on one of them, of that number, must read; `pieces` counts what its pages are cut into.
    One on plain paper without codes may be laid out `apart`, instead of by `sheets`.
    """

    file: str
    stocks: Callable[[LaidOut], Sequence[Stock | None]]
    sheets: Callable[[LaidOut, Stock | None, Words], Sheets] = lambda _laid_out, _stock, _words: ((), ())
    codes: Codes = lambda number, sheet, where: expected_of_page(number, sheet.page, where)
    pieces: Callable[[LaidOut, Stock | None], int] = lambda _laid_out, _stock: 0
    apart: Callable[[LaidOut, Words], Maker | None] = lambda _laid_out, _words: None


class Document(Struct, frozen=True):
    """One file to print: its sheets, which are made whenever they are asked for, and what it is printed on.

    `stock` is None for plain paper. `pieces` is how many labels or bands it has in all.
    """

    row: Row
    sheets: Sequence[Sheet]
    stock: Stock | None
    pieces: int = 0

    @property
    def file(self) -> str:
        """Its file's name."""
        return self.row.file.format(stock=self.stock.name if self.stock else "")

    @property
    def has_labels(self) -> bool:
        """Whether it is a file of labels."""
        return self.row.codes is _codes_of_labels

    def title(self, words: Words) -> str:
        """What it is, in words; labels with what they are printed on: each file of a set has its own."""
        title = title_of_file(self.row.file, words)
        return f"{title} – {self.stock.name}" if self.stock and self.has_labels else title

    @property
    def dots_per_mm(self) -> float:
        """The dot grid of the printer that the stock is made for; 0 where there is none."""
        return self.stock.dots_per_mm if self.stock else 0


def aligned(document: Document) -> Iterator[Sheet]:
    """The sheets, those of labels moved and scaled against what `align` measured of this user's printer.

    Placards and sheets are left as they are: a millimetre does not matter there.
    """
    kept = alignment_of(document.stock.name) if document.stock and document.pieces else None
    dots = document.dots_per_mm
    for sheet in document.sheets:
        page = sheet.page
        adjust = kept.adjust((page.width, page.height), dots) if kept else None
        yield Sheet(replace(page, adjust=adjust), sheet.labels) if kept else sheet


def png_pages(pdf: bytes | Path, dots_per_mm: float) -> Iterator[bytes]:
    """A document's pages as PNG pictures, one bit deep for a printer with a dot grid (0: none)."""
    return page_pngs(pdf, (dots_per_mm or SCREEN_DOTS) * MM_AN_INCH, one_bit=dots_per_mm > 0)


def title_of_file(name: str, words: Words) -> str:
    """What a document is, by its file's name, in words; "" for other files."""
    kinds = {_kind(row.file) for row in DOCUMENTS}
    return words(f"document.{_kind(name)}") if name.endswith(".pdf") and _kind(name) in kinds else ""


def _kind(name: str) -> str:
    """The key of a document's title."""
    return name.partition("-")[0].removesuffix(".pdf")


def lay_out_documents(laid_out: LaidOut, words: Words, workers: Workers | None) -> list[Problem]:
    """Make every document in the order of the table, and give the problems found on the way.

    Those that are laid out apart are begun; `add_apart` adds them.
    """
    problems: list[Problem] = []
    needed: list[tuple[int, Needed]] = []
    for at, row in enumerate(DOCUMENTS):
        for stock in row.stocks(laid_out):
            sheets, found = row.sheets(laid_out, stock, words)
            problems += found
            if sheets:
                document = Document(row, sheets, stock, row.pieces(laid_out, stock))
                laid_out.documents.append(document)
                needed.append((at, Needed(document.file, stock, document.pieces, len(sheets))))
    made = [(at, row.apart(laid_out, words)) for at, row in enumerate(DOCUMENTS)]
    makers = [(at, maker) for at, maker in made if maker]
    apart = _Apart(makers, laid_out.wanted)
    begun = workers and workers.begin(apart, needed, SECONDS_A_BOX * len(laid_out.boxes))
    laid_out.apart = partial(_put, begun, laid_out.put) if begun else partial(apart, needed, laid_out.put)
    return problems


def _put(begun: Callable[[], list[Apart]], put: Put) -> list[Apart]:
    """What another process laid out, its pages where they wait."""
    return [(at, list(map(put, map(bytes, pages))), problems) for at, pages, problems in begun()]


class _Apart(Struct, frozen=True):
    """Lays documents out apart, in whatever process: what makes them, by their rows of the table."""

    makers: Sequence[tuple[int, Maker]]
    wanted: Wanted

    def __call__(self, others: Sequence[tuple[int, Needed]], put: Put = bytes) -> list[Apart]:
        """The pages of each, packed, and its problems; `others` is what the other documents are printed on.

        Each page waits where `put` has it: all of a large job would fill the memory.

        The order matters to the summary, which lists what all documents before it are printed on.
        """
        needed, laid_out = list(others), []
        for at, maker in self.makers:
            pages, problems = maker([each for before, each in sorted(needed, key=_row_of) if before < at])
            packed = [put(self.wanted.page(page)) for page in pages]  # after the last all problems are there
            laid_out.append((at, packed, problems))
            needed.append((at, Needed(DOCUMENTS[at].file, None, 0, len(packed))))
        return laid_out


def _row_of(each: tuple[int, Needed]) -> int:
    return each[0]


def add_apart(laid_out: LaidOut) -> list[Problem]:
    """Add the documents that were laid out apart, once they are there; their problems, each time the same."""
    begun, laid_out.apart = laid_out.apart, list
    for at, packed, problems in begun():
        if packed:
            laid_out.documents.append(Document(DOCUMENTS[at], Packed(packed, _sheet), None))
        laid_out.apart_problems += problems
    laid_out.documents.sort(key=lambda each: ROWS[each.row.file])
    return laid_out.apart_problems


def _sheet(page: Page) -> Sheet:
    """A page without labels."""
    return Sheet(page)


def _drawn(laid_out: LaidOut, found: Pages) -> Sheets:
    """Pages as they are laid out, which wait packed. All problems are there after the last page."""
    pages, problems = found
    waiting = [laid_out.put(laid_out.wanted.page(page)) for page in pages]
    return Packed(waiting, _sheet), problems


def _codes_of_labels(_number: int, sheet: Sheet, _where: Where) -> list[Expected]:
    return expected_of_labels(sheet.labels)


def _plain_paper(_laid_out: LaidOut) -> tuple[None]:
    return (None,)


def _placard_stock(laid_out: LaidOut) -> tuple[Stock]:
    return (laid_out.job.prints.stocks["placard"],)


def _label_stocks(laid_out: LaidOut) -> tuple[Stock, ...]:
    """The stocks that labels were placed on, in order of first use."""
    return tuple(stack.last.stock for stack in laid_out.stacks.values())


def _label_count(laid_out: LaidOut, stock: Stock | None) -> int:
    return len(laid_out.stacks[stock.name].kits) if stock else 0


def _tags(laid_out: LaidOut, stock: Stock | None, words: Words) -> Sheets:
    return laid_out.label_sheets(stock.name, words) if stock else (), ()


def _placards(laid_out: LaidOut, _stock: Stock | None, _words: Words) -> Sheets:
    return Packed([page for box in laid_out.boxes for page in box.placard], _sheet), ()


def _walk(laid_out: LaidOut, _stock: Stock | None, _words: Words) -> Sheets:
    return Packed([page for box in laid_out.boxes for page in box.walk], _sheet), ()


def _changes(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Sheets:
    """All that is to be done on site since the earlier set; of an update only."""
    selection = laid_out.selection
    if selection.baseline is None or not selection.is_update or not selection.has_sheets:
        return (), ()
    from tagmaker.revisions.compare import compare  # noqa: PLC0415 — needed for updates only
    from tagmaker.revisions.work_lines import work_of_changes  # noqa: PLC0415
    from tagmaker.sheets.work_list import work_list_pages  # noqa: PLC0415

    earlier = selection.baseline.issued
    limited = earlier.limited_to(selection.boxes, {row.key for row in laid_out.job.boxes})
    work = work_of_changes(compare(limited, laid_out.issued).of_boxes(selection.boxes), words)
    title = words("changes.title", revision=earlier.job.revision)
    pages = work_list_pages(laid_out.job, work, words, title, words("changes.nothing_to_do"))
    return _drawn(laid_out, pages)


def _kits(laid_out: LaidOut, words: Words) -> Maker | None:
    """Slips and the list of rooms, at every stage; a reprint of single ports or tags is no kit."""
    labels = [label for stack in laid_out.stacks.values() for label in stack.kits]
    if not labels or laid_out.selection.only:
        return None
    boxes = [box.box for box in laid_out.boxes if box.has_labels]
    return partial(_kit_pages, laid_out.job, boxes, labels, words, _part(laid_out, words))


def _kit_pages(
    job: Job,
    boxes: Sequence[BoxPlan],
    labels: Sequence[KitLabel],
    words: Words,
    part: str,
    _needed: Sequence[Needed],
) -> Pages:
    return kit_pages(job, boxes, labels, words, part)


def _part(laid_out: LaidOut, words: Words) -> str:
    """What of the job the set covers, in words: slips of two stages must not be taken for each other."""
    selection, job = laid_out.selection, laid_out.job
    texts: list[str] = []
    if selection.stage:
        texts.append(words(f"page.stage_{selection.stage.replace('-', '_')}"))
    if selection.kit:
        texts.append(words(f"page.kit_{selection.kit}"))
    if selection.boxes:
        texts.append(words("summary.part", count=len(laid_out.boxes), of=len(job.boxes)))
    if selection.baseline and selection.is_update:
        texts.append(words("page.since", revision=selection.baseline.issued.job.revision))
    return " · ".join(texts)


def _bands(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Sheets:
    bands = [band for box in laid_out.boxes for band in box.bands]
    if not bands:
        return (), ()
    return _drawn(laid_out, band_pages(laid_out.job, bands, words, _part(laid_out, words)))


def _band_count(laid_out: LaidOut, _stock: Stock | None) -> int:
    return sum(band.count for box in laid_out.boxes for band in box.bands)


def _systems(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Sheets:
    """Test, charge and start of each system; an update and a limited stage have none."""
    if not laid_out.has_system_sheets:
        return (), ()
    from tagmaker.sheets.system import system_pages  # noqa: PLC0415 — needed for jobs with systems only

    return _drawn(laid_out, system_pages(laid_out.job, laid_out.systems, words))


def _first_days(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Sheets:
    """The reading sheet of each system's first days; where the set has the systems' sheets."""
    if not laid_out.has_system_sheets:
        return (), ()
    from tagmaker.sheets.first_days import first_days_pages  # noqa: PLC0415 — as above

    return _drawn(laid_out, first_days_pages(laid_out.job, laid_out.systems, words))


def _sign_stock(laid_out: LaidOut) -> tuple[Stock, ...]:
    stock = laid_out.job.prints.stocks.get("sign")
    return (stock,) if stock else ()


def _signs(laid_out: LaidOut, stock: Stock | None, words: Words) -> Sheets:
    """The sign of each system whose refrigerant was weighed in; an update and a limited stage have none."""
    if stock is None or not laid_out.selection.has_sheets or laid_out.selection.is_update:
        return (), ()
    from tagmaker.sheets.sign import sign_pages  # noqa: PLC0415 — as above

    return _drawn(laid_out, sign_pages(laid_out.job, laid_out.systems, stock, words))


def _sign_count(laid_out: LaidOut, stock: Stock | None) -> int:
    """How many signs are on labels."""
    if stock is None or stock.kind == "page":
        return 0
    from tagmaker.sheets.sign import signed_systems  # noqa: PLC0415 — as above

    return len(signed_systems(laid_out.job, laid_out.systems))


def _isolation(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Sheets:
    """What each isolation point isolates; where the job asks for its labels."""
    job, selection = laid_out.job, laid_out.selection
    if "isolation" not in job.prints.stocks or not selection.has_sheets or selection.is_update:
        return (), ()
    from tagmaker.sheets.isolation_list import isolation_pages  # noqa: PLC0415 — few jobs ask for it

    return _drawn(laid_out, isolation_pages(job, {box.box.row.key for box in laid_out.boxes}, words))


def _summary(laid_out: LaidOut, words: Words) -> Maker | None:
    """The office's summary; it says what all documents before it are printed on."""
    selection = laid_out.selection
    if not selection.has_sheets or not laid_out.boxes or selection.is_update:
        return None
    boxes = [box.box for box in laid_out.boxes]
    return partial(summary_pages, laid_out.job, boxes, words=words, is_part=selection.is_limited)


DOCUMENTS = (
    Row(tags_file("{stock}"), _label_stocks, _tags, _codes_of_labels, _label_count),
    Row("placards.pdf", _placard_stock, _placards),
    Row("walk.pdf", _plain_paper, _walk),
    Row("changes.pdf", _plain_paper, _changes),
    Row("kits.pdf", _plain_paper, apart=_kits),
    Row("bands.pdf", _plain_paper, _bands, pieces=_band_count),
    Row("systems.pdf", _plain_paper, _systems),
    Row("first-days.pdf", _plain_paper, _first_days),
    Row("signs.pdf", _sign_stock, _signs, pieces=_sign_count),
    Row("isolation.pdf", _plain_paper, _isolation),
    Row("summary.pdf", _plain_paper, apart=_summary),
)
"""Every kind of document, in the order in which the files are listed and printed."""
ROWS = {row.file: at for at, row in enumerate(DOCUMENTS)}

"""Every printed document: the files that it makes of the boxes, their stock, and what their codes must read.

A document is one row of `DOCUMENTS`: to add one, write the function that makes its pages and add its row. The
stages of `make` know none by name.
"""

from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.alignment import alignment_of
from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.ink import Put, drawn, put_away
from tagmaker.draw.marks import Drawn, Group, Page
from tagmaker.job.model import Job
from tagmaker.outputs.proof import Expected, expected_of_labels, expected_of_pages
from tagmaker.outputs.register import tags_file
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem, Where
from tagmaker.revisions.issued import Issued
from tagmaker.revisions.issuing import issued
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.band_sheets import band_pages
from tagmaker.sheets.box import FittedBox
from tagmaker.sheets.first_days import first_days_pages
from tagmaker.sheets.isolation_list import isolation_pages
from tagmaker.sheets.kits import kit_pages
from tagmaker.sheets.place import Placed
from tagmaker.sheets.sheet_margin import label_pages
from tagmaker.sheets.sign import sign_pages, signed_systems
from tagmaker.sheets.summary import Needed, summary_pages
from tagmaker.sheets.system import system_pages
from tagmaker.sheets.work_list import work_list_pages
from tagmaker.symbols.png import page_pngs
from tagmaker.typeset.fonts import all_faces

__all__ = ["DOCUMENTS", "Document", "LaidOut", "aligned", "lay_out_documents", "png_pages", "title_of_file"]

SCREEN_DOTS = 8  # a millimetre, for pictures of what is printed on no dot grid
MM_AN_INCH = 25.4


class LaidOut(Struct):
    """A job's boxes laid out, their labels placed, and the documents made of them so far.

    Filled stage by stage, and emptied by `make` as documents are drawn, so that ink is freed early; hence not
    frozen. With `inks` pages are ink, which waits where that puts it.
    """

    job: Job
    selection: Selection
    boxes: list[FittedBox] = []
    placed: list[Placed] = []
    documents: "list[Document]" = []
    systems: Sequence[SystemPlan] = ()
    inks: Put | None = None

    @property
    def issued(self) -> Issued:
        """What the set prints, as plan.json keeps it for the next revision."""
        return issued(self.job, [box.issued for box in self.boxes], self.systems)

    @property
    def has_system_sheets(self) -> bool:
        """Whether the set has the sheets of systems: an update and a limited stage have none."""
        return bool(self.systems) and self.selection.has_sheets and not self.selection.is_update

    def labels_on(self, stock: Stock | None) -> list[Placed]:
        """The labels placed on a stock, in print order."""
        return [each for each in self.placed if stock and each.stock.name == stock.name]


Pages = tuple[Sequence[Page], Sequence[Problem]]
Codes = Callable[[Sequence[Page], Sequence[Placed], Where], list[Expected]]


class Row(Struct, frozen=True):
    """A kind of document.

    `file` is its name, {stock} the stock's. `stocks` gives what it is printed on, a file for each (None:
    plain paper); `pages` makes the pages of one file, none where the set has no such document; `codes` lists
    what the codes on them must read; `pieces` counts what its pages are cut into, where they are no labels.
    """

    file: str
    stocks: Callable[[LaidOut], Sequence[Stock | None]]
    pages: Callable[[LaidOut, Stock | None, Words], Pages]
    codes: Codes = lambda pages, _labels, where: expected_of_pages(pages, where)
    pieces: Callable[[LaidOut], int] = lambda _laid_out: 0


class Document(Struct, frozen=True):
    """One file to print: its pages, the stock it is printed on (None: plain paper), the labels on it.

    `pieces` is how many labels or bands it has in all.
    """

    row: Row
    pages: Sequence[Page]
    stock: Stock | None
    labels: Sequence[Placed]
    pieces: int = 0

    @property
    def file(self) -> str:
        """Its file's name."""
        return self.row.file.format(stock=self.stock.name if self.stock else "")

    def title(self, words: Words) -> str:
        """What it is, in words; labels with what they are printed on: each file of a set has its own."""
        title = title_of_file(self.row.file, words)
        return f"{title} – {self.stock.name}" if self.stock and self.labels else title

    @property
    def dots_per_mm(self) -> float:
        """The dot grid of the printer that the stock is made for; 0 where there is none."""
        return self.stock.dots_per_mm if self.stock else 0

    def codes(self, where: Where) -> list[Expected]:
        """What the finished file must read back; `where` is the place of a problem that no label has."""
        return self.row.codes(self.pages, self.labels, where)


def aligned(document: Document) -> Sequence[Page]:
    """The pages, those of labels moved and scaled against what `align` measured of this user's printer.

    Placards and sheets are left as they are: a millimetre does not matter there.
    """
    kept = alignment_of(document.stock.name) if document.stock and document.pieces else None
    if kept is None:
        return document.pages
    dots = document.dots_per_mm
    return [replace(page, adjust=kept.adjust((page.width, page.height), dots)) for page in document.pages]


def png_pages(pdf: bytes, dots_per_mm: float) -> Iterator[bytes]:
    """A document's pages as PNG pictures, one bit deep for a printer with a dot grid (0: none)."""
    return page_pngs(pdf, (dots_per_mm or SCREEN_DOTS) * MM_AN_INCH, one_bit=dots_per_mm > 0)


def title_of_file(name: str, words: Words) -> str:
    """What a document is, by its file's name, in words; "" for other files."""
    kinds = {_kind(row.file) for row in DOCUMENTS}
    return words(f"document.{_kind(name)}") if name.endswith(".pdf") and _kind(name) in kinds else ""


def _kind(name: str) -> str:
    """The key of a document's title."""
    return name.partition("-")[0].removesuffix(".pdf")


def lay_out_documents(laid_out: LaidOut, words: Words) -> list[Problem]:
    """Make every document in the order of the table, and give the problems found on the way.

    The order matters to the summary, which lists what the documents before it are printed on.
    """
    problems: list[Problem] = []
    for row in DOCUMENTS:
        for stock in row.stocks(laid_out):
            pages, found = row.pages(laid_out, stock, words)
            problems += found
            if pages:
                pages = [_waiting(page, laid_out.inks) for page in pages] if laid_out.inks else pages
                labels = laid_out.labels_on(stock) if row.codes is _codes_of_labels else []
                pieces = len(labels) or row.pieces(laid_out)
                laid_out.documents.append(Document(row, pages, stock, labels, pieces))
    return problems


def _waiting(page: Page, put: Put) -> Page:
    """A page as ink, which waits where `put` has it; pages of boxes and labels are ink already."""
    if any(isinstance(mark, Drawn | Group) for mark in page.marks):
        return page
    return replace(page, marks=put_away(drawn(page.marks, all_faces()), put))


def _codes_of_labels(_pages: Sequence[Page], labels: Sequence[Placed], _where: Where) -> list[Expected]:
    return expected_of_labels(labels)


def _plain_paper(_laid_out: LaidOut) -> tuple[None]:
    return (None,)


def _placard_stock(laid_out: LaidOut) -> tuple[Stock]:
    return (laid_out.job.prints.stocks["placard"],)


def _label_stocks(laid_out: LaidOut) -> tuple[Stock, ...]:
    """The stocks that labels were placed on, in order of first use."""
    return tuple({each.stock.name: each.stock for each in laid_out.placed}.values())


def _tags(laid_out: LaidOut, stock: Stock | None, words: Words) -> Pages:
    return list(label_pages(laid_out.labels_on(stock), laid_out.job, words)), ()


def _placards(laid_out: LaidOut, _stock: Stock | None, _words: Words) -> Pages:
    return [page for box in laid_out.boxes for page in box.placard], ()


def _walk(laid_out: LaidOut, _stock: Stock | None, _words: Words) -> Pages:
    return [page for box in laid_out.boxes for page in box.walk], ()


def _changes(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Pages:
    """All that is to be done on site since the earlier set; of an update only."""
    selection = laid_out.selection
    if selection.baseline is None or not selection.is_update or not selection.has_sheets:
        return (), ()
    from tagmaker.revisions.compare import compare  # noqa: PLC0415 — needed for updates only
    from tagmaker.revisions.work_lines import work_of_changes  # noqa: PLC0415

    earlier = selection.baseline.issued
    limited = earlier.limited_to(selection.boxes, {row.key for row in laid_out.job.boxes})
    work = work_of_changes(compare(limited, laid_out.issued).of_boxes(selection.boxes), words)
    title = words("changes.title", revision=earlier.job.revision)
    return work_list_pages(laid_out.job, work, words, title, words("changes.nothing_to_do"))


def _kits(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Pages:
    """Slips and the list of rooms, at every stage; a reprint of single ports or tags is no kit."""
    if not laid_out.placed or laid_out.selection.only:
        return (), ()
    boxes = [box.box for box in laid_out.boxes if box.labels]
    return kit_pages(laid_out.job, boxes, laid_out.placed, words, _part(laid_out, words))


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


def _bands(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Pages:
    bands = [band for box in laid_out.boxes for band in box.bands]
    return band_pages(laid_out.job, bands, words, _part(laid_out, words)) if bands else ((), ())


def _band_count(laid_out: LaidOut) -> int:
    return sum(band.count for box in laid_out.boxes for band in box.bands)


def _systems(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Pages:
    """Test, charge and start of each system; an update and a limited stage have none."""
    if not laid_out.has_system_sheets:
        return (), ()
    return system_pages(laid_out.job, laid_out.systems, words)


def _first_days(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Pages:
    """The reading sheet of each system's first days; where the set has the systems' sheets."""
    if not laid_out.has_system_sheets:
        return (), ()
    return first_days_pages(laid_out.job, laid_out.systems, words)


def _sign_stock(laid_out: LaidOut) -> tuple[Stock, ...]:
    stock = laid_out.job.prints.stocks.get("sign")
    return (stock,) if stock else ()


def _signs(laid_out: LaidOut, stock: Stock | None, words: Words) -> Pages:
    """The sign of each system whose refrigerant was weighed in; an update and a limited stage have none."""
    if stock is None or not laid_out.selection.has_sheets or laid_out.selection.is_update:
        return (), ()
    return sign_pages(laid_out.job, laid_out.systems, stock, words)


def _sign_count(laid_out: LaidOut) -> int:
    """How many signs are on labels."""
    stock = laid_out.job.prints.stocks.get("sign")
    on_labels = stock is not None and stock.kind != "page"
    return len(signed_systems(laid_out.job, laid_out.systems)) if on_labels else 0


def _isolation(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Pages:
    """What each isolation point isolates; where the job asks for its labels."""
    job, selection = laid_out.job, laid_out.selection
    if "isolation" not in job.prints.stocks or not selection.has_sheets or selection.is_update:
        return (), ()
    return isolation_pages(job, {box.box.row.key for box in laid_out.boxes}, words)


def _summary(laid_out: LaidOut, _stock: Stock | None, words: Words) -> Pages:
    """The office's summary; it says what all documents before it are printed on."""
    selection = laid_out.selection
    if not selection.has_sheets or not laid_out.boxes or selection.is_update:
        return (), ()
    needed = [Needed(each.file, each.stock, each.pieces, len(each.pages)) for each in laid_out.documents]
    boxes = [box.box for box in laid_out.boxes]
    return summary_pages(laid_out.job, boxes, needed, words, is_part=selection.is_limited)


DOCUMENTS = (
    Row(tags_file("{stock}"), _label_stocks, _tags, _codes_of_labels),
    Row("placards.pdf", _placard_stock, _placards),
    Row("walk.pdf", _plain_paper, _walk),
    Row("changes.pdf", _plain_paper, _changes),
    Row("kits.pdf", _plain_paper, _kits),
    Row("bands.pdf", _plain_paper, _bands, pieces=_band_count),
    Row("systems.pdf", _plain_paper, _systems),
    Row("first-days.pdf", _plain_paper, _first_days),
    Row("signs.pdf", _sign_stock, _signs, pieces=_sign_count),
    Row("isolation.pdf", _plain_paper, _isolation),
    Row("summary.pdf", _plain_paper, _summary),
)
"""Every kind of document, in the order in which the files are listed and printed."""

"""Cover slips for the kits of labels: which sheets belong to a box, and how many labels of each kind.

Takes placed labels; gives pages. A slip is put on top of a box's label sheets. It has one line a sheet, with
a box to tick when the sheet is packed, and one line for all labels of a roll.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby

from msgspec import Struct

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem
from tagmaker.sheets.kit_labels import KitLabel
from tagmaker.sheets.page_head import PAGE_CAPS, PageHead
from tagmaker.sheets.room_list import room_pages
from tagmaker.tags.builder import PLACES
from tagmaker.tags.model import NAMED, End, TagKind
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style

__all__ = ["kit_pages"]

GAP = 4.0  # mm between two slips, where they are cut apart
PAD = 3.0
HEAD = 14.0
HEADS = 13.0  # the heads of the columns: where a label goes, and what it is
ROW = 6.4
TICK = 4.5
COLUMN = 15.2  # mm at most
LINE_LEAST = 38.0  # mm for the words of a line
KINDS: tuple[tuple[TagKind, End], ...] = (
    ("main-liquid", "box"), ("main-suction", "box"), ("main-hot-gas", "box"),
    ("terminal", "box"), ("liquid", "box"), ("gas", "box"), ("cable", "box"),
    ("cable", "unit"), ("liquid", "unit"), ("gas", "unit"), ("unit", "unit"),
    ("splitter", "unit"), ("locator", "box"), ("isolation", "box"),
)  # fmt: skip
"""The columns of a slip from left to right, as far as a box has such labels."""


class _Column(Struct, frozen=True):
    """Labels that are counted together: where they are put on, and what they are."""

    end: str
    kind: str


class _Row(Struct, frozen=True):
    """A line of a slip: a sheet's pages and labels; or, without labels, the stock that follows."""

    text: str
    labels: Counter[_Column]


class _Slip(Struct, frozen=True):
    """A slip's box, its columns, as many of its lines as one page holds, and the labels of the whole box."""

    box: BoxPlan
    columns: tuple[_Column, ...]
    rows: tuple[_Row, ...]
    total: Counter[_Column]

    @property
    def height(self) -> float:
        """Its height in mm, with the gap below it."""
        return 2 * PAD + HEAD + HEADS + ROW * (len(self.rows) + 1) + GAP


def kit_pages(
    job: Job, boxes: Sequence[BoxPlan], placed: Sequence[KitLabel], words: Words, part: str = ""
) -> tuple[Iterator[Page], list[Problem]]:
    """A slip a box, then the rooms in walking order with the labels that belong there.

    Each page is laid out when it is asked for, and the problems are all there when all pages are. `part` says
    what of the job they cover, where not all.
    """
    layout = Layout("kit list", job.where, "")
    head = PageHead(job, words, words("kit.title"), under=words("kit.told"), part=part)

    def pages() -> Iterator[Page]:
        slips = _slips(boxes, placed, words, head.body.height)
        yield from head.flow(layout, [(slip.height, _draw(layout, head, slip, words)) for slip in slips])
        yield from room_pages(layout, head, boxes, placed, words)

    return pages(), layout.problems


# --- what a slip holds -------------------------------------------------------------------------------------


def _slips(
    boxes: Sequence[BoxPlan], placed: Sequence[KitLabel], words: Words, height: float
) -> Iterator[_Slip]:
    """Every box's slip; more than one where its lines do not fit on a page."""
    labels: dict[str, list[KitLabel]] = {}
    last: dict[str, int] = {}
    for label in placed:
        labels.setdefault(label.box, []).append(label)
        last[label.stock.name] = label.page
    most = int((height - 2 * PAD - HEAD - HEADS - GAP) // ROW) - 1
    for box in boxes:
        own = labels.get(box.row.tag, [])
        total = Counter(_column_of(each.kind, each.end, words) for each in own)
        order = [_column_of(kind, end, words) for kind, end in KINDS]
        columns = tuple(column for column in dict.fromkeys(order) if column in total)
        rows = tuple(_rows(own, last, words))
        for start in range(0, len(rows), most):
            yield _Slip(box, columns, rows[start : start + most], total)


def _rows(own: Sequence[KitLabel], last: dict[str, int], words: Words) -> Iterator[_Row]:
    """Stock by stock its name, then a line a sheet; a roll has one line for all of its labels."""
    for _, on_stock in groupby(own, lambda each: each.stock.name):
        labels = list(on_stock)
        stock, of = labels[0].stock, last[labels[0].stock.name]
        yield _Row(stock.title, Counter())
        pages = [(each.page if stock.kind == "sheet" else 0, each) for each in labels]
        for _, on_page in groupby(pages, lambda each: each[0]):
            sheet = [each for _, each in on_page]
            first, end = sheet[0].page, sheet[-1].page
            yield _Row(
                _where(stock, first, end, of, words),
                Counter(_column_of(each.kind, each.end, words) for each in sheet),
            )


def _where(stock: Stock, first: int, last: int, of: int, words: Words) -> str:
    """Which sheet, or which of a roll's labels or strips."""
    if stock.kind == "sheet":
        return words("page.page", page=first, pages=of)
    if stock.shape == "strip":
        return words("kit.strips", first=first, last=last, of=of)
    return words("kit.labels", first=first, last=last, of=of)


def _column_of(kind: TagKind, end: End, words: Words) -> _Column:
    """The column of a kind of labels; the main pipes of a box share one, as do the labels of a unit."""
    if kind in NAMED:
        return _Column(words("tag.unit_end"), words("kit.of_units"))
    if kind == "splitter":
        return _Column(words("tag.splitter"), words("kit.of_splitters"))
    where = words(f"tag.{PLACES.get(kind, f'{end}_end')}")
    return _Column(where, words("kit.mains") if kind.startswith("main-") else words(f"tag.{kind}"))


# --- on paper ----------------------------------------------------------------------------------------------


def _draw(layout: Layout, document: PageHead, slip: _Slip, words: Words) -> Draw:
    """What draws a slip: its box and job, the heads of its columns, a line a sheet, and the sum."""

    def draw(frame: Frame) -> None:
        layout.where, layout.box = slip.box.row.where, slip.box.row.key
        card = Frame(frame.x, frame.y, frame.width, frame.height - GAP)
        layout.rect(card, line=0.35)
        head, rest = card.inset(PAD).top(HEAD)
        _draw_head(layout, document, slip.box, words, head)
        heads, rest = rest.top(HEADS)
        _draw_heads(layout, slip, words, heads)
        for row in slip.rows:
            line, rest = rest.top(ROW)
            _draw_row(layout, slip, row, line)
        layout.rule(rest.x, rest.y, rest.right, rest.y, 0.5)
        _draw_counts(layout, slip, slip.total, rest, words("kit.total"), is_bold=True)

    return draw


def _draw_head(layout: Layout, document: PageHead, box: BoxPlan, words: Words, frame: Frame) -> None:
    """The box, large; where it is; and the job, since slips are cut apart."""
    job = document.job
    tag, about = frame.columns((1, 1.6), 3)
    with layout.part("H2"):
        layout.text(box.row.shown, tag, Style(9.0, 3.0, bold=True, upright="top"))
    revision = words("tag.revision", revision=job.revision).replace(" ", "\u00a0")
    draft = words("tag.draft") if job.is_draft else ""
    state = " · ".join(filter(None, (revision, draft, document.part)))
    lines = [
        (box.row.place, Style(2.8, PAGE_CAPS, lines=2, align="right")),
        (f"{job.title} · {state}", Style(PAGE_CAPS, 1.9, lines=3, bold=True, align="right")),
    ]
    layout.stack(lines, about)


def _draw_heads(layout: Layout, slip: _Slip, words: Words, frame: Frame) -> None:
    """Where the labels are put on, above what they are."""
    ends, kinds = frame.top(4.6)
    kinds = kinds.top(kinds.height - 0.6)[0]
    cells = _cells(slip, kinds)
    for end, columns in groupby(zip(slip.columns, cells, strict=False), lambda each: each[0].end):
        frames = [cell for _, cell in columns]
        place = Frame(frames[0].x, ends.y, frames[-1].right - frames[0].x, ends.height)
        layout.text(end, place.inset(0.8, 0), Style(PAGE_CAPS, 1.4, bold=True, align="center"))
        layout.rule(place.x + 0.8, place.bottom, place.right - 0.8, place.bottom, 0.35)
    style = Style(PAGE_CAPS, 1.6, lines=2, align="center")
    with layout.part("TR"):
        with layout.part("TH"):
            pass  # above the sheets
        for column, cell in zip(slip.columns, cells, strict=False):
            with layout.part("TH"):
                layout.text(column.kind, cell.inset(0.3, 0), style)
        with layout.part("TH"):
            layout.text(words("kit.all"), cells[-1], Style(PAGE_CAPS, bold=True, align="center"))


def _draw_row(layout: Layout, slip: _Slip, row: _Row, frame: Frame) -> None:
    """A stock's name on the whole width, or a sheet with its tick and its labels."""
    layout.rule(frame.x, frame.y, frame.right, frame.y, 0.2 if row.labels else 0.35)
    if not row.labels:
        with layout.part("TR"), layout.part("TH"):
            layout.text(row.text, frame, Style(PAGE_CAPS, bold=True))
        return
    layout.rect(Frame(frame.x, frame.y + (ROW - TICK) / 2, TICK, TICK), line=0.4)
    _draw_counts(layout, slip, row.labels, frame, row.text, is_bold=False)


def _draw_counts(  # noqa: PLR0913 — what is counted, and where it is printed
    layout: Layout, slip: _Slip, labels: Counter[_Column], frame: Frame, text: str, *, is_bold: bool
) -> None:
    """A line's text and its counts; a kind that it has none of stays blank."""
    cells = _cells(slip, frame)
    left = Frame(frame.x + TICK + 2, frame.y, cells[0].x - frame.x - TICK - 3, ROW)
    counts = [(labels[column], is_bold) for column in slip.columns]
    with layout.part("TR"):
        with layout.part("TD"):
            layout.text(text, left, Style(PAGE_CAPS, 1.9, bold=is_bold))
        for (count, bold), cell in zip((*counts, (labels.total(), True)), cells, strict=True):
            with layout.part("TD"):
                layout.text(str(count or ""), cell, Style(2.6, PAGE_CAPS, bold=bold, align="center"))


def _cells(slip: _Slip, frame: Frame) -> list[Frame]:
    """The columns of a line, at its right end: one a kind, then the sum."""
    count = len(slip.columns) + 1
    wide = min(COLUMN, (frame.width - LINE_LEAST) / count)
    first = frame.right - wide * count
    return [Frame(first + wide * at, frame.y, wide, min(frame.height, HEADS)) for at in range(count)]

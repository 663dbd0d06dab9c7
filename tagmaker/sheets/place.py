"""Labels onto pages of their stocks, in print order; each keeps the place where it lies."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from tagmaker.catalog.stock import Stock
from tagmaker.job.records import Job
from tagmaker.marks import Mark, Page, moved
from tagmaker.sheets.label import FittedLabel
from tagmaker.tags.records import Tag

__all__ = ["Placed", "place_labels", "stock_of", "tag_pages"]

USE_OF = {"liquid": "pipe", "gas": "pipe", "cable": "cable", "terminal": "terminal"}


@dataclass(frozen=True, slots=True)
class Placed:
    """A label on its page (from 1), its corner from the page's top left in mm."""

    label: FittedLabel
    stock: Stock
    page: int
    x: float
    y: float


def stock_of(job: Job, tag: Tag) -> Stock:
    """The stock that serves a tag."""
    return job.stocks[USE_OF[tag.kind]]


def place_labels(labels: Iterable[FittedLabel], job: Job) -> list[Placed]:
    """Every label's place: file by file in order of first use, within a file in the order given."""
    by_stock: dict[str, list[Placed]] = {}
    for label in labels:
        stock = stock_of(job, label.tag)
        placed = by_stock.setdefault(stock.name, [])
        page, index = divmod(len(placed), stock.per_page)
        x, y = stock.corner(index)
        placed.append(Placed(label, stock, page + 1, x, y))
    return [each for placed in by_stock.values() for each in placed]


def tag_pages(placed: Iterable[Placed]) -> Iterator[Page]:
    """The pages of one stock's labels, all of one stock and in order."""
    number, marks, stock = 0, list[Mark](), None
    for each in placed:
        if stock and each.page != number:
            yield Page(*stock.page, tuple(marks))
            marks = []
        number, stock = each.page, each.stock
        marks += moved(each.label.marks, each.x, each.y)
    if stock:
        yield Page(*stock.page, tuple(marks))

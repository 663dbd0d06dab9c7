"""Labels onto pages of their stocks, in print order.

Takes laid-out labels; gives each with its page and corner, then the pages themselves. The register and the
proof use the same places, so that what they say of a label is where it is printed.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Group, Mark, Page
from tagmaker.job.model import Job
from tagmaker.sheets.label import FittedLabel
from tagmaker.tags.model import Tag
from tagmaker.typeset.codes import on_dots

__all__ = ["Placed", "place_labels", "stock_of", "tag_pages"]


class Placed(Struct, frozen=True):
    """A label on its page (from 1), its corner in mm from the top left, its place on the page from 1."""

    label: FittedLabel
    stock: Stock
    page: int
    x: float
    y: float
    place: int = 1


def stock_of(job: Job, tag: Tag) -> Stock:
    """The stock that serves a tag; a strip is as long as the tag's board has ports."""
    stock = job.prints.stocks[tag.stock_use]
    pitch = job.prints.terminal_pitch
    if stock.shape != "strip" or pitch is None:
        return stock
    cell = (float(pitch.mm), stock.label[1])
    return replace(
        stock, label=cell, pitch=cell, columns=tag.board_ports, page=(cell[0] * tag.board_ports, cell[1])
    )


@dataclass
class _Filling:
    """Pages of one stock being filled."""

    placed: list[Placed] = field(default_factory=list)
    used: int = 0
    page: int = 1
    strip: tuple[str, str] = ("", "")

    def put(self, label: FittedLabel, stock: Stock) -> None:
        """Place one more label; a strip is not shared by two boards."""
        strip = (label.tag.box, label.tag.board)
        if self.used == stock.per_page or (stock.shape == "strip" and self.placed and strip != self.strip):
            self.page, self.used = self.page + 1, 0
        self.strip = strip
        x, y = stock.corner(self.used)
        self.used += 1
        self.placed.append(Placed(label, stock, self.page, x, y, self.used))


def place_labels(labels: Iterable[FittedLabel], job: Job, skip: int = 0) -> list[Placed]:
    """Every label's place: file by file in order of first use, within a file in the order given.

    The first sheet of every sheet stock starts `skip` labels in, for a sheet that was used before.
    """
    fillings: dict[str, _Filling] = {}
    for label in labels:
        stock = stock_of(job, label.tag)
        first = skip % stock.per_page if stock.kind == "sheet" else 0
        fillings.setdefault(stock.name, _Filling(used=first)).put(label, stock)
    return [each for filling in fillings.values() for each in filling.placed]


def tag_pages(placed: Iterable[Placed]) -> Iterator[Page]:
    """The pages of one stock's labels, all of one stock and in order."""
    number, marks, stock = 0, list[Mark](), None
    for each in placed:
        if stock and each.page != number:
            yield Page(*stock.page, tuple(marks))
            marks = []
        number, stock = each.page, each.stock
        dots = each.stock.dots_per_mm
        marks.append(Group(on_dots(each.x, dots), on_dots(each.y, dots), each.label.marks))
    if stock:
        yield Page(*stock.page, tuple(marks))

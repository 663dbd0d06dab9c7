"""Labels onto pages of their stocks, in print order.

Takes laid-out labels; gives each with its page and corner, then the pages themselves. The register and the
proof use the same places, so that what they say of a label is where it is printed.
"""

from collections import Counter
from collections.abc import Iterable, Iterator

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Group, Mark, Page
from tagmaker.job.model import Job
from tagmaker.sheets.label import FittedLabel
from tagmaker.tags.model import Tag
from tagmaker.typeset.codes import on_dots

__all__ = ["Placed", "Placing", "place_labels", "stock_of", "tag_pages"]

SMALL_KITS = 3  # of at least so many kits that share a sheet each is small


class Placed(Struct, frozen=True):
    """A label on its page (from 1), its corner in mm from the top left, its place on the page from 1."""

    label: FittedLabel
    stock: Stock
    page: int
    x: float
    y: float
    place: int = 1


def stock_of(job: Job, tag: Tag) -> Stock:
    """The stock that serves a tag; a strip is as long as the tag's board has ports.

    A locator carries no code: no reader reaches it from the floor, and its box is the larger for it.
    """
    stock = job.prints.stocks[tag.stock_use]
    if tag.kind == "locator":
        return replace(stock, symbol="none")
    pitch = job.prints.terminal_pitch
    if stock.shape != "strip" or pitch is None:
        return stock
    cell = (float(pitch.mm), stock.label[1])
    return replace(
        stock, label=cell, pitch=cell, columns=tag.board_ports, page=(cell[0] * tag.board_ports, cell[1])
    )


class _Filling(Struct):
    """Pages of one stock being filled; `kit` is how many labels of it the last box has."""

    used: int = 0
    page: int = 1
    strip: tuple[str, str] = ("", "")
    kit: int = 0
    last: Placed | None = None

    def put(self, label: FittedLabel, stock: Stock, kit: int) -> Placed:
        """Place one more label of a box that has `kit` of this stock; a strip is not shared by two boards."""
        strip = (label.tag.box, label.tag.board)
        is_other_strip = stock.shape == "strip" and self.last and strip != self.strip
        if self.used == stock.per_page or is_other_strip or self._begins_sheet(label, stock, kit):
            self.page, self.used = self.page + 1, 0
        self.strip, self.kit = strip, kit
        x, y = stock.corner(self.used)
        self.used += 1
        self.last = Placed(label, stock, self.page, x, y, self.used)
        return self.last

    def _begins_sheet(self, label: FittedLabel, stock: Stock, kit: int) -> bool:
        """Whether a box begins a new sheet: its sheets are handed out as a kit.

        Small kits, such as a locator a box, share a sheet, but none of them is split over two.
        """
        if not self.last or label.tag.box == self.strip[0]:
            return False
        is_large = max(kit, self.kit) * SMALL_KITS >= stock.per_page
        return is_large or self.used + kit > stock.per_page


class Placing:
    """Labels placed as their boxes come.

    A box's labels begin on a new sheet. The first sheet of every sheet stock starts `skip` labels in, for a
    sheet that was used before.
    """

    def __init__(self, job: Job, skip: int = 0) -> None:
        self.job, self.skip = job, skip
        self.fillings: dict[str, _Filling] = {}

    def put(self, labels: Iterable[FittedLabel]) -> list[Placed]:
        """The places of these labels, in the order given; all of a box come at once."""
        stocked = [(label, stock_of(self.job, label.tag)) for label in labels]
        kits = Counter((stock.name, label.tag.box) for label, stock in stocked)
        placed: list[Placed] = []
        for label, stock in stocked:
            filling = self.fillings.get(stock.name)
            if filling is None:
                first = self.skip % stock.per_page if stock.kind == "sheet" else 0
                filling = self.fillings[stock.name] = _Filling(used=first)
            placed.append(filling.put(label, stock, kits[stock.name, label.tag.box]))
        return placed


def place_labels(labels: Iterable[FittedLabel], job: Job, skip: int = 0) -> list[Placed]:
    """Every label's place: file by file in order of first use, within a file in the order given."""
    placing = Placing(job, skip)
    by_stock: dict[str, list[Placed]] = {}
    for each in placing.put(labels):
        by_stock.setdefault(each.stock.name, []).append(each)
    return [each for own in by_stock.values() for each in own]


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

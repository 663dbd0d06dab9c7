"""A label stock: its pages, where its labels lie, and what symbol and dot grid it needs."""

from dataclasses import dataclass
from pathlib import Path

from tagmaker.catalog.folders import find
from tagmaker.catalog.tables import Table, TomlFile
from tagmaker.problems import Problem, Where, error

__all__ = ["Stock", "load_stock"]

KINDS = ("sheet", "roll", "page")
SHAPES = ("label",)
SYMBOLS = ("qr", "code128")
SLACK_MM = 0.001  # rounding in the file's own figures


@dataclass(frozen=True, slots=True)
class Stock:
    """A stock, in millimetres; a roll's or page's one label is the page itself."""

    name: str
    title: str
    source: str
    kind: str
    page: tuple[float, float]
    label: tuple[float, float]
    columns: int
    rows: int
    first: tuple[float, float]
    pitch: tuple[float, float]
    fill: str
    shape: str
    symbol: str
    dots_per_mm: int

    @property
    def per_page(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    def corner(self, index: int) -> tuple[float, float]:
        """Top left corner of a page's label by its place in filling order, from 0."""
        if self.fill == "rows":
            row, column = divmod(index, self.columns)
        else:
            column, row = divmod(index, self.rows)
        return self.first[0] + column * self.pitch[0], self.first[1] + row * self.pitch[1]


def load_stock(
    name: str, use: str, job_folder: Path | None, where: Where
) -> tuple[Stock | None, tuple[Problem, ...]]:
    """The stock of that name for a use ("placard" takes pages, every tag takes sheets and rolls)."""
    file = find("stocks", name, job_folder, where)
    if isinstance(file, Problem):
        return None, (file,)
    problems: list[Problem] = []
    stock = _read(name, file, problems)
    if problems:
        return None, tuple(problems)
    if (stock.kind == "page") != (use == "placard"):
        right = "a page stock (letter, a4, 4x6)" if use == "placard" else "a label stock"
        return None, (
            error("stock-unknown", f"stock {name!r} does not serve a {use}: it takes {right}", where),
        )
    return stock, ()


def _read(name: str, file: TomlFile, problems: list[Problem]) -> Stock:
    table = Table.whole(file, problems)
    table.take("kind", required=True)
    kind = table.choice("kind", KINDS, "sheet")
    one = kind != "sheet"  # a roll or page is one label a page
    page = _pair(table, "page_mm", required=not (one and table.has("label_mm")))
    label = _pair(table, "label_mm", required=not one, default=page)
    stock = Stock(
        name=name,
        title=table.text("title", name),
        source=table.text("source", required=True),
        kind=kind,
        page=page if table.has("page_mm") else label,
        label=label,
        columns=table.whole_number("columns", 1, least=1, required=not one),
        rows=table.whole_number("rows", 1, least=1, required=not one),
        first=_pair(table, "first_mm", required=not one),
        pitch=_pair(table, "pitch_mm", required=not one, default=label),
        fill=table.choice("fill", ("rows", "columns"), "rows"),
        shape=table.choice("shape", SHAPES, "label"),
        symbol=table.choice("symbol", SYMBOLS, "qr"),
        dots_per_mm=table.whole_number("dots_per_mm", 0),
    )
    table.close()
    if not problems:
        _check(stock, table)
    return stock


def _pair(
    table: Table, key: str, *, required: bool, default: tuple[float, float] = (0.0, 0.0)
) -> tuple[float, float]:
    if not required and not table.has(key):
        table.take(key)
        return default
    x, y = table.numbers(key, 2)
    return x, y


def _check(stock: Stock, table: Table) -> None:
    """Labels lie inside the page and do not overlap."""
    if min(*stock.label, *stock.page) <= 0:
        table.wrong("stock-wrong", "label_mm", "a label or page has no size")
        return
    for axis, name in ((0, "columns"), (1, "rows")):
        count = (stock.columns, stock.rows)[axis]
        if count > 1 and stock.pitch[axis] < stock.label[axis] - SLACK_MM:
            table.wrong("stock-wrong", "pitch_mm", f"{name} overlap: the pitch is less than the label")
        last = stock.first[axis] + (count - 1) * stock.pitch[axis] + stock.label[axis]
        if last > stock.page[axis] + SLACK_MM:
            table.wrong(
                "stock-wrong",
                "first_mm",
                f"the last of the {name} leaves the page by {last - stock.page[axis]:.2f} mm",
            )

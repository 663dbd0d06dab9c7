"""A label stock: its pages, where its labels lie, its shape, and where it may be used.

Takes a stock's name and the job's folder; gives the stock, or every problem with its file: labels that
overlap, leave the page or reach into the printer's margin are found here, before anything is laid out on
them.
"""

import math
from pathlib import Path
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.catalog.folders import find
from tagmaker.files.toml import Table
from tagmaker.problems import Problem, Where, error

__all__ = [
    "SHAPES",
    "USES",
    "Around",
    "Elastomeric",
    "Fill",
    "Life",
    "Shape",
    "Stock",
    "StockKind",
    "StockSymbol",
    "Use",
    "load_stock",
    "read_stock",
]

StockKind = Literal["sheet", "roll", "page"]
"""A sheet of many labels, a roll of one label a page, or a page that is printed as a whole."""
Shape = Literal["label", "wrap", "flag", "tie-on", "strip"]
StockSymbol = Literal["qr", "code128", "none"]
Use = Literal[
    "pipe",
    "pipe_rough_in",
    "cable",
    "terminal",
    "locator",
    "splitter",
    "unit",
    "isolation",
    "sign",
    "band",
    "placard",
]
Fill = Literal["rows", "columns"]
Around = Literal["width", "height"]
Life = Literal["lasting", "temporary"]
Elastomeric = Literal["yes", "itself", "no"]
"""Whether it sticks to elastomeric foam, only to itself around it, or not at all."""
SHAPES: tuple[Shape, ...] = get_args(Shape)
USES: tuple[Use, ...] = get_args(Use)
PAGE_USES: tuple[Use, ...] = ("sign", "placard")
LABEL_USES: tuple[Use, ...] = tuple(use for use in USES if use != "placard")
LABELS_ACROSS_AT_MOST = 200
SIDE_AT_MOST_MM = 2_000.0
DOTS_AT_MOST = 100
DOTS_AN_INCH_AT_MOST = 2_540
MM_AN_INCH = 25.4
PLAIN_DOTS = 8  # a millimetre, at which a page without a dot grid is read back
DOTS_A_PAGE_AT_MOST = 150_000_000  # every page is rendered and its codes are read back
SLACK_MM = 0.001  # rounding in the file's own figures
SAFE_MARGIN_MM = 6.35  # unprintable edge of an office printer whose own is not known (second hand)


class Stock(Struct, frozen=True):
    """A stock, in millimetres; a roll's or page's one label is the page itself.

    `around` is the side of a wrap that goes round the thing, `printed` how much of it is printed (the rest is
    a clear tail), `overlap` what must lie on itself; `fold` the middle of a flag, which goes round the thing;
    `hole` a tie-on tag's hole (x, y, diameter). `dots_per_mm` is the printer's dot grid, 300 / 25.4 for 300
    dots an inch, 0 where there is none to keep. `is_default` marks a stock that no job named.
    """

    name: str
    title: str
    source: str
    kind: StockKind
    page: tuple[float, float]
    label: tuple[float, float]
    columns: int
    rows: int
    first: tuple[float, float]
    pitch: tuple[float, float]
    fill: Fill
    shape: Shape
    symbol: StockSymbol
    dots_per_mm: float
    margin: float
    around: Around
    printed: float
    overlap: float
    fold: float
    hole: tuple[float, float, float]
    material: str
    life: Life
    outdoors: bool
    temperature_c: tuple[float, float] | None
    elastomeric: Elastomeric
    suits: tuple[str, ...]
    is_default: bool = False

    @property
    def per_page(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    @property
    def is_lasting(self) -> bool:
        """Whether it outlives the building works."""
        return self.life == "lasting"

    @property
    def has_ring(self) -> bool:
        """Whether its labels are printed with a ring to be punched: tags of a sheet that no job named."""
        return self.is_default and self.shape == "tie-on"

    @property
    def length_around(self) -> float:
        """The side of a wrap that goes round the thing."""
        return self.label[0] if self.around == "width" else self.label[1]

    def corner(self, index: int) -> tuple[float, float]:
        """Top left corner of a page's label by its place in filling order, from 0."""
        if self.fill == "rows":
            row, column = divmod(index, self.columns)
        else:
            column, row = divmod(index, self.rows)
        return self.first[0] + column * self.pitch[0], self.first[1] + row * self.pitch[1]


def load_stock(
    name: str, use: Use | Literal[""], job_folder: Path | None, where: Where
) -> tuple[Stock | None, tuple[Problem, ...]]:
    """The stock of that name for a use: none and signs take any, placards pages, all else labels."""
    file = find("stocks", name, job_folder, where)
    if isinstance(file, Problem):
        return None, (file,)
    problems: list[Problem] = []
    stock = read_stock(name, Table.whole(file, problems))
    if problems:
        return None, tuple(problems)
    if use not in {"", "sign"} and (stock.kind == "page") != (use == "placard"):
        right = "a page stock (letter, a4, 4x6)" if use == "placard" else "a label stock"
        return None, (
            error("stock-unknown", f"stock {name!r} cannot be used for a {use}: that needs {right}", where),
        )
    return stock, ()


def read_stock(name: str, table: Table) -> Stock:
    """A stock file as its record; what is wrong with it is noted in the table."""
    table.take("kind", required=True)
    kind = table.choice("kind", get_args(StockKind), "sheet")
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
        columns=table.whole_number("columns", 1, least=1, at_most=LABELS_ACROSS_AT_MOST, required=not one),
        rows=table.whole_number("rows", 1, least=1, at_most=LABELS_ACROSS_AT_MOST, required=not one),
        first=_pair(table, "first_mm", required=not one),
        pitch=_pair(table, "pitch_mm", required=not one, default=label),
        fill=table.choice("fill", get_args(Fill), "rows"),
        shape=table.choice("shape", SHAPES, "label"),
        symbol=table.choice("symbol", get_args(StockSymbol), "qr"),
        dots_per_mm=_dots(table),
        margin=table.number("margin_mm", 0.0 if kind == "roll" else SAFE_MARGIN_MM),
        around=table.choice("around", get_args(Around), "width"),
        printed=table.number("printed_mm", 0.0),
        overlap=table.number("overlap_mm", 0.0),
        fold=table.number("fold_mm", 0.0),
        hole=_hole(table),
        material=table.text("material", "not stated"),
        life=table.choice("life", get_args(Life), "lasting"),
        outdoors=table.flag("outdoors"),
        temperature_c=_temperatures(table),
        elastomeric=table.choice("elastomeric", get_args(Elastomeric), "yes"),
        suits=_suits(table, kind),
    )
    table.close()
    if not table.problems:
        _check(stock, table)
        _check_shape(stock, table)
    return stock


def _pair(
    table: Table, key: str, *, required: bool, default: tuple[float, float] = (0.0, 0.0)
) -> tuple[float, float]:
    """Two numbers; where they may be left out and are, a default."""
    if not required and not table.has(key):
        table.take(key)
        return default
    x, y = table.numbers(key, 2)
    return x, y


def _dots(table: Table) -> float:
    """The printer's dots a millimetre, from whichever of the two keys gives them."""
    a_mm = table.whole_number("dots_per_mm", 0, at_most=DOTS_AT_MOST)
    an_inch = table.whole_number("dots_per_inch", 0, at_most=DOTS_AN_INCH_AT_MOST)
    if a_mm and an_inch:
        message = "'dots_per_mm' and 'dots_per_inch' are both given: a printer has one dot grid"
        table.wrong("stock-wrong", "dots_per_inch", message, "give the one that the printer's driver has")
    return an_inch / MM_AN_INCH if an_inch else float(a_mm)


def _hole(table: Table) -> tuple[float, float, float]:
    """A tie-on tag's hole (x, y, diameter), zeros where there is none."""
    if not table.has("hole_mm"):
        table.take("hole_mm")
        return 0.0, 0.0, 0.0
    x, y, diameter = table.numbers("hole_mm", 3)
    return x, y, diameter


def _temperatures(table: Table) -> tuple[float, float] | None:
    """The lowest and highest temperature that it withstands, where the file says so."""
    if not table.has("temperature_c"):
        table.take("temperature_c")
        return None
    low, high = table.numbers("temperature_c", 2, least=-100)
    return low, high


def _suits(table: Table, kind: StockKind) -> tuple[str, ...]:
    """The uses that a stock suits; all of its kind where the file names none."""
    uses = table.texts("suits")
    for use in uses:
        if use not in USES:
            table.wrong("value-wrong", "suits", f"'suits' cannot hold {use!r}", f"known: {', '.join(USES)}")
    return uses or (PAGE_USES if kind == "page" else LABEL_USES)


def _check(stock: Stock, table: Table) -> None:
    """Labels lie inside the page and the printable part of it, and do not overlap."""
    if min(*stock.label, *stock.page) <= 0:
        table.wrong("stock-wrong", "label_mm", "a label or page has no size")
        return
    if max(stock.page) > SIDE_AT_MOST_MM:
        table.wrong("stock-wrong", "page_mm", f"a page is longer than {SIDE_AT_MOST_MM:g} mm")
    if math.prod(stock.page) * max(stock.dots_per_mm, PLAIN_DOTS) ** 2 > DOTS_A_PAGE_AT_MOST:
        message = f"a page has more than {DOTS_A_PAGE_AT_MOST:,} dots: its codes cannot be read back"
        table.wrong("stock-wrong", "dots_per_mm", message)
    for axis, name in ((0, "columns"), (1, "rows")):
        count = (stock.columns, stock.rows)[axis]
        if count > 1 and stock.pitch[axis] < stock.label[axis] - SLACK_MM:
            table.wrong("stock-wrong", "pitch_mm", f"{name} overlap: the pitch is less than the label")
        last = stock.first[axis] + (count - 1) * stock.pitch[axis] + stock.label[axis]
        if last > stock.page[axis] + SLACK_MM:
            over = last - stock.page[axis]
            table.wrong(
                "stock-wrong", "first_mm", f"the last of the {name} extends past the page by {over:.2f} mm"
            )
        edge = min(stock.first[axis], stock.page[axis] - last)
        if stock.kind == "sheet" and -SLACK_MM <= edge < stock.margin - SLACK_MM:
            message = (
                f"{name} lie {edge:.2f} mm from the page's edge; the printer's margin is {stock.margin:g} mm"
            )
            table.wrong("stock-wrong", "margin_mm", message)


def _check_shape(stock: Stock, table: Table) -> None:
    """The measures that a shape needs are there and lie within the label."""
    width, height = stock.label
    if stock.shape == "wrap" and not 0 <= stock.printed <= stock.length_around:
        table.wrong("stock-wrong", "printed_mm", "the printed zone is longer than the wrap")
    if stock.shape == "wrap" and not (stock.printed or stock.overlap):
        message = (
            "a wrap needs 'printed_mm' (a clear tail laminates it) or 'overlap_mm' (it sticks to itself)"
        )
        table.wrong("stock-wrong", "shape", message)
    if stock.shape == "flag" and not 0 < stock.fold < width:
        table.wrong("stock-wrong", "fold_mm", "a flag needs 'fold_mm', less than its width")
    x, y, diameter = stock.hole
    inside = diameter / 2 <= x <= width - diameter / 2 and diameter / 2 <= y <= height - diameter / 2
    if stock.shape == "tie-on" and not (diameter > 0 and inside):
        table.wrong("stock-wrong", "hole_mm", "a tie-on tag needs 'hole_mm' = [x, y, diameter] inside it")

"""The stages of `stocks`: load every stock → measure its sample → list it; or load one → draw it as it lies.

A job's own stocks are listed and drawn beside the shipped ones where its folder is given.
"""

from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import Stock, StockSymbol, load_stock
from tagmaker.catalog.words import Words, load_words
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.write import write_file
from tagmaker.problems import Problem, Where, error
from tagmaker.sheets.media import is_one_sided
from tagmaker.sheets.placard_codes import MODULE_LEAST as PLACARD_MODULE
from tagmaker.sheets.sample import holds_caution, reads_from, sample_page, shorts
from tagmaker.symbols.png import page_pngs
from tagmaker.typeset.codes import BAR_LEAST, least_module
from tagmaker.typeset.fonts import all_faces

__all__ = ["StockDrawn", "StockOutline", "StocksOutline", "draw", "stock_outline", "stocks", "write_picture"]

SCREEN_DPI = 203.2  # 8 dots a millimetre


class SmallText(Struct, frozen=True):
    """A text of an ordinary tag that is too small on a stock; the fields are the keys.

    `height_mm` is that of its capitals, `reads_from_m` the distance that follows, `distance_m` the one from
    which it is read.
    """

    use: str
    text: str
    height_mm: float
    reads_from_m: float
    distance_m: float


class StockOutline(Struct, frozen=True):
    """A stock as `stocks --json` lists it; the fields are the keys.

    `label_mm` is width and height; `shape` is "page" for plain paper; `reads_from_m` is the distance from
    which every text of a label that matters is read, the smallest of them too. `symbol` is the kind of code
    that its labels carry, "none" where they carry none, and `module_mm` the least module (of bars: the least
    bar) that is printed, else 0. `too_small` are the texts that do not read from where they are read,
    `no_spares` the uses for which a spare port's caution has no room. `one_sided` is a wrap whose words are
    not seen whole from one side.
    """

    name: str
    title: str
    label_mm: tuple[float, float]
    per_page: int
    shape: str
    suits: tuple[str, ...]
    reads_from_m: float
    symbol: StockSymbol
    module_mm: float
    material: str
    life: str
    too_small: tuple[SmallText, ...] = ()
    no_spares: tuple[str, ...] = ()
    one_sided: bool = False


class StocksOutline(Struct, frozen=True):
    """What `stocks --json` prints beside the problems: the stocks that can be used."""

    stocks: tuple[StockOutline, ...]


class StockDrawn(Struct, frozen=True):
    """What `stocks NAME --json` prints beside the problems: the picture's file."""

    out: str


def stocks(job: Path | None) -> tuple[StocksOutline, tuple[Problem, ...]]:
    """Every stock, shipped and of the job's folder, and the problems of those that cannot be used."""
    words = load_words()
    loaded = [load_stock(name, "", job, Where(name)) for name in names("stocks", job)]
    listed = tuple(stock_outline(stock, words) for stock, _ in loaded if stock)
    return StocksOutline(listed), tuple(problem for _, found in loaded for problem in found)


@lru_cache(maxsize=128)
def stock_outline(stock: Stock, words: Words) -> StockOutline:
    """A stock with what an ordinary tag on it is like; each takes some 40 ms, once."""
    return StockOutline(
        name=stock.name,
        title=stock.title,
        label_mm=stock.label,
        per_page=stock.per_page,
        shape=stock.shape if stock.kind != "page" else "page",
        suits=tuple(stock.suits),
        symbol=stock.symbol,
        module_mm=round(_module(stock), 3),
        reads_from_m=round(reads_from(stock, words), 1),
        material=stock.material,
        life=stock.life,
        too_small=tuple(_too_small(stock, words)),
        one_sided=is_one_sided(None, stock),
        no_spares=tuple(use for use in _label_uses(stock) if not holds_caution(stock, words, use)),
    )


def _label_uses(stock: Stock) -> list[str]:
    """The uses of a stock for which tags are laid out as samples."""
    return [use for use in stock.suits if stock.kind != "page" and use not in {"band", "sign"}]


def _too_small(stock: Stock, words: Words) -> Iterator[SmallText]:
    for use in _label_uses(stock):
        for short in shorts(stock, words, use):
            far = round(short.sight.reads_from(short.caps), 1)
            yield SmallText(use, short.what, round(short.caps, 1), far, short.sight.distance)


def _module(stock: Stock) -> float:
    """The least module or bar of a stock's codes, in mm; 0 where it carries none."""
    if stock.symbol == "none":
        return 0.0
    if stock.kind == "page":
        return least_module(stock.dots_per_mm, PLACARD_MODULE)
    return BAR_LEAST if stock.symbol == "code128" else least_module(stock.dots_per_mm)


def draw(name: str, out: Path, job: Path | None) -> tuple[Problem, ...]:
    """Write a picture of a stock with its labels in place, PDF or PNG by the file's ending."""
    stock, problems = load_stock(name, "", job, Where("NAME"))
    if stock is None:
        return tuple(problems)
    return write_picture(out, f"stock {name}", sample_page(stock, load_words()))


def write_picture(out: Path, title: str, page: Page) -> tuple[Problem, ...]:
    """Write one page as PDF or PNG by the file's ending; a problem for any other ending or a failed write."""
    if out.suffix.lower() not in {".pdf", ".png"}:
        message = f"{out}: a picture must be .pdf or .png"
        return (error("output-blocked", message, Where(out.as_posix()), "change its ending"),)
    content = draw_pdf(title, "", [page], all_faces())
    if out.suffix.lower() == ".png":
        content = next(page_pngs(content, SCREEN_DPI, one_bit=False))
    problem = write_file(out, content)
    return (problem,) if problem else ()

"""A stock shown with sample tags, how far its main line reads, and the page to align a printer with.

Takes a stock; gives pages for `stocks` and `align`. Samples are laid out as real tags are, so that a stock
that holds no tag shows that.
"""

from tagmaker.catalog.reading import reading_rules
from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Line, Mark, Page, Rect, Text, moved
from tagmaker.problems import Where
from tagmaker.sheets.label import FittedLabel, fit_label
from tagmaker.sheets.placard import list_caps
from tagmaker.tags.model import End, Tag, TagKind
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.fonts import PLAIN
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style

__all__ = ["align_page", "align_points", "all_reads_from", "reads_from", "sample_page"]

ALIGN_INSET = 25.0  # mm from a page's edges to its cross-hairs


def sample_tag(use: str, words: Words) -> Tag:
    """A tag of our own invention for a use."""
    kinds: dict[str, TagKind] = {"cable": "cable", "terminal": "terminal", "locator": "locator"}
    kind = kinds.get(use, "liquid")
    is_port = kind != "locator"
    end: End = "unit" if kind == "cable" else "box"
    return Tag(
        code="BB-1/C/COM/FC-1" if is_port else "BB-1/LOC",
        kind=kind,
        use="single",
        end=end,
        box="BB-1",
        box_shown="BB-1",
        port="C" if is_port else "",
        units=("FC-1",) if is_port else (),
        rooms=("Library",) if is_port else (),
        headline=words(f"tag.{kind}"),
        remark="",
        is_caution=False,
        end_text=words("tag.ceiling") if kind == "locator" else words(f"tag.{end}_end"),
        revision="2",
        revision_text=words("tag.revision", revision="2"),
        where=Where("sample"),
        stock_use=use,
    )


def _sample(stock: Stock, words: Words, uses: tuple[str, ...]) -> FittedLabel | None:
    """A sample for the first of these uses that fits."""
    fitted = (fit_label(sample_tag(use, words), stock, words)[0] for use in uses)
    return next((label for label in fitted if label), None)


def reads_from(stock: Stock, words: Words, use: str = "") -> float:
    """Distance in metres from which a sample's main line reads, at the least visual angle."""
    if stock.kind == "page":
        caps = list_caps(stock.page[0])
    else:
        sample = _sample(stock, words, (use,) if use else stock.suits)
        caps = sample.letter_caps if sample else 0.0
    return reading_rules().reads_from(caps)


def all_reads_from(stock: Stock, words: Words) -> float:
    """Distance in metres from which every text of samples reads that matters: also the smallest of them.

    Letter, box, kind, unit and caution matter, on a sample for each use that the stock suits.
    """
    if stock.kind == "page":
        return reads_from(stock, words)
    samples = (_sample(stock, words, (use,)) for use in stock.suits)
    heights = (caps for sample in samples if sample for caps in sample.heights.values())
    return reading_rules().reads_from(min(heights, default=0.0))


def sample_page(stock: Stock, words: Words) -> Page:
    """The stock's page: every label's outline and, but for page stocks, a sample on each."""
    marks: list[Mark] = []
    sample = _sample(stock, words, stock.suits) if stock.kind != "page" else None
    label_marks = sample.marks if sample else ()
    width, height = stock.label
    for index in range(stock.per_page):
        x, y = stock.corner(index)
        marks.append(Rect(x, y, width, height, line=0.2, ink=0.5, dash=(1.0, 1.0)))
        marks += moved(label_marks, x, y)
    return Page(*stock.page, tuple(marks))


def align_points(stock: Stock) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where the two cross-hairs of the alignment page are meant to lie."""
    width, height = stock.page
    inset = min(ALIGN_INSET, width / 4, height / 4)
    return (inset, inset), (width - inset, height - inset)


def align_page(stock: Stock, words: Words) -> Page:
    """Two cross-hairs with rules in millimetres, and what to do with them."""
    marks: list[Mark] = []
    arm = _arm(stock)
    ticks = [step for step in range(-int(arm), int(arm) + 1) if abs(step) > 1]
    for number, (x, y) in enumerate(align_points(stock), start=1):
        marks += [Line(x - arm, y, x + arm, y, 0.15), Line(x, y - arm, x, y + arm, 0.15)]
        marks += [Line(x + step, y - 1, x + step, y + 1, 0.15) for step in ticks]
        marks += [Line(x - 1, y + step, x + 1, y + step, 0.15) for step in ticks]
        marks.append(Text(x + 1.3, y + 2.4, str(number), PLAIN, 1.8))
    return Page(*stock.page, (*marks, *_instructions(stock, words)))


def _arm(stock: Stock) -> float:
    """How far a cross reaches from its middle."""
    return min(8.0, *align_points(stock)[0])


def _instructions(stock: Stock, words: Words) -> list[Mark]:
    """What to do with the crosses, beside them, as far as a label holds it."""
    (x1, y1), (x2, y2) = points = align_points(stock)
    arm = _arm(stock)
    wide = x2 - x1 - 1
    upper = Frame(x1 + arm + 1, y1 - arm, wide, 2 * arm).inset(1.0)
    lower = Frame(x1 - arm, y2 - arm, wide, 2 * arm).inset(1.0)
    text = words("align.told", first=_point_text(points[0]), second=_point_text(points[1]))
    layout = Layout("alignment page", Where(stock.name), "")
    layout.text(words("align.title", stock=stock.name), upper, Style(3.0, lines=3))
    layout.stack([(line, Style(2.6, lines=6)) for line in text.split("|")], lower, alike=True)
    return layout.marks


def _point_text(point: tuple[float, float]) -> str:
    """A point as it is typed on the command line."""
    return f"{point[0]:g}, {point[1]:g}"

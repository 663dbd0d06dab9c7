"""A stock shown with sample tags, how far its main line reads, and the page to align a printer with.

Takes a stock; gives pages for `stocks` and `align`. Samples are laid out as real tags are, so that a stock
that holds no tag shows that.
"""

from functools import lru_cache
from typing import get_args

from msgspec.structs import replace

from tagmaker.catalog.reading import reading_rules
from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Line, Mark, Page, Rect, Text, TextRole, moved
from tagmaker.problems import Where
from tagmaker.sheets.label import FittedLabel, fit_label
from tagmaker.sheets.label_needs import Short, shorts_of, sight_of
from tagmaker.sheets.placard import list_caps
from tagmaker.tags.builder import PLACES, STOCK_USES
from tagmaker.tags.codes import BOX_WHAT
from tagmaker.tags.model import End, Tag, TagKind, UnitKind
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.fonts import PLAIN, face
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style

__all__ = [
    "align_page",
    "align_points",
    "holds_caution",
    "label_picture",
    "reads",
    "reads_from",
    "sample_label",
    "sample_page",
    "shorts",
]

MATTERING: frozenset[TextRole] = frozenset({"main", "box", "kind", "unit", "caution"})
ALIGN_INSET = 25.0  # mm from a page's edges to its cross-hairs


def sample_tag(use: str, words: Words) -> Tag:
    """A tag of our own invention for a use."""
    kind: TagKind = next((each for each, own in STOCK_USES.items() if own == use), "liquid")
    is_port = kind not in BOX_WHAT
    end: End = "unit" if kind in {"cable", *get_args(UnitKind)} else "box"
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
        headline=words(f"tag.{'liquid' if kind == 'splitter' else kind}"),
        remark="",
        is_caution=False,
        end_text=words(f"tag.{PLACES.get(kind, f'{end}_end')}"),
        revision="2",
        revision_text=words("tag.revision", revision="2"),
        where=Where("sample"),
        stock_use=use,
        pipe="liquid" if kind in {"liquid", "splitter"} else "",
        beside="BB-1" if kind in {"unit", "isolation"} else "",
    )


def _sample(stock: Stock, words: Words, uses: tuple[str, ...]) -> FittedLabel | None:
    """A sample for the first of these uses that fits."""
    fitted = (fit_label(sample_tag(use, words), stock, words)[0] for use in uses)
    return next((label for label in fitted if label), None)


def _ordinary(use: str, words: Words) -> Tag:
    """A tag for a use with names as long as most are."""
    tag = sample_tag(use, words)
    code = tag.code.replace("BB-1", "BB-11").replace("FC-1", "FCU-2-131")
    units = ("FCU-2-131",) if tag.port else ()
    return replace(tag, code=code, box_shown="BB-11", units=units)


def _spare(use: str, words: Words) -> Tag | None:
    """The tag of a spare port for a use; None where spare ports have none."""
    if use not in {"pipe", "pipe_rough_in", "terminal"}:
        return None
    key, short = ("spare_terminal", words("tag.spare")) if use == "terminal" else ("stub", "")
    code = f"BB-11/C/{'TRM' if use == 'terminal' else 'LIQ'}"
    tag = replace(_ordinary(use, words), code=code, use="spare", units=(), rooms=())
    return replace(tag, remark=words(f"tag.{key}"), is_caution=True, short=short)


def shorts(stock: Stock, words: Words, use: str) -> list[Short]:
    """The texts of an ordinary tag and of a spare port's that are too small on a stock."""
    found: dict[str, Short] = {}
    for tag in (_ordinary(use, words), _spare(use, words)):
        label = fit_label(tag, stock, words)[0] if tag else None
        for short in shorts_of(label.tag, stock, label.heights) if label else ():
            if short.what not in found or short.caps < found[short.what].caps:
                found[short.what] = short
    return list(found.values())


def holds_caution(stock: Stock, words: Words, use: str) -> bool:
    """Whether the tags of spare ports fit a stock: their caution is never small."""
    tag = _spare(use, words)
    return tag is None or fit_label(tag, stock, words)[0] is not None


@lru_cache(maxsize=256)  # asked of every stock for each hint that names larger ones
def reads(stock: Stock, words: Words, use: str) -> bool:
    """Whether every text of an ordinary tag and of a spare port's reads from where it is read."""
    fits = fit_label(_ordinary(use, words), stock, words)[0] is not None
    return fits and holds_caution(stock, words, use) and not shorts(stock, words, use)


def reads_from(stock: Stock, words: Words) -> float:
    """Distance in metres from which every text reads that matters, also the smallest of them.

    Letter, box, kind, unit and caution matter, on a sample for each use that the stock suits.
    """
    if stock.kind == "page":
        return reading_rules().texts["placard_page"].reads_from(list_caps(stock.page[0]))
    tags = [tag for use in stock.suits for tag in (_ordinary(use, words), _spare(use, words)) if tag]
    labels = (fit_label(tag, stock, words)[0] for tag in tags)
    far = (
        sight_of(role, label.tag.kind, stock.shape, stock.label[1]).reads_from(caps)
        for label in labels
        if label
        for role, caps in label.heights.items()
        if role in MATTERING
    )
    return min(far, default=0.0)


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


def sample_label(stock: Stock, words: Words, use: str) -> FittedLabel | None:
    """A sample for one use; None where not even that fits."""
    return _sample(stock, words, (use,))


def label_picture(stock: Stock, label: FittedLabel | None) -> Page:
    """One label by itself, with its outline; the outline alone where nothing fits."""
    width, height = stock.label
    outline = Rect(0, 0, width, height, line=0.3, ink=0.5)
    return Page(width, height, (*(label.marks if label else ()), outline))


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
        size, near = min(5.0, 0.6 * arm), 0.225 * arm
        marks.append(Text(x + near, y + near + size * face(PLAIN).cap_height, str(number), PLAIN, size))
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

"""Checks of tags against their stocks: does it go round, does it last, can it be read from there.

Takes tags, laid-out labels and stocks; gives problems. A hint names the stocks that would pass, found by
putting the same question to every stock. Warnings come once a use, with the worst case: a job has thousands
of tags.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from msgspec.structs import replace

from tagmaker.catalog.folders import names
from tagmaker.catalog.reading import reading_rules
from tagmaker.catalog.stock import Stock, load_stock
from tagmaker.catalog.words import load_words
from tagmaker.draw.marks import Page, Text, flat
from tagmaker.job.model import Job
from tagmaker.problems import Problem, Where, error, note, warning
from tagmaker.sheets.label import FittedLabel
from tagmaker.sheets.label_needs import ROUNDED, Short, shorts_of
from tagmaker.sheets.media import is_one_sided, misfit, stocks_that_fit
from tagmaker.sheets.placard_parts import WIDE_PAGE
from tagmaker.tags.model import Tag
from tagmaker.typeset.fonts import BOLD, face

__all__ = ["Alike", "check_fit", "check_letters", "check_placards", "check_sides", "check_stocks"]


def check_fit(tag: Tag, stock: Stock, job_folder: Path) -> tuple[Problem, ...]:
    """A named stock that does not go round the thing, with the numbers and the stocks that would and last."""
    found = None if stock.is_default else misfit(tag.outside, stock)
    if found is None or tag.outside is None:
        return ()
    thing = "cable" if tag.kind == "cable" else f"{tag.look} line"
    place = f"{tag.box}/{tag.port}" if tag.port else tag.box
    message = f"{thing} {place} on {stock.name}: {found.message}"
    lasting = (each for each in every_stock(job_folder) if not any(_unsuited(tag, each)))
    fitting = stocks_that_fit(tag.outside, tag.stock_use, lasting)
    hint = f"these fit: {', '.join(fitting)}" if fitting else "no stock here fits; a tie-on tag always does"
    return (error("stock-misfit", message, tag.where, hint, (tag.box.upper(),)),)


def every_stock(job_folder: Path) -> list[Stock]:
    """Every stock that a job may use and that is sound."""
    loaded = (load_stock(name, "", job_folder, Where(name))[0] for name in names("stocks", job_folder))
    return [stock for stock in loaded if stock]


class Alike:
    """Labels of which these checks find the same are counted, so that a campus need not be kept for them."""

    def __init__(self, labels: Iterable[FittedLabel] = ()) -> None:
        self.first: dict[object, FittedLabel] = {}
        self.counts: Counter[object] = Counter()
        for label in labels:
            self.add(label)

    def add(self, label: FittedLabel) -> None:
        """One more label; the first of its like is kept, without its marks."""
        tag, heights = label.tag, tuple(label.heights.items())
        key = (tag.stock_use, tag.kind, tag.port == "", tag.units == (), tag.outside, heights)
        self.counts[key] += 1
        if key not in self.first:
            self.first[key] = replace(label, marks=())

    def counted(self) -> Iterator[tuple[FittedLabel, int]]:
        """The first of each like, in order, and how many there are."""
        return ((label, self.counts[key]) for key, label in self.first.items())

    def tags(self) -> Iterator[Tag]:
        """The tags of the first ones."""
        return (label.tag for label in self.first.values())


def check_letters(labels: Alike, stocks: dict[str, Stock], job_folder: Path) -> Iterator[Problem]:
    """Texts too small for the distance from which they are read; one warning a use, with the lowest."""
    found: dict[str, dict[str, tuple[Short, FittedLabel]]] = {}
    counts: Counter[str] = Counter()
    for label, count in labels.counted():
        use = label.tag.stock_use
        shorts = shorts_of(label.tag, stocks[use], label.heights)
        counts[use] += count if shorts else 0
        lowest = found.setdefault(use, {})
        for short in shorts:
            if short.what not in lowest or short.caps < lowest[short.what][0].caps:
                lowest[short.what] = short, label
    for use, lowest in found.items():
        if lowest:
            yield _too_small(use, counts[use], list(lowest.values()), stocks[use], job_folder)


def _too_small(
    use: str, count: int, lowest: list[tuple[Short, FittedLabel]], stock: Stock, job_folder: Path
) -> Problem:
    """The warning of a use: every text that is too small, with a tag on which it is lowest."""
    after = [label.tag.code for _, label in lowest[1:]] + [""]
    texts = "; ".join(
        short.message if label.tag.code == code else f"{short.message}, on {label.tag.code}"
        for (short, label), code in zip(lowest, after, strict=True)
    )
    message = f"{count} {_tags(use, count)} on {stock.name}: {texts}"
    return warning("letters-small", message, lowest[0][1].tag.where, _larger(use, stock, job_folder))


def _tags(use: str, count: int) -> str:
    """A use in words: "pipe rough in tags"."""
    return f"{use.replace('_', ' ')} {'tag' if count == 1 else 'tags'}"


def _larger(use: str, present: Stock, job_folder: Path) -> str:
    """The other stocks on which an ordinary tag reads from where it is read, in words."""
    from tagmaker.sheets.sample import reads  # noqa: PLC0415 — needed for a stock that is too small only

    words = load_words()
    others = (stock for stock in every_stock(job_folder) if stock.name != present.name and use in stock.suits)
    fitting = [stock.name for stock in others if stock.kind != "page" and reads(stock, words, use)]
    return f"high enough on: {', '.join(fitting)}" if fitting else "no stock here is large enough"


def check_stocks(tags: Iterable[Tag], stocks: dict[str, Stock]) -> Iterator[Problem]:
    """Lasting tags on a stock that fades or drops off, or that is made for another use; once a use."""
    reported: set[tuple[str, str]] = set()
    for tag in tags:
        stock = stocks[tag.stock_use]
        for code, message, hint in _unsuited(tag, stock):
            if (code, tag.stock_use) not in reported:
                reported.add((code, tag.stock_use))
                yield warning(code, message, tag.where, hint)


def check_sides(tags: Iterable[Tag], stocks: dict[str, Stock]) -> Iterator[Problem]:
    """Wraps whose words are not seen whole from one side; once a use."""
    reported: set[str] = set()
    for tag in tags:
        stock = stocks[tag.stock_use]
        if tag.stock_use not in reported and is_one_sided(tag.outside, stock):
            reported.add(tag.stock_use)
            message = f"{_tags(tag.stock_use, 2)} on {stock.name} are not seen whole from one side"
            hint = "turn the letter to the side that people see, or name a flag or tie-on tag"
            yield note("wrap-one-sided", message, tag.where, hint)


def _unsuited(tag: Tag, stock: Stock) -> Iterator[tuple[str, str, str]]:
    """Code, message and hint of each reason why a tag should not be on a stock."""
    use = tag.stock_use
    if use not in stock.suits:
        message = f"{use.replace('_', ' ')} tags on {stock.name}, which is made for {', '.join(stock.suits)}"
        yield "stock-unsuited", message, "choose a stock that suits; `tagmaker stocks` lists them"
    if use != "pipe_rough_in" and not stock.is_lasting:
        message = f"{use} tags must last; {stock.name} is temporary ({stock.material})"
        yield "stock-temporary", message, "keep it for the rough-in, and name a lasting stock here"
    if use in {"pipe", "splitter"} and tag.outside and stock.shape == "label" and stock.elastomeric == "no":
        message = f"{use} tags on {stock.name} go over insulation, and it does not stick to elastomeric foam"
        yield "stock-drops-off", message, "use a wrap or flag that sticks to itself, or a tie-on tag"
    if stock.shape == "wrap" and tag.outside is None and (tag.units or tag.kind.startswith("main")):
        message = (
            f"{use.replace('_', ' ')} tags on {stock.name}: no diameter is given to check whether it fits"
        )
        yield (
            "diameter-missing",
            message,
            "give its diameters, or leave the stock out: a flag or tie-on tag fits",
        )


def check_placards(placards: Iterable[tuple[Page, ...]], job: Job) -> Iterator[Problem]:
    """Box tags and lists of switches too small for a placard's reading distance; reported once."""
    stock = job.prints.stocks["placard"]
    what = "placard_page" if stock.page[0] >= WIDE_PAGE else "placard_label"
    least = reading_rules().texts[what].caps
    bold = face(BOLD)
    low = [
        (mark.size * bold.cap_height, mark.text)
        for pages in placards
        for mark in flat(pages[0].marks if pages else ())
        if isinstance(mark, Text) and mark.role == "main" and mark.size * bold.cap_height < least - ROUNDED
    ]
    if low:
        caps, text = min(low)
        distance = reading_rules().texts[what].distance
        message = (
            f"placards on {stock.name}: {text!r} is {caps:.1f} mm high; "
            f"read at {distance:g} m it needs {least:.1f} mm"
        )
        hint = "print placards on a larger page in [print], or show a shorter tag"
        yield warning("letters-small", message, Where(job.where.file), hint)

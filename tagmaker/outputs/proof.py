"""Proof before print: every code of the finished files is read back and compared with what is expected.

Takes a finished PDF and the codes that must be on it, with their places; gives counts and problems. The
reader shares no code with the encoders. A page is rendered at its stock's dots, 8 a millimetre where there is
no dot grid: what a coarse printer prints must read. The first and last page of a file are read whole, of the
others only the places of codes, which are a tenth of a sheet of labels; so is a page on which more is drawn
that could be a code than was meant. Only upright codes of the expected kinds are searched for: a search for
bars "found" some in 2 of 28,000 QR codes, and a correct set was refused.
"""

import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.draw.marks import Bars, Page, flat
from tagmaker.problems import Problem, Where, error
from tagmaker.sheets.place import Placed
from tagmaker.symbols.encode import SymbolKind
from tagmaker.symbols.read import Decoded, Place
from tagmaker.tags.placard_forms import form_heading

if TYPE_CHECKING:
    from tagmaker.symbols.finished import FinishedPage

__all__ = ["Expected", "Part", "Parts", "Proof", "expected_of_labels", "expected_of_page", "prove"]

MM_AN_INCH = 25.4
PLAIN_DOTS = 8  # a millimetre, for files that are printed on no dot grid
HINT = "nothing was written; please report this"
QR: frozenset[SymbolKind] = frozenset({"qr"})
QR_OR_BARS: frozenset[SymbolKind] = frozenset({"qr", "code128"})
# a stock with bars takes a QR code where bars would be too thin
PAGE_CODES = 6  # as many codes take as long as a page without any
PART_CODES = 600  # of a part of a file that is read at once, at least
PART_CODES_ALONE = 6000  # where one core reads all parts: each opens the file, all pages of it
PART_SHARE = 16  # a part is at least such a share of those before it, for the same reason
SLACK_MM = 0.6  # a reader's corners are found to about a module


class Expected(Struct, frozen=True):
    """A code that must read on a page (from 1) within a rectangle in mm, and whose it is."""

    page: int
    text: str
    x: float
    y: float
    width: float
    height: float
    where: Where
    kinds: frozenset[SymbolKind] = QR  # of symbols in which it may be printed


class Proof(Struct, frozen=True):
    """How many codes read back of how many, and the problems of those that did not."""

    read: int
    of: int
    problems: tuple[Problem, ...]


def expected_of_labels(placed: Iterable[Placed]) -> list[Expected]:
    """The codes of label files: the texts of the register's tags, each where its symbol was placed."""
    return [
        Expected(
            each.page,
            each.label.tag.code,
            *_place(each),
            each.label.tag.where,
            QR if each.stock.symbol == "qr" else QR_OR_BARS,
        )
        for each in placed
        if each.stock.symbol != "none" and each.label.has_code
    ]


def _place(placed: Placed) -> Place:
    """Where a label has its code; the label itself where it has none within it, so that none is found."""
    width, height = placed.stock.label
    for mark in flat(placed.label.marks):
        if isinstance(mark, Bars):
            wide, high = mark.size
            if 0 <= mark.x <= width - wide and 0 <= mark.y <= height - high:
                return placed.x + mark.x, placed.y + mark.y, wide, high
    return placed.x, placed.y, width, height


def expected_of_page(number: int, page: Page, where: Where) -> list[Expected]:
    """The codes of a page of other files, each where its symbol was placed."""
    return [
        Expected(number, mark.text, mark.x, mark.y, *mark.size, where)
        for mark in flat(page.marks)
        if isinstance(mark, Bars)
    ]


class Part(Struct, frozen=True):
    """Pages of a file that are read at once, without their ink: their numbers, and the codes on them."""

    numbers: range
    pages: list[Page]
    expected: list[Expected]


class Parts:
    """A file's pages as they come, in parts that are each about as long to read.

    `first` is the first code of all, None where there is none.
    """

    def __init__(self, cores: int) -> None:
        self.codes = PART_CODES if cores > 1 else PART_CODES_ALONE
        self.first: Expected | None = None
        self.start, self.load, self.before = 1, 0, 0
        self.pages: list[Page] = []
        self.expected: list[Expected] = []

    def add(self, page: Page, expected: list[Expected]) -> Iterator[Part]:
        """One more page; the part before it, where that is whole."""
        if self.load >= max(self.codes, self.before / PART_SHARE):
            yield self.end(self.start + len(self.pages))
        self.first = self.first or next(iter(expected), None)
        self.pages.append(replace(page, marks=()))
        self.expected += expected
        self.load += PAGE_CODES + len(expected)

    def end(self, stop: int = sys.maxsize) -> Part:
        """The part up to a page; the last one has no end."""
        part = Part(range(self.start, stop), self.pages, self.expected)
        self.before += self.load
        self.start, self.load, self.pages, self.expected = stop, 0, [], []
        return part


def prove(  # noqa: PLR0913, PLR0917 — a file, what it must hold, and how it is printed
    name: str,
    pdf: bytes | Path,
    expected: Sequence[Expected],
    pages: Sequence[Page],
    dots_per_mm: float,
    part: range = range(1, sys.maxsize),
) -> Proof:
    """Read a file's codes back, on all its pages or a part of them; `pages` are those of the part.

    A file on disk is read as its pages ask for it: whole, it would be in memory once a process.

    A code that does not read where it was printed is a problem, and so is a code that was not expected: both
    mean that paper and register differ. A file without codes is not rendered.
    """
    wanted_here = [each for each in expected if each.page in part]
    by_page: dict[int, list[Expected]] = {}
    for each in wanted_here:
        by_page.setdefault(each.page, []).append(each)
    unread: list[Problem] = []
    unexpected: list[Problem] = []
    for number, found in _read_pages(pdf, by_page, pages, dots_per_mm, part) if expected else ():
        wanted = by_page.pop(number, [])
        missed, left = _compared(wanted, found, pages[number - part.start])
        unread += [_unread(f"{name} page {number}", each) for each in missed]
        where = (*wanted, *expected)[0].where
        unexpected += [_unexpected(f"{name} page {number}", code, where) for code in left]
    for number, wanted in by_page.items():
        unread += [_unread(f"{name} page {number}, which does not exist", each) for each in wanted]
    return Proof(len(wanted_here) - len(unread), len(wanted_here), (*unread, *unexpected))


def _read_pages(
    pdf: bytes | Path,
    by_page: dict[int, list[Expected]],
    pages: Sequence[Page],
    dots_per_mm: float,
    part: range,
) -> Iterator[tuple[int, list[Decoded]]]:
    """What reads on each page of a part, by its number."""
    from tagmaker.symbols.finished import FinishedFile  # noqa: PLC0415 — heavy, needed for proofs only

    kinds = frozenset[SymbolKind]().union(*(each.kinds for wanted in by_page.values() for each in wanted))
    with closing(FinishedFile(pdf, (dots_per_mm or PLAIN_DOTS) * MM_AN_INCH)) as file:
        for number in range(part.start, min(part.stop, part.start + len(pages), file.pages + 1)):
            page = pages[number - part.start]
            with file.page(number) as finished:
                wanted = by_page.get(number, [])
                if number in (1, file.pages) or finished.code_like() > len(wanted):
                    yield number, finished.whole(sorted(kinds))
                else:
                    yield number, _read_places(finished, wanted, page)


def _read_places(finished: "FinishedPage", wanted: Iterable[Expected], page: Page) -> list[Decoded]:
    """What reads in the places of a page where codes are expected."""
    return [code for each in wanted for code in finished.within(_on_paper(each, page), sorted(each.kinds))]


def _compared(
    expected: list[Expected], found: list[Decoded], page: Page
) -> tuple[list[Expected], list[Decoded]]:
    """Expected codes that were not read, and codes read that were not expected.

    A code that is read in the wrong place is reported once, as not read where it was printed.
    """
    left = list(found)
    missed: list[Expected] = []
    for each in expected:
        place = _on_paper(each, page)
        match = next((code for code in left if code.text == each.text and _is_in(code, place)), None)
        if match:
            left.remove(match)
        else:
            missed.append(each)
    texts = {each.text for each in missed}
    return missed, [code for code in left if code.text not in texts]


def _unread(page_name: str, expected: Expected) -> Problem:
    message = f"{page_name}: the code {form_heading(expected.text)!r} does not read back where it was printed"
    return error("code-unreadable", message, expected.where, HINT)


def _unexpected(page_name: str, code: Decoded, where: Where) -> Problem:
    message = f"{page_name}: a code reads {form_heading(code.text)!r} where none was expected"
    return error("code-unreadable", message, where, HINT)


def _on_paper(expected: Expected, page: Page) -> Place:
    """Where a code must read, as moved and scaled by the printer's alignment."""
    scale_x, scale_y, dx, dy = page.adjust or (1.0, 1.0, 0.0, 0.0)
    left, top = scale_x * expected.x + dx, scale_y * expected.y + dy
    return left, top, scale_x * expected.width, scale_y * expected.height


def _is_in(code: Decoded, place: Place) -> bool:
    """Whether a code lies within its place."""
    left, top, width, height = place
    return (
        left - SLACK_MM <= code.x
        and top - SLACK_MM <= code.y
        and code.x + code.width <= left + width + SLACK_MM
        and code.y + code.height <= top + height + SLACK_MM
    )

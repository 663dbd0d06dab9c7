"""Proof before print: every code of the finished files is read back and compared with what is expected.

Takes a finished PDF and the codes that must be on it, with their places; gives counts and problems. The
reader shares no code with the encoders. A page is rasterised at its stock's dots, 8 a millimetre where there
is no dot grid: what a coarse printer prints must read. Only upright codes of the expected kinds are searched
for: a search for bars "found" some in 2 of 28,000 QR codes, and a correct set was refused.
"""

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from tagmaker.draw.marks import Bars, Page, flat
from tagmaker.problems import Problem, Where, error
from tagmaker.sheets.place import Placed
from tagmaker.symbols.encode import SymbolKind
from tagmaker.symbols.read import Decoded, page_pictures, read_print
from tagmaker.tags.placard_forms import form_heading

if TYPE_CHECKING:
    from concurrent.futures import Future

__all__ = ["Expected", "Proof", "expected_of_labels", "expected_of_pages", "prove"]

MM_AN_INCH = 25.4
PLAIN_DOTS = 8  # a millimetre, for files that are printed on no dot grid
HINT = "nothing was written; please report this"
QR: frozenset[SymbolKind] = frozenset({"qr"})
QR_OR_BARS: frozenset[SymbolKind] = frozenset({"qr", "code128"})
# a stock with bars takes a QR code where bars would be too thin
READERS = 2
PICTURES_HELD = 2  # of some 4 MB each
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
    """The codes of label files, each within its label as the register gives it."""
    return [
        Expected(
            each.page,
            each.label.tag.code,
            each.x,
            each.y,
            *each.stock.label,
            each.label.tag.where,
            QR if each.stock.symbol == "qr" else QR_OR_BARS,
        )
        for each in placed
        if each.stock.symbol != "none" and each.label.has_code
    ]


def expected_of_pages(pages: Sequence[Page], where: Where) -> list[Expected]:
    """The codes of other files, each where its symbol was placed."""
    found: list[Expected] = []
    for number, page in enumerate(pages, start=1):
        for mark in flat(page.marks):
            if isinstance(mark, Bars):
                width = max(column + columns for column, _, columns, _ in mark.runs) * mark.cell_width
                height = max(row + rows for _, row, _, rows in mark.runs) * mark.cell_height
                found.append(Expected(number, mark.text, mark.x, mark.y, width, height, where))
    return found


def prove(
    name: str, pdf: bytes, expected: Sequence[Expected], pages: Sequence[Page], dots_per_mm: float
) -> Proof:
    """Read a file's codes back.

    A code that does not read where it was printed is a problem, and so is a code that was not expected: both
    mean that paper and register differ. Pages without codes are not rendered.
    """
    dpi = (dots_per_mm or PLAIN_DOTS) * MM_AN_INCH
    by_page: dict[int, list[Expected]] = {}
    for each in expected:
        by_page.setdefault(each.page, []).append(each)
    unread: list[Problem] = []
    unexpected: list[Problem] = []
    for number, found in _read_pages(pdf, dpi, by_page):
        wanted = by_page.pop(number)
        missed, left = _compared(wanted, found, pages[number - 1])
        unread += [_unread(f"{name} page {number}", each) for each in missed]
        unexpected += [_unexpected(f"{name} page {number}", code, wanted[0].where) for code in left]
    for number, wanted in by_page.items():
        unread += [_unread(f"{name} page {number}, which does not exist", each) for each in wanted]
    return Proof(len(expected) - len(unread), len(expected), (*unread, *unexpected))


def _read_pages(
    pdf: bytes, dpi: float, by_page: Mapping[int, list[Expected]]
) -> Iterator[tuple[int, list[Decoded]]]:
    """What reads on each page that has codes, by its number; while some are read the next are rendered.

    Reader and renderer let other threads run: two cores take little more than half the time of one. No more
    than a few pictures are held.
    """
    from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415 — heavy, needed for proofs only

    with ThreadPoolExecutor(READERS) as readers:
        waiting: deque[tuple[int, Future[list[Decoded]]]] = deque()
        numbers = sorted(by_page)
        for number, picture in zip(numbers, page_pictures(pdf, dpi, only=numbers), strict=False):
            kinds = sorted(QR.union(*(each.kinds for each in by_page[number])))
            waiting.append((number, readers.submit(read_print, picture, dpi, kinds)))
            if len(waiting) > PICTURES_HELD:
                first, reading = waiting.popleft()
                yield first, reading.result()
        for number, reading in waiting:
            yield number, reading.result()


def _compared(
    expected: list[Expected], found: list[Decoded], page: Page
) -> tuple[list[Expected], list[Decoded]]:
    """Expected codes that were not read, and codes read that were not expected.

    A code that is read in the wrong place is reported once, as not read where it was printed.
    """
    left = list(found)
    missed: list[Expected] = []
    for each in expected:
        match = next((code for code in left if code.text == each.text and _within(code, each, page)), None)
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


def _within(code: Decoded, expected: Expected, page: Page) -> bool:
    """Whether a code lies within its label, as moved and scaled by the printer's alignment; all in mm."""
    scale_x, scale_y, dx, dy = page.adjust or (1.0, 1.0, 0.0, 0.0)
    left, top = scale_x * expected.x + dx, scale_y * expected.y + dy
    right, bottom = left + scale_x * expected.width, top + scale_y * expected.height
    return (
        left - SLACK_MM <= code.x
        and top - SLACK_MM <= code.y
        and code.x + code.width <= right + SLACK_MM
        and code.y + code.height <= bottom + SLACK_MM
    )

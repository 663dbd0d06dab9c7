"""A stock shown with sample tags, from how far it reads, and the page to align a printer with."""

import re
from functools import cache
from itertools import combinations

import pytest

from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import Stock, Use, load_stock
from tagmaker.draw.marks import Bars, Line, Mark, Page, Polygon, Rect, Text
from tagmaker.job.prints import default_prints
from tagmaker.problems import Where
from tagmaker.sheets.label import fit_label
from tagmaker.sheets.sample import (
    align_page,
    align_points,
    holds_caution,
    reads,
    reads_from,
    sample_page,
    sample_tag,
    shorts,
)
from tests.records import replace
from tests.sheets.printed import Box, capitals, ink, outside, overlapping, printed_pages, quiet_box
from tests.strategies import label_stocks, words
from tests.tables import table

ALL = names("stocks", None)
LABELS = [stock.name for stock in label_stocks()]
OUTLINE = (1.0, 1.0)
"""The dashes of a label's outline."""


@cache
def stock_of(name: str) -> Stock:
    """A stock of the program's own, which must be sound."""
    stock, problems = load_stock(name, "", None, Where(name))
    assert problems == ()
    assert stock
    return stock


@cache
def page_of(name: str) -> Page:
    """A stock's sample page."""
    return sample_page(stock_of(name), words())


def covered(mark: Mark) -> Box:
    """What a mark covers, half its line's width included."""
    match mark:
        case Text():
            return ink(mark)
        case Bars():
            return quiet_box(mark)
        case Rect():
            half = mark.line / 2 if not mark.dash else 0.0
            right, bottom = mark.x + mark.width, mark.y + mark.height
            return Box(mark.x - half, mark.y - half, right + half, bottom + half)
        case Line():
            across, down = sorted((mark.x1, mark.x2)), sorted((mark.y1, mark.y2))
            return Box(across[0], down[0], across[1], down[1])
        case Polygon():
            xs, ys = [x for x, _ in mark.points], [y for _, y in mark.points]
            return Box(min(xs), min(ys), max(xs), max(ys))
        case _:
            raise TypeError(mark)


def outlines(page: Page) -> list[Box]:
    """The labels of a page."""
    return [covered(mark) for mark in page.marks if isinstance(mark, Rect) and mark.dash == OUTLINE]


# --- the stocks ---------------------------------------------------------------------------------------------


def test_at_least_twelve_stocks_ship() -> None:
    """Sheets, rolls and pages of both papers, and every resolution of desktop printers."""
    assert len(ALL) >= 12
    stocks = [stock_of(name) for name in ALL]
    assert {stock.kind for stock in stocks} == {"sheet", "roll", "page"}
    assert {stock.dots_per_mm for stock in stocks} == {0, 8, 300 / 25.4}
    assert {name.partition("-")[0] for name in ALL} >= {"letter", "a4", "4x6", "roll", "tape"}


def test_stocks_are_named_by_what_they_are() -> None:
    """A name has sizes and uses, no maker's number: small letters, digits, hyphens."""
    assert [name for name in ALL if not name.replace("-", "").isalnum() or name != name.lower()] == []


@pytest.mark.parametrize("name", ALL)
def test_each_stock_says_what_it_is_made_of_and_where_it_may_be_used(name: str) -> None:
    """Material, life, what it holds on, temperatures where it is a film."""
    stock = stock_of(name)
    assert stock.material != "not stated"
    assert stock.life in {"lasting", "temporary"}
    assert stock.temperature_c is not None or "paper" in stock.material


def test_direct_thermal_is_temporary() -> None:
    """It fades in light and warmth; no other stock does [practice]."""
    temporary = [name for name in ALL if not stock_of(name).is_lasting]
    assert temporary == [name for name in ALL if "direct thermal" in stock_of(name).material] != []


# --- sample pages -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ALL)
def test_every_mark_of_a_sample_lies_on_the_page(name: str) -> None:
    """Text, codes with their quiet zones, frames and lines: nothing is cut off."""
    page = page_of(name)
    room = Box(0, 0, page.width, page.height)
    assert [mark for mark in page.marks if not room.holds(covered(mark))] == []


@pytest.mark.parametrize("name", LABELS)
def test_every_mark_of_a_sample_lies_on_a_label(name: str) -> None:
    """Labels are disjoint, as many as the stock has, and nothing is printed between them."""
    page = page_of(name)
    labels = outlines(page)
    assert len(labels) == stock_of(name).per_page
    assert not any(one.overlaps(two) for one, two in combinations(labels, 2))
    marks = [mark for mark in page.marks if not (isinstance(mark, Rect) and mark.dash == OUTLINE)]
    assert marks
    assert [mark for mark in marks if not any(label.holds(covered(mark)) for label in labels)] == []


@pytest.mark.parametrize("name", LABELS)
def test_a_samples_words_read_back(name: str) -> None:
    """No text is cut, and none lies over another or over a code, in the finished PDF of a label."""
    stock = replace(stock_of(name), columns=1, rows=1)
    page = sample_page(stock, words())
    (texts,) = printed_pages([page])
    assert outside(texts, Box(0, 0, page.width, page.height)) == []
    assert overlapping(texts) == []
    codes = [quiet_box(mark) for mark in page.marks if isinstance(mark, Bars)]
    assert [text.text for text in texts if any(code.overlaps(text.box) for code in codes)] == []
    assert any(text.text in {"C", "BB-1"} for text in texts)


@pytest.mark.parametrize("name", [stock.name for stock in label_stocks() if stock.symbol != "none"])
def test_a_sample_has_one_code_a_label(name: str) -> None:
    """However often its words are repeated; a strip has none."""
    codes = [mark for mark in page_of(name).marks if isinstance(mark, Bars)]
    assert len(codes) == stock_of(name).per_page


def test_a_page_stock_is_shown_empty() -> None:
    """A placard's page is its outline; what stands on it is the job's."""
    assert len(page_of("letter").marks) == 1


@pytest.mark.parametrize(
    ("use", "kind", "end_text"),
    table(
        """
    pipe     | liquid   | AT THE BOX
    cable    | cable    | AT THE UNIT
    terminal | terminal | AT THE BOX
    locator  | locator  | CEILING
    """
    ),
)
def test_sample_tags_are_whole(use: str, kind: str, end_text: str) -> None:
    """Each use is shown by a tag that could be: of its kind, at an end where it sticks."""
    tag = sample_tag(use, words())
    assert (tag.kind, tag.end_text, tag.stock_use) == (kind, end_text, use)
    assert (tag.port == "") == (use == "locator")


# --- from how far -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "metres"),
    [("letter", 1.5), ("a4", 1.5), ("4x6", 0.8), ("half-letter", 0.8), ("a5", 0.8)],
)
def test_from_how_far_placards_read(name: str, metres: float) -> None:
    """7.2 mm at 16 minutes: 7.2 x 21600 / (6.283 x 16) = 1547 mm; half of it on a label [by hand]."""
    assert round(reads_from(stock_of(name), words()), 1) == metres


@pytest.mark.parametrize("name", LABELS)
def test_a_stock_reads_from_where_its_smallest_text_does(name: str) -> None:
    """Not only its letter: 16 minutes of the least height of what matters, or 20 of a caution [by hand]."""
    stock = stock_of(name)
    metres = reads_from(stock, words())
    labels = [fit_label(sample_tag(use, words()), stock, words())[0] for use in stock.suits]
    letters = [label.letter_caps for label in labels if label]
    assert 0.3 <= metres <= min(letters) * 21600 / (6.283 * 16) / 1000


@pytest.mark.parametrize("use", ["pipe", "pipe_rough_in", "cable", "terminal"])
def test_the_default_stock_has_no_small_text(use: Use) -> None:
    """Every text of ordinary and of spare ports' tags reads from where it is read."""
    stock = default_prints().stocks[use]
    assert reads(stock, words(), use)
    assert shorts(stock, words(), use) == []


def test_what_is_too_small_has_its_figures() -> None:
    """A tape of 25 mm: its letter is lower than 11.6 mm, and reads from less than 2.5 m."""
    (letter,) = [
        each for each in shorts(stock_of("tape-25-cut-60-203dpi"), words(), "pipe") if each.what == "letter"
    ]
    assert re.fullmatch(
        r"letter \d\.\d mm high reads from 1\.\d m, not from 2\.5 m \(11\.6 mm\)", letter.message
    )
    assert not reads(stock_of("tape-25-cut-60-203dpi"), words(), "pipe")


def test_a_stock_that_holds_no_caution_is_no_stock_for_spares() -> None:
    """Faces of 34.8 x 25.4 mm have no room for the caution of a stub at 3.3 mm, a tie-on tag has."""
    assert not holds_caution(stock_of("roll-flag-102x25-300dpi"), words(), "pipe")
    assert holds_caution(stock_of("roll-tie-on-76x51-203dpi"), words(), "pipe")
    assert holds_caution(stock_of("roll-flag-102x25-300dpi"), words(), "cable")


def test_a_larger_label_reads_from_further() -> None:
    """A tie-on tag of 102 x 64 mm, a label of 67 x 25 mm, a terminal's of 44 x 13 mm, in this order."""
    order = ("letter-8-tie-on-102x64", "letter-30-67x25", "letter-80-44x13")
    distances = [reads_from(stock_of(name), words()) for name in order]
    assert distances == sorted(distances, reverse=True)


# --- aligning -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ALL)
def test_an_alignment_page_is_whole(name: str) -> None:
    """Crosses, rules and words lie on the page of every stock, large or small, apart from each other."""
    page = align_page(stock_of(name), words())
    room = Box(0, 0, page.width, page.height)
    assert [mark for mark in page.marks if not room.holds(covered(mark))] == []
    (texts,) = printed_pages([page])
    assert overlapping(texts) == []


@pytest.mark.parametrize("name", ["letter-30-67x25", "a4-21-63x38"])
def test_the_numbers_of_crosses_read_on_a_sheet(name: str) -> None:
    """As high as the words beside them."""
    page = align_page(stock_of(name), words())
    numbers = [mark for mark in page.marks if isinstance(mark, Text) and mark.text in {"1", "2"}]
    assert [capitals(mark) >= 3.0 for mark in numbers] == [True, True]


@pytest.mark.parametrize("name", ALL)
def test_crosses_lie_where_the_page_says(name: str) -> None:
    """A level and an upright line cross at each of two places, far from each other.

    Where a label is as large as 50 x 25 mm, it tells them.
    """
    stock = stock_of(name)
    page = align_page(stock, words())
    lines = [mark for mark in page.marks if isinstance(mark, Line)]
    told = " ".join(mark.text for mark in page.marks if isinstance(mark, Text))
    for x, y in align_points(stock):
        assert len([line for line in lines if line.y1 == line.y2 == y and line.x1 < x < line.x2]) == 1
        assert len([line for line in lines if line.x1 == line.x2 == x and line.y1 < y < line.y2]) == 1
        assert (f"{x:g}, {y:g}" in told) == (stock.page[0] > 50 and stock.page[1] > 25)
    (x1, y1), (x2, y2) = align_points(stock)
    assert x2 - x1 >= stock.page[0] / 2 - 1e-9
    assert y2 - y1 >= stock.page[1] / 2 - 1e-9

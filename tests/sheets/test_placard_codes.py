"""The codes of a placard: two alike, at opposite corners, with the most recovery that fits."""

import pytest

from tagmaker.catalog.stock import load_stock
from tagmaker.draw.marks import Bars, Page
from tagmaker.problems import Where
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.placard_parts import LEVELS
from tagmaker.symbols.encode import qr
from tagmaker.tags.placard_text import placard_text
from tests.records import replace
from tests.sheets.boxes import filled, job_of, sparse
from tests.sheets.placards import pages_in_order
from tests.sheets.printed import quiet_box
from tests.strategies import PAGE_STOCKS, SIZES, first_box, words


def codes_of(page: Page) -> list[Bars]:
    """The codes of a page in drawing order."""
    return [mark for mark in page.marks if isinstance(mark, Bars)]


@pytest.mark.parametrize("page", PAGE_STOCKS)
def test_the_code_stands_twice(page: str) -> None:
    """Two alike on the last page, with the box's whole text, their modules at least 4 dots at 203 dpi."""
    sketch = job_of(filled(12), page=page)
    *first, last = pages_in_order(sketch)
    assert [codes_of(each) for each in first] == [[] for _ in first]
    upper, lower = codes_of(last)
    job = sketch.record()
    assert upper.text == lower.text == placard_text(job, first_box(job))
    assert upper.runs == lower.runs
    assert all(bars.cell_width == bars.cell_height >= 0.5 for bars in (upper, lower))


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_codes_stand_at_opposite_corners_of_a_page(page: str) -> None:
    """One at the top right, one at the bottom left: a torn corner or a blot leaves the other."""
    (sheet,) = pages_in_order(job_of(filled(12), page=page))
    upper, lower = (quiet_box(bars) for bars in codes_of(sheet))
    assert upper.left > sheet.width * 0.7
    assert upper.bottom < sheet.height * 0.25
    assert lower.right < sheet.width * 0.3
    assert lower.top > sheet.height * 0.75


def test_codes_of_a_label_are_staggered() -> None:
    """On the last label, one begins more than a thumb (20 mm, practice) above the other."""
    upper, lower = (quiet_box(bars) for bars in codes_of(pages_in_order(job_of(filled(12), page="4x6"))[-1]))
    assert upper.left >= lower.right
    assert lower.top - upper.top > 20


@pytest.mark.parametrize("page", ["4x6", "a5", "half-letter"])
@pytest.mark.parametrize("ports", SIZES)
def test_no_fold_goes_through_the_finder_patterns_of_both_codes(ports: int, page: str) -> None:
    """Seven modules at a code's top and foot (ISO/IEC 18004): a level crease of 2 mm touches those of one."""
    stock, _ = load_stock(page, "placard", None, Where("job.toml"))
    assert stock is not None
    for box in (filled(ports), sparse(ports)):
        job = replace(job_of(box).record(), refrigerant="R-32")
        pages, _ = placard_pages(job, first_box(job), stock, words())
        upper, lower = codes_of(pages[-1])
        size, finder = modules_across(upper) * upper.cell_width, 7 * upper.cell_width
        gap = lower.y - (upper.y + size)
        assert gap > 2.0 or -gap - 2 * finder > 2.0


def modules_across(bars: Bars) -> int:
    """The columns of a symbol."""
    return max(column + wide for column, _, wide, _ in bars.runs)


@pytest.mark.parametrize(
    ("ports", "page"), [(4, "letter"), (12, "letter"), (12, "a4"), (4, "4x6"), (8, "4x6")]
)
def test_the_code_has_the_most_recovery_that_fits(ports: int, page: str) -> None:
    """A level above the one printed would have modules of less than 0.5 mm in the 43.4 mm of its place."""
    bars = codes_of(pages_in_order(job_of(filled(ports), page=page))[-1])[0]
    symbols = [qr(bars.text, level) for level in LEVELS]
    level = [symbol.runs for symbol in symbols].index(bars.runs)
    assert all((symbol.columns + 8) * 0.5 > 43.4 for symbol in symbols[:level])
    assert (symbols[level].columns + 8) * bars.cell_width <= 43.4 + 1e-9


@pytest.mark.parametrize("ports", SIZES)
def test_codes_of_a_label_have_the_highest_recovery(ports: int) -> None:
    """Ports that leave no room for level Q give way: they have a label of their own."""
    bars = codes_of(pages_in_order(job_of(filled(ports), page="4x6"))[-1])[0]
    assert bars.runs == qr(bars.text, "Q").runs

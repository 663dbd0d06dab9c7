"""The codes of a placard: two at opposite corners, in the job's forms, large enough to be read from afar."""

from itertools import product

import pytest

from tagmaker.catalog.stock import load_stock
from tagmaker.draw.marks import Bars, Page, Text
from tagmaker.job.prints import PlacardForm
from tagmaker.problems import Where
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.placard_codes import LEVELS, MODULE_FAR, MODULE_LEAST, SMALL_LEVELS
from tagmaker.symbols.encode import qr
from tagmaker.tags.placard_forms import in_form
from tagmaker.tags.placard_text import placard_text
from tagmaker.typeset.fonts import face
from tests.records import replace
from tests.sheets.boxes import filled, job_of, sparse
from tests.sheets.placards import pages_in_order, paragraph
from tests.sheets.printed import faults, quiet_box
from tests.strategies import PAGE_STOCKS, SIZES, BoxSketch, first_box, words
from tests.symbols.test_encode import is_finder

LINK = "https://example.org/placard.html"
ALL_FORMS: list[tuple[PlacardForm, PlacardForm]] = [
    ("contact", "text"),
    ("text", "contact"),
    ("contact", "link"),
    ("text", "text"),
    ("contact", "contact"),
    ("link", "link"),
]
ONCE = "Do not save this contact: it is revision 2 only"
SAYS = {
    "contact": "Opens a contact card, offline",
    "text": "Settings as text, offline",
    "link": "Opens a page with the settings",
}


def codes_of(page: Page) -> list[Bars]:
    """The codes of a page in drawing order."""
    return [mark for mark in page.marks if isinstance(mark, Bars)]


def pages_with(box: BoxSketch, page: str, forms: tuple[PlacardForm, PlacardForm]) -> tuple[Page, ...]:
    """A placard with codes in these forms, which must have no fault."""
    stock, _ = load_stock(page, "placard", None, Where("job.toml"))
    assert stock is not None
    job = job_of(box).record()
    job = replace(job, prints=replace(job.prints, placard_codes=forms, link=LINK))
    pages, problems = placard_pages(job, first_box(job), stock, words())
    assert [problem.message for problem in problems] == []
    assert faults(pages, margin_mm=stock.margin, least_mm=2.3) == []
    return pages


def modules_across(bars: Bars) -> int:
    """The columns of a symbol."""
    return max(column + wide for column, _, wide, _ in bars.runs)


@pytest.mark.parametrize("page", PAGE_STOCKS)
def test_both_codes_are_on_the_last_page_as_a_contact_card_and_as_text(page: str) -> None:
    """Each with the box's whole text, their modules at least 4 dots at 203 dpi."""
    sketch = job_of(filled(12), page=page)
    *first, last = pages_in_order(sketch)
    assert [codes_of(each) for each in first] == [[] for _ in first]
    upper, lower = codes_of(last)
    text = placard_text(sketch.record(), first_box(sketch.record()))
    assert (upper.text, lower.text) == (in_form(text, "contact"), text)
    assert all(bars.cell_width == bars.cell_height >= 0.5 for bars in (upper, lower))


@pytest.mark.parametrize("page", ["letter", "4x6"])
@pytest.mark.parametrize("forms", ALL_FORMS)
def test_codes_have_the_jobs_forms_and_words(forms: tuple[PlacardForm, PlacardForm], page: str) -> None:
    """The first at the top right; what each does is below it, and a contact card is not to be saved."""
    pages = pages_with(filled(8), page, forms)
    upper, lower = codes_of(pages[-1])
    job = job_of(filled(8)).record()
    text = placard_text(job, first_box(job))
    assert [upper.text, lower.text] == [in_form(text, form, LINK) for form in forms]
    assert upper.x > lower.x
    assert upper.y < lower.y
    said = paragraph(pages)
    assert {form for form, words_of in SAYS.items() if words_of in said} == set(forms)
    assert (ONCE in said) == ("contact" in forms)


@pytest.mark.parametrize(
    ("page", "forms"), [*product(["letter", "a4", "4x6"], [("contact", "text"), ("text", "contact")])]
)
def test_the_warning_is_near_the_contact_card(page: str, forms: tuple[PlacardForm, PlacardForm]) -> None:
    """Within 45 mm of its code's middle sideways and down; nobody takes it for another's."""
    last = pages_with(filled(8), page, forms)[-1]
    card = codes_of(last)[forms.index("contact")]
    middle = modules_across(card) * card.cell_width / 2
    warnings = [mark for mark in last.marks if isinstance(mark, Text) and mark.text.startswith("Do not save")]
    assert len(warnings) == 1
    assert abs(warnings[0].y - (card.y + middle)) < 45
    width = face(warnings[0].face).width(warnings[0].text, warnings[0].size)
    assert warnings[0].x - 45 < card.x + middle < warnings[0].x + width + 45
    if page == "4x6":  # it is above the other code too
        assert f"{ONCE} {'→' if forms[0] == 'contact' else '↓'}" in paragraph((last,))


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_codes_are_at_opposite_corners_of_a_page(page: str) -> None:
    """One at the top right, one at the bottom left: a torn corner or a blot leaves the other."""
    (sheet,) = pages_in_order(job_of(filled(12), page=page))
    upper, lower = (quiet_box(bars) for bars in codes_of(sheet))
    assert upper.right > sheet.width - 8
    assert upper.top < 8
    assert upper.bottom < sheet.height * 0.3
    assert lower.left < 9
    assert lower.bottom > sheet.height - 12
    assert lower.top > sheet.height * 0.7


@pytest.mark.parametrize("ports", [8, 12])
def test_codes_of_a_label_are_staggered(ports: int) -> None:
    """On the last label, one begins more than a thumb (20 mm, practice) above the other, at its side."""
    last = pages_in_order(job_of(filled(ports), page="4x6"))[-1]
    upper, lower = (quiet_box(bars) for bars in codes_of(last))
    assert upper.right > last.width - 4
    assert lower.left < 4
    assert lower.top - upper.top > 20
    assert upper.left >= lower.right or lower.top > upper.bottom


@pytest.mark.parametrize("page", ["4x6", "4x6-300dpi", "a5", "half-letter"])
@pytest.mark.parametrize("ports", SIZES)
def test_no_fold_goes_through_finder_patterns_of_both_codes(ports: int, page: str) -> None:
    """Seven modules at a code's top and foot (ISO/IEC 18004): a level crease of 2 mm touches those of one."""
    for box, forms in product((filled(ports), sparse(ports)), ALL_FORMS[:3]):
        bands = [list(finder_rows(bars)) for bars in codes_of(pages_with(box, page, forms)[-1])]
        assert all(
            last + 2.0 < start or end + 2.0 < first for start, end in bands[0] for first, last in bands[1]
        )


@pytest.mark.parametrize("page", ["letter", "4x6"])
@pytest.mark.parametrize("ports", SIZES)
def test_the_corners_without_finder_patterns_face_each_other(ports: int, page: str) -> None:
    """A scratch across both codes passes there: the bottom left of the upper one, the top right of the lower.

    Of 800 seeded scratches 98 % leave a code that reads in this way, 96 % if both are upright (8 ports).
    """
    upper, lower = codes_of(pages_in_order(job_of(filled(ports), page=page))[-1])
    last = [modules_across(bars) - 7 for bars in (upper, lower)]
    assert finders(upper) == {(0, 0), (last[0], 0), (last[0], last[0])}
    assert finders(lower) == {(0, 0), (0, last[1]), (last[1], last[1])}


def finders(bars: Bars) -> set[tuple[int, int]]:
    """Column and row at which the finder patterns of a code begin, by their cores."""
    dark = {
        (column + x, row + y)
        for column, row, wide, high in bars.runs
        for x in range(wide)
        for y in range(high)
    }
    corners = product((0, modules_across(bars) - 7), repeat=2)
    return {(x, y) for x, y in corners if is_finder(dark, x, y)}


def finder_rows(bars: Bars) -> list[tuple[float, float]]:
    """Where the finder patterns of a code are, from top to foot in mm."""
    high, finder = modules_across(bars) * bars.cell_width, 7 * bars.cell_width
    return [(bars.y, bars.y + finder), (bars.y + high - finder, bars.y + high)]


@pytest.mark.parametrize("page", PAGE_STOCKS)
@pytest.mark.parametrize("ports", SIZES)
@pytest.mark.parametrize("forms", ALL_FORMS[:4])
def test_modules_read_from_afar(forms: tuple[PlacardForm, PlacardForm], ports: int, page: str) -> None:
    """Both codes of every size of box: from 0.5 m in motion and in a preview (measured: 0.62 mm)."""
    for box in (filled(ports), sparse(ports)):
        cells = [bars.cell_width for bars in codes_of(pages_with(box, page, forms)[-1])]
        assert min(cells) >= MODULE_FAR - 1e-9


@pytest.mark.parametrize(("ports", "page"), [*product([4, 8, 12], PAGE_STOCKS)])
def test_a_code_has_the_most_recovery_with_such_modules(ports: int, page: str) -> None:
    """In the place that it has, a higher level would have smaller ones."""
    stock, _ = load_stock(page, "placard", None, Where(""))
    assert stock is not None
    for bars in codes_of(pages_in_order(job_of(filled(ports), page=page))[-1]):
        levels = LEVELS if page in {"letter", "a4"} else SMALL_LEVELS
        symbols = [qr(bars.text, level) for level in levels]
        at = [symbol.columns for symbol in symbols].index(modules_across(bars))
        place = (symbols[at].columns + 8) * bars.cell_width
        assert all(place / (symbol.columns + 8) < MODULE_FAR for symbol in symbols[:at])


def test_codes_that_find_no_room_are_as_large_as_they_may_be() -> None:
    """Two links of a full box on the smallest label: a lower level, and modules never below the least."""
    cells = [bars.cell_width for bars in codes_of(pages_with(sparse(12), "4x6", ("link", "link"))[-1])]
    assert min(cells) >= MODULE_LEAST

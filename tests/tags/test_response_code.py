"""The code of a page of a response test: what is written reads back, and nothing else reads."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.tags.response_code import ResponsePage, read_response_code, response_page_code, sheets_digest
from tagmaker.tags.sheet_names import first_page_code, is_reading, read_sheet_code
from tests.records import replace

NAMES = st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=24)
PAGES = st.integers(1, 999).flatmap(lambda pages: st.tuples(st.integers(1, pages), st.just(pages)))
PAGE = ResponsePage("HR-1", 3, 8, "ML-24", "P02", "3F2A91C2", "5D20A1B7")


@given(NAMES, PAGES, NAMES, NAMES.filter(bool))
def test_what_is_written_reads_back(system: str, pages: tuple[int, int], job: str, revision: str) -> None:
    """Whatever system, number and revision are called, spaces, percent signs and "-" included."""
    page = ResponsePage(system, *pages, job, revision, "3F2A91C2", "5D20A1B7")
    text = response_page_code(page)
    assert read_response_code(text) == page
    assert len(text.split(" ")) == 7


def test_a_page_in_full() -> None:
    """System, page of pages, number, revision, the digests of the test and of its sheets; "-" for none."""
    assert response_page_code(PAGE) == "RESPONSE HR-1 3/8 ML-24 P02 3F2A91C2 5D20A1B7"
    bare = replace(PAGE, system="", job="-", revision="P 02")
    assert response_page_code(bare) == "RESPONSE - 3/8 %2D P%2002 3F2A91C2 5D20A1B7"


def test_pages_of_a_test_belong_together() -> None:
    """All readers of sheets know the code, and which sheet it is of."""
    assert read_sheet_code(response_page_code(PAGE)) == PAGE
    assert first_page_code(PAGE) == response_page_code(replace(PAGE, page=1))
    assert (PAGE.shown, replace(PAGE, system="").shown) == (
        "sheet of response test 3F2A91C2 of system HR-1",
        "sheet of response test 3F2A91C2",
    )


@pytest.mark.parametrize(
    "text",
    [
        "",
        "RESPONSE HR-1 9/8 ML-24 P02 3F2A91C2 5D20A1B7",
        "RESPONSE HR-1 0/8 ML-24 P02 3F2A91C2 5D20A1B7",
        "RESPONSE HR-1 3/8 ML-24 P02 3F2A91C2",
        "RESPONSE HR-1 3/8 ML-24 P02 3f2a91c2 5D20A1B7",
        "RESPONSE HR 1 3/8 ML-24 P02 3F2A91C2 5D20A1B7",
        "RESPONSE HR-1 3/8 %FF P02 3F2A91C2 5D20A1B7",
        "SYSTEM HR-1 3/8 ML-24 P02 3F2A91C2",
    ],
)
def test_other_texts_are_no_page(text: str) -> None:
    """Another code, pages that cannot be, a part that is missing or cut: not read as anything."""
    assert read_response_code(text) is None


def test_a_digest_is_of_all_that_is_on_the_pages() -> None:
    """Eight digits, others for other parts."""
    assert sheets_digest(["a", "b"]) == sheets_digest(iter(["a", "b"])) != sheets_digest(["b", "a"])
    assert len(sheets_digest([])) == 8


def test_only_cells_are_readings() -> None:
    """Ticks and remarks of a response test are for the person alone."""
    names = ("BB-1/response/A//1", "BB-1/response-set/FC-1/1", "BB-1/response-note/date", "BB-1/left/1/2")
    assert [is_reading(name) for name in names] == [True, False, False, False]

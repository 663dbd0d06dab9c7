"""The code of a page of a verification sheet: what is written reads back, and nothing else reads."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.tags.walk import digests
from tagmaker.tags.walk_code import WalkPage, page_code, read_page_code, sheet_of
from tests.records import replace
from tests.site.found import site
from tests.strategies import tags

NAMES = st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=24)
PAGES = st.integers(1, 999).flatmap(lambda pages: st.tuples(st.integers(1, pages), st.just(pages)))


@given(tags(), PAGES, NAMES, NAMES.filter(bool), st.integers(0, 16**8 - 1))
def test_what_is_written_reads_back(
    box: str, pages: tuple[int, int], job: str, revision: str, digest: int
) -> None:
    """Whatever a job's number and its revision are called, spaces, percent signs and "-" included."""
    page = WalkPage(box.upper(), *pages, job, revision, f"{digest:08X}")
    text = page_code(page)
    assert read_page_code(text) == page
    assert len(text.split(" ")) == 6


def test_a_page_in_full() -> None:
    """Box in capitals, page of pages, number, revision, the first 8 digits of the box's digest."""
    plan = site()
    box = plan.boxes[1]
    digest = digests(plan.job, box).whole[:8]
    assert page_code(sheet_of(plan.job, box, 3)) == f"WALK BB-2 1/3 ML-24 2 {digest}"
    bare = replace(plan.job, number="", revision="P 02")
    assert page_code(sheet_of(bare, box, 1)) == f"WALK BB-2 1/1 - P%2002 {digest}"
    assert page_code(sheet_of(replace(bare, number="-"), box, 1)).split()[3] == "%2D"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "BB-1/A/LIQ",
        "WALK BB-1 2/1 ML-24 2 3F2A91C2",
        "WALK BB-1 0/1 ML-24 2 3F2A91C2",
        "WALK BB-1 1/1 ML-24 2 3F2A91C",
        "WALK BB-1 1/1 ML 24 2 3F2A91C2",
        "WALK bb-1 1/1 ML-24 2 3F2A91C2",
        "WALK BB-1 1/1 ML-24 2 3F2A91C2 ",
        "WALK BB-1 1/1  2 3F2A91C2",
        "WALK BB-1 1/1 %FF 2 3F2A91C2",
        "WALK BB-1 1/1 %G0 2 3F2A91C2",
    ],
)
def test_other_texts_are_no_page(text: str) -> None:
    """Another code, pages that cannot be, a part that is missing or cut: not read as anything."""
    assert read_page_code(text) is None

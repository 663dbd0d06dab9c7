"""The code of a page of first days: what is written reads back, and nothing else reads."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.tags.days_code import DaysPage, days_page_code, read_days_code
from tagmaker.tags.first_days import blank_row, fits_day
from tagmaker.tags.sheet_names import first_page_code, is_cell, read_sheet_code
from tests.records import replace

NAMES = st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=24)
PAGES = st.integers(1, 999).flatmap(lambda pages: st.tuples(st.integers(1, pages), st.just(pages)))
PAGE = DaysPage("HR-1", 2, 3, "ML-24", "P02", "F", "5D20A1B7")


@given(NAMES.filter(bool), PAGES, NAMES, NAMES.filter(bool), st.sampled_from(["F", "C"]))
def test_what_is_written_reads_back(
    system: str, pages: tuple[int, int], job: str, revision: str, scale: str
) -> None:
    """Whatever system, number and revision are called, spaces, percent signs and "-" included."""
    page = DaysPage(system, *pages, job, revision, "C" if scale == "C" else "F", "5D20A1B7")
    text = days_page_code(page)
    assert read_days_code(text) == page
    assert len(text.split(" ")) == 7


def test_a_page_in_full() -> None:
    """System, page of pages, number, revision, scale, digest; all readers of sheets know it."""
    assert days_page_code(PAGE) == "DAYS HR-1 2/3 ML-24 P02 F 5D20A1B7"
    assert read_sheet_code(days_page_code(PAGE)) == PAGE
    assert first_page_code(PAGE) == days_page_code(replace(PAGE, page=1))
    assert PAGE.shown == "first-days sheet of HR-1"


@pytest.mark.parametrize(
    "text",
    [
        "", "DAYS HR-1 4/3 ML-24 P02 F 5D20A1B7", "DAYS HR-1 0/3 ML-24 P02 F 5D20A1B7",
        "DAYS HR-1 2/3 ML-24 P02 K 5D20A1B7", "DAYS HR-1 2/3 ML-24 P02 F 5d20a1b7",
        "DAYS HR 1 2/3 ML-24 P02 F 5D20A1B7", "DAYS HR-1 2/3 %FF P02 F 5D20A1B7",
    ],
)  # fmt: skip
def test_nothing_else_reads(text: str) -> None:
    """Not even nearly."""
    assert read_days_code(text) is None


def test_a_cell_takes_what_can_be_of_it() -> None:
    """A mode, a temperature with or without its scale; a blank and a word are none."""
    mode, out = "BB-1/first-days/FC-1/1/mode", "BB-1/first-days/FC-1/1/out"
    assert [fits_day(mode, text) for text in ("c", "O", "75", " ")] == [True, True, False, False]
    assert [fits_day(out, text) for text in ("75", "22 C", "warm", "")] == [True, True, False, False]
    assert not fits_day("BB-1/left/seen", "75")
    assert blank_row("ARC-7", "BB-1/left/seen") is None
    assert (is_cell(mode), is_cell("BB-1/port/A/note")) == (True, False)

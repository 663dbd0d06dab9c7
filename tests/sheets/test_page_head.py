"""The head and foot that all pages of a document share: whose they are, and which page of how many."""

import datetime as dt

import pytest

from tagmaker.draw.marks import Line, Page, Rect
from tagmaker.job.model import Job
from tagmaker.sheets.page_head import MARGIN, PAGE_CAPS, PageHead
from tagmaker.typeset.canvas import Layout
from tests.measured import SMALL
from tests.records import replace
from tests.sheets.boxes import filled, job_of
from tests.sheets.printed import Box, faults, ink, marked_texts, texts
from tests.strategies import words

JOB = replace(
    SMALL.record(),
    number="ML-24",
    revision="P02",
    date=dt.date(2026, 4, 30),
    site="14 Mill Street",
    refrigerant="R-32",
)
LONG = "The Old Corn Exchange and Market Hall Conversion, Phase 3 of"
"""Sixty characters, the longest name and the longest site that a job may have."""


def pages_of(job: Job, count: int = 1) -> list[Page]:
    """So many empty pages, which must be without a fault."""
    head = PageHead(job, words(), "LABEL KITS")
    layout = Layout("list", job.where, "")
    pages = list(head.pages(layout, [[] for _ in range(count)]))
    assert layout.problems == []
    assert faults(pages, margin_mm=MARGIN - 0.1, least_mm=PAGE_CAPS) == []
    return pages


def test_every_page_gives_job_revision_and_page_of_how_many() -> None:
    """The job, its site, revision, date and refrigerant with its group: on each page, each numbered."""
    pages = pages_of(JOB, 3)
    for number, page in enumerate(pages, start=1):
        assert texts([page]) == [
            "LABEL KITS",
            "ML-24 Marsh Lane Library",
            "14 Mill Street",
            "Revision P02 · 2026-04-30 · Refrigerant R-32, group A2L",
            f"page {number} of 3",
        ]


def test_what_a_job_does_not_give_is_left_out() -> None:
    """No empty line for a site, no dot before a date; a refrigerant without a group has none."""
    bare = replace(JOB, site="", number="", date=None, refrigerant="")
    assert texts(pages_of(bare))[1:3] == ["Marsh Lane Library", "Revision P02"]
    unknown = replace(bare, refrigerant="R-33")
    assert texts(pages_of(unknown))[2] == "Revision P02 · Refrigerant R-33"


def test_a_draft_is_stamped() -> None:
    """White on black, on every page; an issued job has no stamp."""
    pages = pages_of(replace(JOB, is_draft=True), 2)
    assert all("DRAFT – NOT FOR START-UP" in texts([page]) for page in pages)
    assert not any(isinstance(mark, Rect) for page in pages_of(JOB) for mark in page.marks)


@pytest.mark.parametrize("is_draft", [False, True])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_longest_texts_fit_above_the_body(paper: str, is_draft: bool) -> None:  # noqa: FBT001 — a column
    """The head grows with its lines; the body begins below all of it and ends above the foot."""
    job = replace(job_of(filled(4), page=paper).record(), is_draft=is_draft, site=LONG, name=LONG)
    job = replace(job, number="W" * 24, revision="P02-ABCD", refrigerant="R" * 24)
    head = PageHead(
        job,
        words(),
        "AT THE UNITS, BY ROOM, LEVEL BY LEVEL",
        under="For the office: not a setting instruction. At the box, its placard decides. " * 2,
        foot="common practice; the manual for this equipment and local code decide. " * 3,
        part="PART OF THE JOB: 1 of 12 boxes",
    )
    layout = Layout("list", job.where, "")
    pages = list(head.pages(layout, [[], []]))
    assert layout.problems == []
    assert faults(pages, margin_mm=MARGIN - 0.1, least_mm=PAGE_CAPS) == []
    body = Box(head.body.x, head.body.y, head.body.right, head.body.bottom)
    for page, marks in zip(pages, marked_texts(pages), strict=True):
        assert not any(ink(mark).overlaps(body) for mark in marks)
        rules = [mark.y1 for mark in page.marks if isinstance(mark, Line)]
        assert all(y < body.top for y in rules)


def test_a_page_may_lie() -> None:
    """The same paper, its long side across."""
    upright, lying = PageHead(JOB, words(), "X"), PageHead(JOB, words(), "X", is_lying=True)
    assert lying.size == upright.size[::-1]


def test_a_name_that_nearly_fits_is_lower_not_on_two_lines() -> None:
    """One word does not stand alone below the rest where slightly lower letters hold all on one line."""
    name = "Backerei und Kaserei zum Grossen Osterreichischen Loewen, Hof"
    assert texts(pages_of(replace(JOB, number="", name=name)))[1] == name

"""The record's pages: nothing cut, crooked or over another; every text that people can write is set."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.draw.marks import Page, Rect
from tagmaker.job.model import Job
from tagmaker.sheets.handover import handover_pages
from tagmaker.sheets.handover_text import LONGEST, printable
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.tags.handover import (
    BankFound,
    BoardRecord,
    BoxRecord,
    DaysRecord,
    Fact,
    FileRecord,
    Handover,
    ItemRecord,
    JobRecord,
    LineRecord,
    OpenPoint,
    PortRecord,
    ResponseRecord,
    SignatureRecord,
    SystemRecord,
)
from tagmaker.typeset.fonts import PLAIN, face
from tagmaker.typeset.table import Cell
from tagmaker.typeset.text import LEGIBLE_MM, lines_needed
from tests.records import replace
from tests.sheets.boxes import filled, job_of
from tests.sheets.printed import faults, texts
from tests.strategies import words

WRITTEN = st.text(st.characters(exclude_categories=["Cs"]), max_size=900)


def job(paper: str = "letter") -> Job:
    """A job that prints on this paper."""
    return job_of(filled(4), page=paper).record()


def record(text: str = "K.A.", *points: OpenPoint, ports: int = 3) -> Handover:
    """A record in which people wrote this text wherever they can write."""
    line = LineRecord(("FC-1",), "differs", text, is_proved=False)
    port = PortRecord("A", "A+B", "joined", ("FC-1",), line, line, "not seen", text, text)
    box = BoxRecord(
        box="BB-1",
        place="corridor",
        power="LP-1",
        system="HR-1",
        result="differs",
        boards=(BoardRecord("left", "differs", (BankFound("Bank 1", (1,), (3,), (2,), (4,), (1, 3)),)),),
        ports=(port,) * ports,
        items=(ItemRecord("tested", "Pipes tested", "installer", ("A",), ("B", "C")),),
        signatures=(SignatureRecord("verifier", text, ""),),
        files=("returned/walk.json",),
        pictures=(),
    )
    return Handover(
        job=JobRecord("Library", "ML-24", "2", "", "", ""),
        complete=not points,
        digest="0123456789abcdef" * 4,
        plan_from="job",
        open=points,
        remarks=(text,),
        not_covered=("No response test was handed in.",),
        counts={"as planned": 0, "differs": 1, "not seen": 0},
        boxes=(box,),
        systems=(SystemRecord("HR-1", "", ("BB-1",), 3, "open", (Fact("Charge", "12 lb", text),), ()),),
        response=(ResponseRecord("HR-1", "3F2A91C2", 1, 2, 3, 4, (text,)),),
        first_days=(DaysRecord("HR-1", (1, 7), 3, 4),),
        files=(FileRecord(text or "a", "ab" * 32), FileRecord("gone.pdf", "")),
        attached=(FileRecord("plan.json", "cd" * 32),),
        pictures=(),
    )


def pages_of(record_: Handover, paper: str = "letter") -> list[Page]:
    """The pages, which must be without a fault."""
    pages, problems = handover_pages(job(paper), record_, {}, words())
    assert problems == []
    return pages


POINT = OpenPoint(1, "differs", "BB-1", "port A", "pipe found: FC-5, planned: FC-1", "find it", ("crossed",))


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_nothing_is_cut_crooked_or_over_another(paper: str) -> None:
    """Many open points, and boxes that run on to other pages."""
    points = [replace(POINT, number=at) for at in range(1, 120)]
    pages = pages_of(record("ring out, K.A. " * 8, *points, ports=26), paper)
    assert len(pages) > 4
    assert faults(pages, margin_mm=6.35, least_mm=PAGE_CAPS) == []


def test_every_page_has_the_status_in_the_same_place() -> None:
    """White on black over the whole width where something is open, black on white where nothing is."""
    for points, fill in (((POINT,), 0.0), ((), None)):
        pages = pages_of(record("x " * 2000, *points, ports=26))
        bands = [next(mark for mark in page.marks if isinstance(mark, Rect)) for page in pages]
        assert len({(band.x, band.y, band.width, band.height) for band in bands}) == 1
        assert {band.fill for band in bands} == {fill}
        state = "NOT COMPLETE – OPEN POINTS: 1" if points else "NO OPEN POINTS"
        assert all(state in texts([page]) for page in pages)


def test_a_box_that_runs_on_is_named_on_each_page() -> None:
    """A line about a port never lies under another box's name."""
    pages = pages_of(record(ports=80))
    of_box = [page for page in pages if any("Pipe" in text for text in texts([page]))]
    assert len(of_box) > 1
    assert all(any(text.startswith("Box BB-1") for text in texts([page])) for page in of_box)


@given(WRITTEN)
@settings(max_examples=60)
def test_whatever_people_write_is_set(text: str) -> None:
    """In every place where they can write."""
    pages_of(record(text, replace(POINT, what=text, place=text, to_do=text)))


@given(WRITTEN, st.sampled_from([12.0, 25.0, 90.0]))
@settings(max_examples=200)
def test_a_printable_text_fits_its_column(text: str, width: float) -> None:
    """In so many lines as it takes, with signs that the face has."""
    shown = printable(text, width)
    assert not face(PLAIN).missing(shown)
    if shown:
        assert 0 < lines_needed(shown, width, LEGIBLE_MM, bold=True) < 100
        assert Cell(shown, bold=True).height(width) > 0


def test_a_printable_text_is_whole_unless_it_is_longer_than_any_remark() -> None:
    """A usual one is as it was written; a long one says how much is missing."""
    assert printable("cable rung out, K.A.", 40) == "cable rung out, K.A."
    assert printable("x" * (LONGEST + 7), 150).endswith(" … (+7)")
    assert printable("\u4e2d", 40) == "U+4E2D"
    assert printable("\u202ea", 40) == "\\u202ea"

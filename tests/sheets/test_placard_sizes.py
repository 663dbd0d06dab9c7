"""Placards and summaries of every size of family: banks, switches, boards, on every paper of placards."""

from functools import cache
from itertools import product

import pytest

from tagmaker.catalog.family import BANKS_AT_MOST, SWITCHES_AT_MOST, Bank, Family, Rule
from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import Stock, load_stock
from tagmaker.draw.marks import Bars, Page, Text
from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Where
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.summary import summary_pages
from tests.records import replace
from tests.sheets.boxes import filled, job_of
from tests.sheets.pictured import pictured
from tests.sheets.printed import capitals, faults
from tests.strategies import BoxSketch, UnitSketch, first_box, shipped_family, words

EVERY_SIZE = list(product(range(1, BANKS_AT_MOST + 1), range(1, SWITCHES_AT_MOST + 1)))
CORNERS = [(1, 1), (1, 4), (1, 8), (1, 10), (2, 8), (3, 10), (4, 6), (10, 1), (10, 10)]


@cache
def papers() -> dict[str, Stock]:
    """Every stock that placards are printed on."""
    found = {name: load_stock(name, "", None, Where("job.toml"))[0] for name in names("stocks", None)}
    return {name: stock for name, stock in found.items() if stock and stock.kind == "page"}


def family_of(banks: int, switches: int, ports_per_board: int = 4) -> Family:
    """A family whose boards have so many banks of so many switches; of the first every switch has a rule."""
    positions = range(1, ports_per_board + 1)
    every = [
        Rule("unused", (position,), bank, 1) for bank in range(1, banks + 1) for position in positions[:1]
    ]
    more = [
        Rule("unused", (positions[(switch - 1) % ports_per_board],), 1, switch)
        for switch in range(2, switches + 1)
    ]
    boards = "abcdefghijkl"
    return replace(
        shipped_family(),
        ports_per_board=ports_per_board,
        places=tuple(tuple(f"board{letter}" for letter in boards[:count]) for count in range(1, 13)),
        banks=tuple(Bank(f"Bank {number}", switches) for number in range(1, banks + 1)),
        rules=(*every, *more),
    )


def job_for(family: Family, ports: int) -> Job:
    """A job of one box whose first port is used, so that other boards have as much ON as they may."""
    box = BoxSketch("BB-1", ports, (UnitSketch("FC-1", "A", "9 kBtu/h", "Shop"),), "Lobby", "Panel P1")
    job = job_of(box).record(family)
    return replace(job, refrigerant="R-32", site="14 Marsh Lane")


def placard(job: Job, stock: Stock) -> tuple[Page, ...]:
    """A placard that must have no problem."""
    pages, problems = placard_pages(job, first_box(job), stock, words())
    assert [problem.message for problem in problems] == []
    return pages


@pytest.mark.parametrize("name", papers())
@pytest.mark.parametrize("banks", range(1, BANKS_AT_MOST + 1))
def test_every_family_size_is_pictured_on_every_paper(banks: int, name: str) -> None:
    """From one bank of one switch to ten of ten, one board and three: every switch of the plan is there."""
    for switches, ports in product(range(1, SWITCHES_AT_MOST + 1), (4, 12)):
        job = job_for(family_of(banks, switches), ports)
        pages = placard(job, papers()[name])
        pictures = [picture for page in pages for picture in pictured(page.marks)]
        planned = sorted(bank.on() for board in first_box(job).boards for bank in board.banks)
        assert sorted(picture.at_end("ON") for picture in pictures) == planned
        assert all(len(picture.switches) == switches for picture in pictures)


@pytest.mark.parametrize("name", papers())
@pytest.mark.parametrize(("banks", "switches"), CORNERS)
def test_sizes_at_the_limits_read_back_without_a_fault(banks: int, switches: int, name: str) -> None:
    """In the PDF: nothing over anything, nothing small, nothing in the stock's margin."""
    stock = papers()[name]
    pages = placard(job_for(family_of(banks, switches), 12), stock)
    assert faults(pages, margin_mm=stock.margin, least_mm=PAGE_CAPS) == []


@pytest.mark.parametrize("name", papers())
@pytest.mark.parametrize("per_board", [1, 2, 3, 6, 12])
def test_any_number_of_boards_is_pictured(per_board: int, name: str) -> None:
    """One board of twelve ports to twelve boards of one, each board's heading once for each page it is on."""
    stock = papers()[name]
    job = job_for(family_of(2, 4, per_board), 12)
    pages = placard(job, stock)
    assert faults(pages, margin_mm=stock.margin, least_mm=PAGE_CAPS) == []
    heads = [
        mark.text for page in pages for mark in page.marks if isinstance(mark, Text) and " BOARD" in mark.text
    ]
    assert sorted(set(heads)) == sorted(f"{board.place.upper()} BOARD" for board in first_box(job).boards)


def words_of(pages: tuple[Page, ...], *said: str) -> list[float]:
    """The capitals of these words, in mm."""
    return [
        capitals(mark)
        for page in pages
        for mark in page.marks
        if isinstance(mark, Text) and mark.text in said
    ]


@pytest.mark.parametrize(
    ("name", "least"), [("letter", 4.0), ("a4", 4.0), *((name, 3.0) for name in papers())]
)
@pytest.mark.parametrize("ports", [4, 6, 8, 10, 12])
def test_on_and_off_have_one_size_and_are_large_enough(ports: int, name: str, least: float) -> None:
    """At least 4 mm on letter and A4, 3 mm on smaller pages; the same on all boards, as are the headings."""
    stock = papers()[name]
    pages = placard(job_of(filled(ports)).record(), stock)
    sizes = words_of(pages, "ON", "OFF")
    assert min(sizes) >= least - 0.001
    assert max(sizes) - min(sizes) < 0.001
    headings = words_of(pages, *(f"{place} BOARD" for place in ("ONLY", "LEFT", "MIDDLE", "RIGHT")))
    assert max(headings) - min(headings) < 0.001


def test_a_bank_goes_on_overleaf_whole() -> None:
    """Ten banks of ten on a 4 x 6 in label: each page has whole banks under their board's heading."""
    pages = placard(job_for(family_of(10, 10), 4), papers()["4x6"])
    of_boards = [page for page in pages if pictured(page.marks)]
    assert len(of_boards) > 1
    for page in of_boards:
        said = [mark.text for mark in page.marks if isinstance(mark, Text)]
        assert said.count("BOARDA BOARD") == 1
        assert "BB-1" in said
    names_seen = [picture.head[0] for page in of_boards for picture in pictured(page.marks)]
    assert names_seen == [f"Bank {number}" for number in range(1, 11)]


def test_codes_that_need_more_room_have_pages_of_their_own() -> None:
    """Twelve boards of ten banks make a text that the usual place does not hold: two codes, a page each."""
    job = job_for(family_of(10, 4, 1), 12)
    job = replace(job, prints=replace(job.prints, placard_codes=("text", "text")))
    pages = placard(job, papers()["4x6"])
    codes = [[mark for mark in page.marks if isinstance(mark, Bars)] for page in pages]
    assert [len(each) for each in codes if each] == [1, 1]


def test_a_form_that_no_code_holds_is_named() -> None:
    """The same text as a contact card is longer than any QR code may be; the hint has the way out."""
    job = job_for(family_of(10, 4, 1), 12)
    _, problems = placard_pages(job, first_box(job), papers()["4x6"], words())
    (problem,) = [problem for problem in problems if problem.code == "code-too-long"]
    assert 'placard_code = ["text"]' in problem.hint


@pytest.mark.parametrize(("banks", "switches"), CORNERS)
def test_every_family_size_is_in_the_summary(banks: int, switches: int) -> None:
    """Every bank's line, read back without a fault."""
    job = job_for(family_of(banks, switches), 12)
    found, problems = summary_pages(job, plan_job(job)[0].boxes, [], words())
    pages = list(found)
    assert problems == []
    assert faults(pages, margin_mm=6.35, least_mm=1.5) == []
    said = [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)]
    assert said.count("Bank 1") == 3
    assert said.count(f"Bank {banks}") == 3

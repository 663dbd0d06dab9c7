"""The line in a label sheet's margin: whose sheet it is, and which of how many, never across a label."""

from itertools import groupby

import pytest

from tagmaker.draw.marks import Page, Text
from tagmaker.job.model import Job
from tagmaker.sheets.label import FittedLabel
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.place import Placed, place_labels
from tagmaker.sheets.sheet_margin import label_page
from tests.measured import SMALL, all_tags, on_stocks
from tests.records import replace
from tests.sheets.printed import Box, capitals, faults, ink, texts
from tests.strategies import BoxSketch, JobSketch, UnitSketch, label_stocks, stock_named, words

SHEET = stock_named("letter-30-67x25")
UNITS = tuple(UnitSketch(f"FC-{port}", port, "9 kBtu/h") for port in "ABCDEFGHIJKL")
JOB = replace(JobSketch((BoxSketch("BB-1", 12, UNITS),)).record(), number="ML-24", revision="2")


def placed_of(job: Job, skip: int = 0) -> list[Placed]:
    """Every label of a job in its place, bare of words."""
    return place_labels([FittedLabel(tag, (), {}) for tag in all_tags(job)], job, skip)


def pages_of(job: Job, stock: str = SHEET.name) -> list[Page]:
    """The pages of a stock's labels."""
    labels = [each for each in placed_of(job) if each.stock.name == stock]
    pages = [list(own) for _, own in groupby(labels, lambda each: each.page)]
    return [label_page(own, labels[-1].page, labels[0].stock, job, words()) for own in pages]


def test_each_sheet_says_whose_it_is_and_which_of_how_many() -> None:
    """Box, job, revision and page, on every sheet."""
    assert [texts([page])[:2] for page in pages_of(JOB)] == [
        ["BB-1 · ML-24 Marsh Lane Library · REV 2", f"page {number} of 3"] for number in (1, 2, 3)
    ]


def test_a_sheet_of_tags_with_rings_says_what_they_are() -> None:
    """Below the labels: a punched ring makes no tie-on tag of adhesive sheet; a named stock has no ring."""
    for page in pages_of(JOB):
        ring = next(mark for mark in page.marks if isinstance(mark, Text) and "ring" in mark.text)
        assert ring.text == words()("tag.ring")
        assert ink(ring).top > SHEET.corner(SHEET.per_page - 1)[1] + SHEET.label[1]
    named = on_stocks(JOB, {"pipe": SHEET, "pipe_rough_in": SHEET})
    assert [text for text in texts(pages_of(named)) if "ring" in text] == []


def test_a_draft_is_marked() -> None:
    """As on its labels."""
    assert "BB-1 · ML-24 Marsh Lane Library · DRAFT REV 2" in texts(pages_of(replace(JOB, is_draft=True)))


def test_a_sheet_of_several_boxes_names_the_first_and_the_last() -> None:
    """Small kits share a sheet: one locator a box."""
    unit = UnitSketch("FC-1", "A", "9 kBtu/h")
    boxes = tuple(BoxSketch(f"BB-{at}", 4, (replace(unit, tag=f"FC-{at}"),)) for at in range(1, 4))
    locators = stock_named("letter-10-102x51")
    job = on_stocks(JobSketch(boxes).record(), {"locator": locators})
    (page,) = pages_of(job, locators.name)
    assert texts([page])[0].startswith("BB-1 – BB-3 · ")


@pytest.mark.parametrize("stock", [each.name for each in label_stocks() if each.kind == "sheet"])
@pytest.mark.parametrize("name", ["Marsh Lane Library", "W" * 60])
def test_the_line_is_in_the_margin_or_not_printed(stock: str, name: str) -> None:
    """On every sheet stock: clear of all labels, where a printer reaches, 2.3 mm high, on one line."""
    given = stock_named(stock)
    job = on_stocks(
        replace(JOB, name=name, number="W" * 24), dict.fromkeys(("pipe", "cable", "terminal"), given)
    )
    pages = pages_of(job, stock)
    assert faults(pages, margin_mm=given.margin - 0.01, least_mm=PAGE_CAPS) == []
    labels = [
        Box(x, y, x + given.label[0], y + given.label[1]) for x, y in map(given.corner, range(given.per_page))
    ]
    for page in pages:
        marks = [mark for mark in page.marks if isinstance(mark, Text)]
        assert len(marks) in {0, 2}
        assert all(capitals(mark) == pytest.approx(PAGE_CAPS) for mark in marks)
        assert not any(ink(mark).overlaps(label) for mark in marks for label in labels)


def test_a_margin_without_room_has_no_line() -> None:
    """Nor has a roll: nothing is printed on a label but what is registered."""
    narrow = replace(SHEET, name="narrow", first=(4.8, 6.0), pitch=(69.9, 26.7), rows=10, margin=4.5)
    job = on_stocks(JOB, dict.fromkeys(("pipe", "cable", "terminal"), narrow))
    assert texts(pages_of(job, "narrow")) == []
    roll = stock_named("roll-51x25-300dpi")
    assert texts(pages_of(on_stocks(SMALL.record(), {"terminal": roll}), roll.name)) == []


def test_the_margin_below_serves_where_that_above_has_no_room() -> None:
    """Labels that begin near the upper edge and end far from the lower one."""
    high = replace(SHEET, name="high", first=(4.8, 6.0), margin=4.5)
    (first, *_) = pages_of(on_stocks(JOB, dict.fromkeys(("pipe", "cable", "terminal"), high)), "high")
    assert [mark.y > 6.0 + 254 for mark in first.marks if isinstance(mark, Text)] == [True, True]

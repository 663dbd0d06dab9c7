"""Labels on pages: every tag once, none over another, all inside the page, in print order."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.stock import Stock
from tagmaker.job.records import Job
from tagmaker.marks import Bars
from tagmaker.sheets.label import FittedLabel
from tagmaker.sheets.place import Placed, place_labels, stock_of, tag_pages
from tagmaker.symbols.encode import qr
from tagmaker.tags.kits import box_tags
from tagmaker.tags.records import Tag
from tests.sheets.printed import Box
from tests.strategies import first_box, jobs, label_stocks, one_box, stock_named, words

SHEET = stock_named("letter-30-67x25")
ROLL = stock_named("roll-51x25-203dpi")
JOB = one_box(("FC-1", "A", "9 kBtu/h"), ("FC-2", "A", "9 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h")).record()


def label(tag: Tag) -> FittedLabel:
    """A label that bears its tag's code and nothing else."""
    return FittedLabel(tag, (Bars(1, 1, 0.4, 0.4, qr(tag.code).runs, tag.code),), 9.0)


def tags_of(job: Job) -> list[Tag]:
    """The tags of a job's first box in print order."""
    return list(box_tags(job, first_box(job), words()))


def on_stocks(job: Job, **stocks: Stock) -> Job:
    """The job with other stocks for some uses."""
    return replace(job, prints=replace(job.prints, stocks={**job.prints.stocks, **stocks}))


def placed_labels(job: Job) -> list[Placed]:
    """Every label of a job's first box in its place."""
    return place_labels([label(tag) for tag in tags_of(job)], job)


def box_of(placed: Placed) -> Box:
    """The room that a label takes on its page."""
    width, height = placed.stock.label
    return Box(placed.x, placed.y, placed.x + width, placed.y + height)


# --- properties --------------------------------------------------------------------------------------------


@given(jobs(most_boxes=1), st.sampled_from(label_stocks()), st.sampled_from(label_stocks()))
@settings(max_examples=25, deadline=None)
def test_labels_are_disjoint_and_inside_the_page(job: Job, pipe: Stock, cable: Stock) -> None:
    """On every stock, no two labels of a page share room and none leaves it."""
    job = on_stocks(job, pipe=pipe, cable=cable)
    pages: dict[tuple[str, int], list[Placed]] = {}
    for each in placed_labels(job):
        pages.setdefault((each.stock.name, each.page), []).append(each)
    for labels in pages.values():
        page = Box(0, 0, *labels[0].stock.page)
        assert all(page.holds(box_of(each)) for each in labels)
        assert not any(box_of(one).overlaps(box_of(two)) for one, two in combinations(labels, 2))
        assert len(labels) <= labels[0].stock.per_page


@given(jobs(most_boxes=1), st.sampled_from(label_stocks()), st.sampled_from(label_stocks()))
@settings(max_examples=25, deadline=None)
def test_every_tag_is_placed_exactly_once(job: Job, pipe: Stock, terminal: Stock) -> None:
    """Whatever stocks serve which use, each code stands on exactly one label, and on one drawn page."""
    job = on_stocks(job, pipe=pipe, terminal=terminal)
    placed = placed_labels(job)
    codes = sorted(tag.code for tag in tags_of(job))
    assert codes == sorted(each.label.tag.code for each in placed)
    drawn = [
        mark.text
        for name in {each.stock.name for each in placed}
        for page in tag_pages(each for each in placed if each.stock.name == name)
        for mark in page.marks
        if isinstance(mark, Bars)
    ]
    assert codes == sorted(drawn)


@given(jobs(most_boxes=1), st.sampled_from(label_stocks()))
@settings(max_examples=20, deadline=None)
def test_the_order_of_a_stock_is_the_order_of_tags(job: Job, cable: Stock) -> None:
    """Within a file, labels follow each other as their tags do, page after page."""
    job = on_stocks(job, cable=cable)
    order = [tag.code for tag in tags_of(job)]
    for name in {stock.name for stock in job.prints.stocks.values()}:
        placed = [each for each in placed_labels(job) if each.stock.name == name]
        codes = [each.label.tag.code for each in placed]
        assert codes == [code for code in order if code in set(codes)]
        assert [each.page for each in placed] == sorted(each.page for each in placed)


# --- examples ----------------------------------------------------------------------------------------------


def test_a_sheet_fills_in_rows() -> None:
    """Three labels a row, ten rows a page, the thirty-first on the next page."""
    placed = place_labels([label(tags_of(JOB)[0])] * 31, JOB)
    (left, top), (across, down) = SHEET.first, SHEET.pitch
    corners = [(left + column * across, top + row * down) for row in range(10) for column in range(3)]
    assert [each.page for each in placed] == [*[1] * 30, 2]
    assert [each.x for each in placed] == pytest.approx([*(x for x, _ in corners), left])
    assert [each.y for each in placed] == pytest.approx([*(y for _, y in corners), top])


def test_a_sheet_may_fill_in_columns() -> None:
    """Where a stock says so, the second label lies below the first."""
    job = on_stocks(JOB, terminal=replace(SHEET, fill="columns"))
    terminal = next(tag for tag in tags_of(job) if tag.kind == "terminal")
    first, second = place_labels([label(terminal)] * 2, job)
    assert second.x == first.x
    assert second.y - first.y == pytest.approx(SHEET.pitch[1])


def test_a_roll_has_a_label_a_page() -> None:
    """Every label is a page of its own, of the label's size."""
    job = on_stocks(JOB, terminal=ROLL)
    placed = [each for each in placed_labels(job) if each.stock is ROLL]
    assert [(each.page, each.x, each.y) for each in placed] == [(page, 0, 0) for page in range(1, 5)]
    assert [(page.width, page.height) for page in tag_pages(placed)] == [(50.8, 25.4)] * 4


def test_files_come_in_order_of_first_use() -> None:
    """The terminal tags are a box's first, so their stock's file is the first in the register."""
    job = on_stocks(JOB, terminal=ROLL)
    names = list(dict.fromkeys(each.stock.name for each in placed_labels(job)))
    assert names == ["roll-51x25-203dpi", "letter-30-67x25"]


@pytest.mark.parametrize(
    ("kind", "use"), [("liquid", "pipe"), ("gas", "pipe"), ("cable", "cable"), ("terminal", "terminal")]
)
def test_each_kind_has_its_stock(kind: str, use: str) -> None:
    """Pipes, cables and terminals each take the stock that the job names for them."""
    job = on_stocks(JOB, **{use: ROLL})
    tag = next(tag for tag in tags_of(job) if tag.kind == kind)
    assert stock_of(job, tag) is ROLL


def test_marks_move_with_their_label() -> None:
    """A mark 1 mm inside its label lies 1 mm inside the label's place on the page."""
    placed = placed_labels(JOB)[:4]
    (page,) = tag_pages(placed)
    bars = [mark for mark in page.marks if isinstance(mark, Bars)]
    assert [mark.x - 1 for mark in bars] == pytest.approx([each.x for each in placed])
    assert [mark.y - 1 for mark in bars] == pytest.approx([each.y for each in placed])


def test_no_labels_make_no_pages() -> None:
    """A stock without labels has no file."""
    assert list(tag_pages([])) == []

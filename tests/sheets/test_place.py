"""Labels on pages: every tag once, none over another, all inside the page, in print order."""

import csv
import io
from collections import Counter
from collections.abc import Iterable
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Bars, Mark, Page, flat
from tagmaker.job.model import Job
from tagmaker.outputs.register import register_csv
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.label import FittedLabel
from tagmaker.sheets.place import Placed, place_labels, stock_of, tag_pages
from tagmaker.tags.model import Tag
from tests.measured import SMALL, all_tags, fitted, mains, on_stocks, sized
from tests.records import replace
from tests.sheets.boxes import filled, job_of, paired, sparse
from tests.sheets.printed import Box, faults, quiet_box
from tests.strategies import BoxSketch, JobSketch, UnitSketch, jobs, label_stocks, stock_named

SHEET = stock_named("letter-30-67x25")
ROLL = stock_named("roll-51x25-203dpi")
STRIP = stock_named("tape-12-strip-300dpi")
JOB = SMALL.record()
FROM_THE_FLOOR_MM = 11.6
ROOMY_MM = 30.0  # of height, from which a label holds that beside all else


def label(tag: Tag) -> FittedLabel:
    """A label that bears a single dark cell, with its tag's code as its text."""
    return FittedLabel(tag, (Bars(1, 1, 0.4, 0.4, ((0, 0, 1, 1),), tag.code),), {})


def placed_labels(job: Job, skip: int = 0) -> list[Placed]:
    """Every label of a job in its place."""
    return place_labels([label(tag) for tag in all_tags(job)], job, skip)


def box_of(placed: Placed) -> Box:
    """The room that a label takes on its page."""
    width, height = placed.stock.label
    return Box(placed.x, placed.y, placed.x + width, placed.y + height)


def by_page(placed: Iterable[Placed]) -> dict[tuple[str, int], list[Placed]]:
    """The labels of each page."""
    pages: dict[tuple[str, int], list[Placed]] = {}
    for each in placed:
        pages.setdefault((each.stock.name, each.page), []).append(each)
    return pages


# --- properties ---------------------------------------------------------------------------------------------


@given(
    jobs(most_boxes=2), st.sampled_from(label_stocks()), st.sampled_from(label_stocks()), st.integers(0, 99)
)
@settings(max_examples=20, deadline=None)
def test_labels_are_disjoint_and_inside_the_page(job: Job, pipe: Stock, cable: Stock, skip: int) -> None:
    """On every stock, wherever its first sheet begins, labels share no room and none leaves its page."""
    job = on_stocks(job, {"pipe": pipe, "cable": cable, "terminal": STRIP}, pitch="0.4 in")
    for labels in by_page(placed_labels(job, skip)).values():
        page = Box(0, 0, *labels[0].stock.page)
        assert all(page.holds(box_of(each)) for each in labels)
        assert not any(box_of(one).overlaps(box_of(two)) for one, two in combinations(labels, 2))
        assert len(labels) <= labels[0].stock.per_page


@given(jobs(most_boxes=2), st.sampled_from(label_stocks()), st.sampled_from(label_stocks()))
@settings(max_examples=20, deadline=None)
def test_every_tag_is_placed_and_drawn_exactly_once(job: Job, pipe: Stock, terminal: Stock) -> None:
    """No tag is lost between a page and the next, and none is printed twice."""
    job = on_stocks(job, {"pipe": pipe, "terminal": terminal}, pitch="10 mm")
    placed = placed_labels(job)
    codes = sorted(tag.code for tag in all_tags(job))
    assert codes == sorted(each.label.tag.code for each in placed)
    drawn = [
        mark.text
        for name in {each.stock.name for each in placed}
        for page in tag_pages(each for each in placed if each.stock.name == name)
        for mark in flat(page.marks)
        if isinstance(mark, Bars)
    ]
    assert codes == sorted(drawn)


@given(jobs(most_boxes=2), st.sampled_from(label_stocks()))
@settings(max_examples=20, deadline=None)
def test_the_order_of_a_stock_is_the_order_of_tags(job: Job, cable: Stock) -> None:
    """Within a file, labels follow each other as their tags do, page after page."""
    job = on_stocks(job, {"cable": cable})
    order = [tag.code for tag in all_tags(job)]
    for name in {stock.name for stock in job.prints.stocks.values()}:
        placed = [each for each in placed_labels(job) if each.stock.name == name]
        codes = [each.label.tag.code for each in placed]
        assert codes == [code for code in order if code in set(codes)]
        assert [each.page for each in placed] == sorted(each.page for each in placed)


@given(jobs(most_boxes=1), st.sampled_from([stock for stock in label_stocks() if stock.per_page > 1]))
@settings(max_examples=20, deadline=None)
def test_skipped_labels_are_those_of_the_first_sheet(job: Job, stock: Stock) -> None:
    """With N skipped, what is printed lies as if N labels had been printed before."""
    job = on_stocks(job, dict.fromkeys(("pipe", "cable", "terminal"), stock))
    labels = [label(tag) for tag in all_tags(job)]
    for skip in (1, stock.per_page - 1):
        before = [*labels[:1] * skip, *labels]
        expected = [(each.page, each.x, each.y) for each in place_labels(before, job)[skip:]]
        assert expected == [(each.page, each.x, each.y) for each in place_labels(labels, job, skip)]


# --- sheets and rolls ---------------------------------------------------------------------------------------


def test_a_sheet_fills_in_rows() -> None:
    """Three labels a row, ten rows a page, the thirty-first on the next page."""
    placed = place_labels([label(all_tags(JOB)[0])] * 31, JOB)
    (left, top), (across, down) = SHEET.first, SHEET.pitch
    corners = [(left + column * across, top + row * down) for row in range(10) for column in range(3)]
    assert [each.page for each in placed] == [*[1] * 30, 2]
    assert [each.x for each in placed] == pytest.approx([*(x for x, _ in corners), left])
    assert [each.y for each in placed] == pytest.approx([*(y for _, y in corners), top])


def test_a_sheet_may_fill_in_columns() -> None:
    """Where a stock says so, the second label lies below the first."""
    job = on_stocks(JOB, {"terminal": replace(SHEET, fill="columns")})
    terminal = next(tag for tag in all_tags(job) if tag.kind == "terminal")
    first, second = place_labels([label(terminal)] * 2, job)
    assert second.x == first.x
    assert second.y - first.y == pytest.approx(SHEET.pitch[1])


def test_each_box_begins_a_new_sheet() -> None:
    """Its kit is handed out by the sheet: no sheet holds labels of two boxes, and none is left out."""
    sketches = (filled(12), replace(sparse(4), tag="BB-2", units=(UnitSketch("FC-9", "A", "9 kBtu/h"),)))
    placed = placed_labels(JobSketch((*sketches, replace(sparse(4), tag="BB-3"))).record())
    boxes = {page: {each.label.tag.box for each in labels} for page, labels in by_page(placed).items()}
    assert all(len(tags) == 1 for tags in boxes.values())
    assert [page for _, page in boxes] == list(range(1, len(boxes) + 1))
    firsts = {each.label.tag.box: each.place for each in reversed(placed)}
    assert firsts == {"BB-1": 1, "BB-2": 1, "BB-3": 1}


@pytest.mark.parametrize(("boxes", "pages"), [(10, 1), (11, 2)])
def test_small_kits_share_a_sheet(boxes: int, pages: int) -> None:
    """A locator a box: ten to a sheet of ten, and not a sheet each."""
    unit = UnitSketch("FC-1", "A", "9 kBtu/h")
    sketch = JobSketch(
        tuple(BoxSketch(f"BB-{at}", 4, (replace(unit, tag=f"FC-{at}"),)) for at in range(boxes))
    )
    locators = stock_named("letter-10-102x51")
    placed = placed_labels(on_stocks(sketch.record(), {"locator": locators}))
    assert max(each.page for each in placed if each.stock.name == locators.name) == pages


def test_no_small_kit_is_split_over_two_sheets() -> None:
    """Twelve terminals a box on sheets of 80: six boxes a sheet, the seventh on the next, whole."""
    boxes = tuple(
        BoxSketch(f"BB-{at}", 12, (UnitSketch(f"FC-{at}", "A", "9 kBtu/h"),), "Bay") for at in range(7)
    )
    terminals = stock_named("letter-80-44x13")
    placed = placed_labels(on_stocks(JobSketch(boxes).record(), {"terminal": terminals}))
    pages = {
        box.tag: {each.page for each in placed if (each.stock, each.label.tag.box) == (terminals, box.tag)}
        for box in boxes
    }
    assert [len(found) for found in pages.values()] == [1] * 7
    assert [page for found in pages.values() for page in found] == [1] * 6 + [2]


def test_the_first_sheet_of_every_stock_begins_further_in() -> None:
    """Seven labels are gone: the first lies in the third row's second place, on each sheet stock alike."""
    a4 = stock_named("a4-21-63x38")
    placed = placed_labels(on_stocks(JOB, {"cable": a4, "terminal": ROLL}), 7)
    first = {each.stock.name: (each.page, each.x, each.y) for each in reversed(placed)}
    assert first == {
        "letter-30-67x25": (1, pytest.approx(4.8 + 69.9), pytest.approx(12.7 + 2 * 25.4)),
        "a4-21-63x38": (1, pytest.approx(7.2 + 66.0), pytest.approx(15.1 + 2 * 38.1)),
        "roll-51x25-203dpi": (1, 0, 0),
    }


def test_second_sheet_is_whole() -> None:
    """Only the first sheet was used before: with 29 skipped, the second label is the second sheet's first."""
    placed = place_labels([label(all_tags(JOB)[0])] * 2, JOB, 29)
    assert [each.page for each in placed] == [1, 2]
    assert (placed[1].x, placed[1].y) == SHEET.first


@pytest.mark.parametrize("skip", [30, 60, 37])
def test_more_than_a_sheet_is_not_skipped(skip: int) -> None:
    """A number of labels beyond a sheet begins where it ends on the sheet: no page is left empty."""
    (placed,) = place_labels([label(all_tags(JOB)[0])], JOB, skip)
    (same,) = place_labels([label(all_tags(JOB)[0])], JOB, skip % 30)
    assert (placed.page, placed.x, placed.y) == (1, same.x, same.y)


def test_a_roll_has_a_label_a_page() -> None:
    """Every label is a page of its own, of the label's size."""
    job = on_stocks(JOB, {"terminal": ROLL})
    placed = [each for each in placed_labels(job) if each.stock is ROLL]
    assert [(each.page, each.x, each.y) for each in placed] == [(page, 0, 0) for page in range(1, 5)]
    assert [(page.width, page.height) for page in tag_pages(placed)] == [(50.8, 25.4)] * 4


def test_files_come_in_order_of_first_use() -> None:
    """The terminal tags are a box's first, so their stock's file is the first in the register."""
    job = on_stocks(JOB, {"terminal": ROLL})
    names = list(dict.fromkeys(each.stock.name for each in placed_labels(job)))
    assert names == ["roll-51x25-203dpi", "letter-30-67x25"]


@pytest.mark.parametrize(
    ("kind", "use"), [("liquid", "pipe"), ("gas", "pipe"), ("cable", "cable"), ("terminal", "terminal")]
)
def test_each_kind_has_its_stock(kind: str, use: str) -> None:
    """Pipes, cables and terminals each take the stock that the job names for them."""
    job = on_stocks(JOB, {use: ROLL})
    tag = next(tag for tag in all_tags(job) if tag.kind == kind)
    assert stock_of(job, tag) is ROLL


def test_rough_in_has_its_stock() -> None:
    """Before brazing, pipe tags take the stock for that stage."""
    job = on_stocks(JOB, {"pipe_rough_in": ROLL})
    stocks = {tag.kind: stock_of(job, tag).name for tag in all_tags(job, "rough-in")}
    assert (stocks["liquid"], stocks["terminal"]) == (ROLL.name, SHEET.name)


def test_marks_move_with_their_label() -> None:
    """A mark 1 mm inside its label lies 1 mm inside the label's place on the page."""
    placed = placed_labels(JOB)[:4]
    (page,) = tag_pages(placed)
    bars = [mark for mark in flat(page.marks) if isinstance(mark, Bars)]
    assert [mark.x - 1 for mark in bars] == pytest.approx([each.x for each in placed])
    assert [mark.y - 1 for mark in bars] == pytest.approx([each.y for each in placed])


def test_marks_sit_on_the_printers_dots() -> None:
    """On a sheet whose labels do not, marks move by less than a dot so that bars are whole dots wide."""
    dotted = replace(SHEET, name="dotted", dots_per_mm=12, first=(6.41, 12.73), pitch=(69.97, 25.43))
    job = on_stocks(JOB, {"terminal": dotted})
    placed = [each for each in placed_labels(job) if each.stock is dotted]
    (page,) = tag_pages(placed)
    bars = [mark for mark in flat(page.marks) if isinstance(mark, Bars)]
    assert [mark.x * 12 for mark in bars] == pytest.approx([round(mark.x * 12) for mark in bars])
    assert [mark.y * 12 for mark in bars] == pytest.approx([round(mark.y * 12) for mark in bars])
    off = [each.x + 1 - mark.x for each, mark in zip(placed, bars, strict=True)]
    assert all(0 <= mm < 1 / 12 for mm in off)


def test_no_labels_make_no_pages() -> None:
    """A stock without labels has no file."""
    assert list(tag_pages([])) == []


# --- strips -------------------------------------------------------------------------------------------------


def strips(sketch: JobSketch, pitch: str) -> list[list[Placed]]:
    """The terminal labels of each strip."""
    job = on_stocks(sketch.record(), {"terminal": STRIP}, pitch)
    tags = [tag for tag in all_tags(job) if tag.kind == "terminal"]
    return list(by_page(place_labels([label(tag) for tag in tags], job)).values())


@pytest.mark.parametrize(
    ("box", "lengths"),
    [(sparse(4), [4]), (filled(6), [4, 2]), (filled(10), [4, 4, 2]), (paired(12), [4, 4, 4])],
    ids=["4", "6", "10", "12"],
)
def test_a_strip_ends_at_its_boards_end(box: BoxSketch, lengths: list[int]) -> None:
    """One strip a board, as long as the board has ports, unfitted positions left out."""
    pages = strips(job_of(box), "0.4 in")
    assert [len(page) for page in pages] == lengths
    assert [page[0].stock.page[0] for page in pages] == pytest.approx([10.16 * each for each in lengths])
    assert {page[0].stock.page[1] for page in pages} == {12.0}


def test_a_strip_has_the_terminals_pitch() -> None:
    """0.3 in is 7.62 mm from letter to letter, whatever the stock's own cell."""
    (first, second, *_), *_ = strips(job_of(filled(6)), "0.3 in")
    assert [first.label.tag.port, second.label.tag.port] == ["A", "B"]
    assert (first.x, second.x) == pytest.approx((0, 7.62))
    assert first.stock.label == pytest.approx((7.62, 12.0))


def test_strips_of_two_boxes_are_apart() -> None:
    """A box's last strip may have room; the next box begins its own."""
    two = replace(job_of(sparse(4)), boxes=(sparse(4), replace(sparse(4), tag="BB-2")))
    assert [{each.label.tag.box for each in page} for page in strips(two, "0.4 in")] == [{"BB-1"}, {"BB-2"}]


def test_strips_of_different_lengths_are_drawn_at_their_own() -> None:
    """A file's pages are as long as their strips."""
    pages = strips(job_of(filled(6)), "10 mm")
    drawn = tag_pages([each for page in pages for each in page])
    assert [(page.width, page.height) for page in drawn] == [(40, 12), (20, 12)]


def test_a_strip_of_single_ports_reprinted_begins_at_its_first() -> None:
    """Only C: a cell at the strip's beginning, on a strip of its board's length."""
    job = on_stocks(JOB, {"terminal": STRIP}, "10 mm")
    tags = [
        tag
        for tag in all_tags(job)
        if Selection(only=("BB-1/C",)).takes(tag, job.prints) and tag.kind == "terminal"
    ]
    (placed,) = place_labels([label(tag) for tag in tags], job)
    assert (placed.page, placed.x, placed.stock.page) == (1, 0, (40, 12))


# --- the register -------------------------------------------------------------------------------------------


def test_everything_on_a_label_sheet_has_its_row() -> None:
    """Mains, locator, ports: each mark lies in the rectangle of a row of the register; no row is bare."""
    job = on_stocks(sized(SMALL, cable="0.26 in"), {"locator": SHEET, "terminal": STRIP}, "10 mm")
    job = replace(job, boxes=(replace(job.boxes[0], mains=mains("3/4 in", liquid="3/4 in")),))
    placed = place_labels((each for box in fitted(job) for each in box.labels), job)
    rows = list(csv.DictReader(io.StringIO(register_csv(placed).decode())))
    assert [row["code"] for row in rows] == [each.label.tag.code for each in placed]
    assert {"BB-1/LOC", "BB-1/LIQ", "BB-1/A/TRM"} <= {row["code"] for row in rows}
    for name in ("letter-30-67x25", STRIP.name):
        own = [row for row in rows if row["file"] == f"tags-{name}.pdf"]
        pages = tag_pages(each for each in placed if each.stock.name == name)
        for number, page in enumerate(pages, start=1):
            places = [box_in(row) for row in own if row["page"] == str(number)]
            held = Counter(index for mark in flat(page.marks) for index in [holder(mark, places)])
            assert set(held) == set(range(len(places)))


def box_in(row: dict[str, str]) -> Box:
    """A row's rectangle."""
    x, y, width, height = (float(row[key]) for key in ("x_mm", "y_mm", "width_mm", "height_mm"))
    return Box(x, y, x + width, y + height)


def holder(mark: Mark, places: list[Box]) -> int:
    """Which of the rectangles holds a mark's anchor; a code with its quiet zone."""
    if isinstance(mark, Bars):
        area = quiet_box(mark)
    else:
        x, y = (mark.x1, mark.y1) if hasattr(mark, "x1") else (mark.x, mark.y)  # type: ignore[union-attr]
        area = Box(x, y, x, y)
    (index,) = [at for at, place in enumerate(places) if place.holds(area)][:1]
    return index


@pytest.mark.parametrize("stock", [each.name for each in label_stocks() if "locator" in each.suits])
def test_a_locator_reads_from_the_floor_and_carries_no_code(stock: str) -> None:
    """Box and place without a code, which no reader reaches there; other labels of the stock keep theirs.

    Capitals of at least 11.6 mm are read at 2.5 m: 6.283 x 2.5 m x 16 / 21600 (NUREG-0700).
    """
    given = stock_named(stock)
    job = on_stocks(JOB, {"locator": given, "terminal": given})
    every = [each for box in fitted(job) for each in box.labels]
    labels = [each for each in every if each.tag.stock_use in {"locator", "terminal"}]
    codes = {each.tag.kind: any(isinstance(mark, Bars) for mark in flat(each.marks)) for each in labels}
    assert codes == {"locator": False, "terminal": given.symbol != "none"}
    if given.label[1] >= ROOMY_MM:
        (locator,) = [each for each in labels if each.tag.kind == "locator"]
        assert locator.letter_caps >= FROM_THE_FLOOR_MM


@pytest.mark.parametrize("stock", [each.name for each in label_stocks() if "locator" in each.suits])
def test_the_tail_of_a_box_stays_clear_of_what_is_below_it(stock: str) -> None:
    """A Q reaches below its line: on a locator and on the tag of a main pipe it runs into nothing."""
    given = stock_named(stock)
    uses = dict.fromkeys(("locator", "pipe"), given)
    job = on_stocks(replace(JOB, boxes=(replace(JOB.boxes[0], shown="QB-1Q"),)), uses)
    given_mains = mains("3/4 in", liquid="3/4 in", suction="1-1/8 in")
    job = replace(job, boxes=tuple(replace(box, mains=given_mains) for box in job.boxes))
    labels = [each for box in fitted(job) for each in box.labels if not each.tag.port]
    assert {each.tag.kind for each in labels} == {"main-liquid", "main-suction", "locator"}
    pages = [Page(*given.label, each.marks) for each in labels]
    assert [fault for fault in faults(pages, margin_mm=0.0, least_mm=1.5) if "QB-1Q" in fault] == []


def test_the_tail_of_a_box_stays_clear_of_the_letter_in_a_cell() -> None:
    """In a terminal strip the box is close above the letter."""
    job = on_stocks(replace(JOB, boxes=(replace(JOB.boxes[0], shown="QB-1"),)), {"terminal": STRIP}, "0.4 in")
    labels = [each for box in fitted(job) for each in box.labels if each.tag.kind == "terminal"]
    pages = [Page(float(0.4 * 25.4), STRIP.label[1], each.marks) for each in labels]
    assert [fault for fault in faults(pages, margin_mm=0.0, least_mm=1.5) if "QB-1" in fault] == []

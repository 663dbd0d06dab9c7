"""Cover slips count what is printed, sheet by sheet, and name each sheet of their box once."""

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

import pytest
from hypothesis import given, settings

from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Page, Rect, Text
from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.sheets.kit_labels import kit_label
from tagmaker.sheets.kits import kit_pages
from tagmaker.sheets.label import FittedLabel
from tagmaker.sheets.page_head import MARGIN
from tagmaker.sheets.place import Placed, place_labels
from tests.measured import SMALL, all_tags, mains, on_stocks
from tests.records import replace
from tests.sheets.boxes import LONG_NAME, LONG_PLACE, filled, job_of, wordy
from tests.sheets.printed import Box, faults, ink, marked_texts
from tests.strategies import BoxSketch, JobSketch, UnitSketch, jobs, stock_named, words

TITLE = "LABEL KITS"
SLIP_LEAST, TICK_MOST = 100.0, 6.0  # mm of width
TALL = stock_named("letter-8-tie-on-102x64")


def placed_of(job: Job) -> list[Placed]:
    """Every label of a job in its place, bare of words."""
    return place_labels([FittedLabel(tag, (), {}) for tag in all_tags(job)], job)


def kits(job: Job) -> list[Page]:
    """The slips and the list of rooms, which must fit."""
    found, problems = kit_pages(job, plan_job(job)[0].boxes, list(map(kit_label, placed_of(job))), words())
    pages = list(found)
    assert problems == []
    return pages


def slips(job: Job) -> list[tuple[Box, list[Text]]]:
    """Each slip's outline and texts, in the order of the boxes."""
    found: list[tuple[Box, list[Text]]] = []
    pages = kits(job)
    for page, texts in zip(pages, marked_texts(pages), strict=True):
        for rect in (mark for mark in page.marks if isinstance(mark, Rect) and mark.width > SLIP_LEAST):
            room = Box(rect.x, rect.y, rect.x + rect.width, rect.y + rect.height)
            found.append((room, [text for text in texts if room.holds(ink(text))]))
    return found


def lines(slip: Sequence[Text]) -> list[list[str]]:
    """A slip's texts, line by line, from the top down and from left to right."""
    found: list[list[Text]] = []
    for text in sorted(slip, key=lambda each: each.y):
        if found and text.y - found[-1][0].y < 1.2:
            found[-1].append(text)
        else:
            found.append([text])
    return [[each.text for each in sorted(line, key=lambda each: ink(each).left)] for line in found]


def sheets(slip: Sequence[Text]) -> list[list[str]]:
    """The lines of sheets and rolls, and the sum."""
    firsts = ("page", "labels", "strips", "all of")
    return [line for line in lines(slip) if line[0].startswith(firsts)]


# --- what a slip says --------------------------------------------------------------------------------------


def test_a_slip_in_full() -> None:
    """Box, job and revision, where each label goes, then a line a sheet and the sum."""
    ((_, slip),) = slips(replace(SMALL.record(), number="ML-24", revision="2"))
    assert lines(slip) == [
        ["ML-24 Marsh Lane Library · REV\u00a02"],
        ["BB-1"],
        ["AT THE BOX", "AT THE UNIT"],
        ["COMM", "COMM"],
        ["TERMINAL", "LIQUID", "GAS", "LIQUID", "GAS", "ALL"],
        ["CABLE", "CABLE"],
        ["Letter sheet, 30 labels of 66.7 x 25.4 mm"],
        ["page 1 of 1", "4", "4", "4", "2", "4", "3", "3", "24"],
        ["all of this box", "4", "4", "4", "2", "4", "3", "3", "24"],
    ]


def test_a_slip_gives_place_and_draft() -> None:
    """Where the box is; and that a draft is one."""
    job = replace(SMALL.record(), is_draft=True, revision="P02")
    ((_, slip),) = slips(replace(job, boxes=(replace(job.boxes[0], place="Corridor L2"),)))
    texts = [each.text for each in slip]
    assert "Corridor L2" in texts
    assert "Marsh Lane Library · REV\u00a0P02 · DRAFT" in texts


def test_a_line_a_sheet_each_page_once() -> None:
    """Two boxes of 84 labels: three sheets each, of six, each with a box to tick and its own count."""
    units = [UnitSketch(f"FC-{port}", port, "9 kBtu/h") for port in "ABCDEFGHIJKL"]
    moved = tuple(UnitSketch(f"FC-2{unit.port}", unit.port, "9 kBtu/h") for unit in units)
    job = JobSketch((BoxSketch("BB-1", 12, tuple(units)), BoxSketch("BB-2", 12, moved))).record()
    pages = [[(line[0], line[-1]) for line in sheets(slip)] for _, slip in slips(job)]
    assert pages == [
        [("page 1 of 6", "30"), ("page 2 of 6", "30"), ("page 3 of 6", "24"), ("all of this box", "84")],
        [("page 4 of 6", "30"), ("page 5 of 6", "30"), ("page 6 of 6", "24"), ("all of this box", "84")],
    ]
    ticks = [mark for mark in kits(job)[0].marks if isinstance(mark, Rect) and mark.width < TICK_MOST]
    assert len(ticks) == 6


def test_a_roll_has_one_line_and_a_strip_is_called_one() -> None:
    """Labels of a roll by their numbers on it, strips by theirs, each below the name of its stock."""
    job = job_of(filled(12)).record()
    job = on_stocks(
        job,
        {"terminal": stock_named("tape-12-strip-300dpi"), "cable": stock_named("roll-51x25-300dpi")},
        pitch="0.4 in",
    )
    ((_, slip),) = slips(job)
    firsts = [line[0] for line in sheets(slip)]
    assert firsts == [
        "strips 1 to 3 of 3",
        "page 1 of 2",
        "page 2 of 2",
        "labels 1 to 30 of 30",
        "all of this box",
    ]


def test_mains_and_locators_are_counted() -> None:
    """Every label of a sheet is part of a kit; the main pipes share a column."""
    job = on_stocks(SMALL.record(), {"locator": stock_named("letter-30-67x25")})
    given_mains = mains("3/4 in", liquid="3/4 in", suction="1-1/8 in", hot_gas="7/8 in")
    ((_, slip),) = slips(replace(job, boxes=(replace(job.boxes[0], mains=given_mains),)))
    assert sheets(slip)[-1] == ["all of this box", "3", "4", "4", "4", "2", "4", "3", "3", "1", "28"]
    assert ["AT THE BOX", "AT THE UNIT", "CEILING"] in lines(slip)


@given(jobs(most_boxes=2))
@settings(max_examples=15, deadline=None)
def test_slips_count_what_is_printed(job: Job) -> None:
    """Box by box and sheet by sheet, the counts are those of the labels, no more and no fewer."""
    placed = placed_of(job)
    printed = Counter(label.label.tag.box for label in placed)
    on_page = Counter((label.label.tag.box, label.page) for label in placed)
    for box, (_, slip) in zip(job.boxes, slips(job), strict=True):
        *pages, total = sheets(slip)
        assert int(total[-1]) == printed[box.tag] == sum(int(count) for count in total[1:-1])
        assert [int(line[-1]) for line in pages] == [
            count for (tag, _), count in on_page.items() if tag == box.tag
        ]


# --- the pages ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("boxes", [1, 4, 5, 9])
def test_a_slip_a_box_in_the_order_of_the_job(boxes: int) -> None:
    """Whole, apart from each other, under the head of the document."""
    unit = UnitSketch("FC-1", "A", "9 kBtu/h", "Shop")
    sketch = JobSketch(
        tuple(BoxSketch(f"BB-{at}", 4, (replace(unit, tag=f"FC-{at}"),), f"Bay {at}") for at in range(boxes))
    )
    found = slips(sketch.record())
    assert [slip[0].text for _, slip in found] == [f"BB-{at}" for at in range(boxes)]
    assert all(two.top > one.bottom or two.top == found[0][0].top for (one, _), (two, _) in pairwise(found))


@pytest.mark.parametrize("stock", [TALL, stock_named("letter-10-102x51")])
def test_a_long_slip_goes_on_under_its_own_head(stock: Stock) -> None:
    """A kit of more sheets than a page has lines: every sheet once, the box and the sum on each part."""
    units = tuple(
        UnitSketch(f"FC-{port}{at}", port, "3 kBtu/h") for port in "ABCDEFGHIJKL" for at in range(9)
    )
    job = JobSketch((BoxSketch("BB-1", 12, units),)).record()
    job = on_stocks(job, dict.fromkeys(("pipe", "cable", "terminal"), stock))
    found = [slip for _, slip in slips(job)]
    assert len(found) > 1
    assert {slip[0].text for slip in found} == {"BB-1"}
    pages = [line[0] for slip in found for line in sheets(slip)[:-1]]
    last = placed_of(job)[-1].page
    assert pages == [f"page {number} of {last}" for number in range(1, last + 1)]


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_the_longest_texts_fit(page: str) -> None:
    """Sixty characters of name, site and place, 24 of number and tag, none lower than 2.3 mm."""
    tag = "NORTH-WING-LEVEL-2-BB-12"
    job = job_of(replace(wordy(12), tag=tag, shown=""), page=page, is_draft=True).record()
    job = replace(
        job, name=LONG_NAME, site=LONG_PLACE, number="2026-ML-24-PHASE-2-NORTH", revision="P02-ABCD"
    )
    assert faults(kits(job), margin_mm=MARGIN - 0.1, least_mm=2.3) == []
    ((_, slip),) = slips(job)
    assert slip[0].text == tag


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_kits_are_in_order_when_read_back(page: str) -> None:
    """No text is cut, struck through, lost, too small or over another in the PDF, on either paper."""
    job = job_of(filled(12), page=page, is_draft=True).record()
    job = on_stocks(job, {"locator": stock_named("letter-30-67x25")})
    assert faults(kits(job), margin_mm=MARGIN - 0.1, least_mm=2.3) == []
    width = {"letter": 215.9, "a4": 210.0}[page]
    assert {each.width for each in kits(job)} == {width}
    titles = [marks[0].text for marks in marked_texts(kits(job))]
    assert titles == [TITLE, "AT THE UNITS, BY ROOM"]

"""The list of isolation points names every box of a point, in the order of panels and circuits."""

import pytest

from tagmaker.draw.marks import Page
from tagmaker.job.model import BoxRow, Job
from tagmaker.sheets.isolation_list import isolation_pages, isolation_points
from tagmaker.sheets.page_head import MARGIN
from tests.records import replace
from tests.sheets.boxes import LONG_NAME, LONG_PLACE
from tests.sheets.printed import faults, texts
from tests.strategies import BoxSketch, JobSketch, UnitSketch, words

POWER = ("Panel LP-1, circuit 14", "Panel LP-1, circuit 8", "panel  lp-1, Circuit 8", "", "Switch 3")


def job_with(*power: str) -> Job:
    """A job with a box for each isolation point."""
    unit = UnitSketch("FC-{}", "A", "12 kBtu/h")
    boxes = [
        BoxSketch(f"BB-{number}", 4, (replace(unit, tag=f"FC-{number}"),))
        for number in range(1, len(power) + 1)
    ]
    job = JobSketch(tuple(boxes)).record()
    rows = (replace(row, power=text) for row, text in zip(job.boxes, power, strict=True))
    return replace(job, boxes=tuple(rows))


def pages(job: Job, *asked: str) -> list[Page]:
    """The list of these boxes, all where none is named; it must fit."""
    found, problems = isolation_pages(job, asked or [box.key for box in job.boxes], words())
    assert problems == []
    return found


def tags(boxes: tuple[BoxRow, ...]) -> list[str]:
    """The boxes' tags."""
    return [box.tag for box in boxes]


def test_points_are_in_order_with_all_their_boxes() -> None:
    """Circuit 8 before 14; one point however it is spelled; a text without a panel is a point by itself."""
    found = isolation_points(job_with(*POWER).boxes)
    assert [(each.panel, each.circuit, tags(each.boxes)) for each in found] == [
        ("", "Switch 3", ["BB-5"]),
        ("Panel LP-1", "circuit 8", ["BB-2", "BB-3"]),
        ("Panel LP-1", "circuit 14", ["BB-1"]),
    ]


def test_every_box_is_on_the_list_and_those_without_a_point_are_named() -> None:
    """A box that is missing from the list would be taken for dead."""
    printed = texts(pages(job_with(*POWER)))
    assert [text for text in printed if text.startswith("BB-")] == ["BB-5", "BB-2", "BB-3", "BB-1", "BB-4"]
    assert printed.index("Not given: find out before work on these boxes") < printed.index("BB-4")


def test_a_part_of_a_job_shows_all_boxes_of_its_points() -> None:
    """Whoever isolates a point for one box stops the others too."""
    printed = texts(pages(job_with(*POWER), "BB-3"))
    assert [text for text in printed if text.startswith("BB-")] == ["BB-2", "BB-3"]


def test_a_job_without_points_has_no_list() -> None:
    """An empty list would say that nothing is isolated anywhere."""
    assert pages(job_with("", "")) == []


@pytest.mark.parametrize("count", [1, 90])
def test_long_names_and_many_boxes_fit(count: int) -> None:
    """Texts as long as a job may have, on as many pages as it takes."""
    job = job_with(*(f"Panel LP-{number // 7}, circuit {number}" for number in range(count)))
    rows = (replace(row, place=LONG_PLACE, system="S" * 24, level="9" * 10) for row in job.boxes)
    job = replace(job, name=LONG_NAME, boxes=tuple(rows))
    assert faults(pages(job), margin_mm=MARGIN, least_mm=1.5) == []

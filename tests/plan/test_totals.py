"""Totals are sums over the boxes that they are said to be of, and what is not known is counted."""

from fractions import Fraction

import pytest
from hypothesis import given, settings

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.plan.totals import Totals, box_limit, grouped, totals, used_limit
from tests.measured import SMALL
from tests.records import replace
from tests.strategies import (
    BoxSketch,
    JobSketch,
    UnitSketch,
    capacity,
    first_box,
    jobs,
    one_box,
    shipped_family,
)

UNKNOWN = replace(one_box(("FC-1", "A", ""), ("FC-2", "A", "9 kBtu/h")), is_draft=True)


def row_of_boxes(*places: tuple[str, str]) -> Job:
    """A job whose boxes are of these systems and levels."""
    boxes = [BoxSketch(f"BB-{at}", 4, (UnitSketch(f"FC-{at}", "A"),)) for at in range(len(places))]
    job = JobSketch(tuple(boxes)).record()
    rows = [
        replace(row, system=system, level=level)
        for row, (system, level) in zip(job.boxes, places, strict=True)
    ]
    return replace(job, boxes=tuple(rows))


def test_a_small_box_in_full() -> None:
    """Two units share A, B is spare, C and D work as one: four ports, one single, one pair, one spare."""
    assert totals([first_box(SMALL.record())]) == Totals(
        boxes=1,
        ports=4,
        single=1,
        pairs=1,
        spare=1,
        units=3,
        unknown=0,
        load=capacity("90000 Btu/h"),
        limit=capacity("216000 Btu/h"),
    )


def test_what_is_not_known_is_counted() -> None:
    """The load is that of the others."""
    total = totals([first_box(UNKNOWN.record())])
    assert (total.units, total.unknown, total.load) == (2, 1, capacity("9000 Btu/h"))


@pytest.mark.parametrize(("limit", "box", "used"), [("", 216000, 162000), ("120 kBtu/h", 120000, 120000)])
def test_limits_of_a_box(limit: str, box: int, used: int) -> None:
    """The family's for a box where it gives one, else all ports'; used ports' are at most that."""
    family = replace(shipped_family(), box_limit=capacity(limit) if limit else None)
    plan = first_box(SMALL.record(family))
    assert (box_limit(plan).btuh, used_limit(plan).btuh) == (Fraction(box), Fraction(used))


def test_boxes_are_grouped_by_system_and_level() -> None:
    """In the order in which the job first names them; boxes without either are a group of their own."""
    places = (("HR-1", "1"), ("", ""), ("HR-2", "1"), ("HR-1", "1"), ("HR-1", ""), ("", ""))
    found = grouped(plan_job(row_of_boxes(*places))[0].boxes)
    assert [
        (group.system, group.level, "".join(box.row.tag[-1] for box in group.boxes)) for group in found
    ] == [
        ("HR-1", "1", "03"),
        ("", "", "15"),
        ("HR-2", "1", "2"),
        ("HR-1", "", "4"),
    ]


@given(jobs(most_boxes=3))
@settings(max_examples=30, deadline=None)
def test_the_whole_is_the_sum_of_its_boxes(job: Job) -> None:
    """Every figure; and every letter of a box is single, spare, or one of two of a pair."""
    boxes = plan_job(job)[0].boxes
    each = [totals([box]) for box in boxes]
    whole = totals(boxes)
    for name in ("boxes", "ports", "single", "pairs", "spare", "units", "unknown"):
        assert getattr(whole, name) == sum(getattr(total, name) for total in each)
    assert whole.load.btuh == sum(total.load.btuh for total in each)
    assert whole.limit.btuh == sum(total.limit.btuh for total in each)
    assert whole.ports == whole.single + whole.spare + 2 * whole.pairs
    assert whole.load.btuh == sum(unit.capacity.btuh for unit in job.units if unit.capacity)

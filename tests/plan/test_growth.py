"""Work grows with the rows, not with their square: calls are counted, whatever the rows have in common."""

import sys
from collections.abc import Callable

import pytest

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import SHOWN_OF_A_CODE, Severity, Where, at_most_each, error, warning
from tests.plan.families import FOUR
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch

FEW, MANY = 400, 1600


def calls(work: Callable[[], object]) -> int:
    """How many calls, of Python and of C functions, a piece of work takes."""
    counted = 0

    def count(_frame: object, event: str, _of: object) -> None:
        nonlocal counted
        counted += event in {"call", "c_call"}

    sys.setprofile(count)
    try:
        work()
    finally:
        sys.setprofile(None)
    return counted


def job_of(rows: int, kind: str) -> Job:
    """A job of so many rows that have something in common."""
    ports = {"port": "A", "unknown port": "Q", "pair": "A+B"}
    units = tuple(
        UnitSketch("U-1" if kind == "unit" else f"U-{at}", ports.get(kind, "ABCD"[at % 4]), "800 Btu/h")
        for at in range(rows)
    )
    job = JobSketch((BoxSketch("BB-1", 4, units),)).record()
    if kind == "address":
        return replace(job, units=tuple(replace(unit, address="7") for unit in job.units))
    return job


@pytest.mark.parametrize("kind", ["port", "unit", "address", "unknown port", "pair", "box"])
def test_four_times_the_rows_are_four_times_the_work(kind: str) -> None:
    """On one port, one pair, one box, of one unit, at one address, on a port that is not there."""
    few, many = job_of(FEW, kind), job_of(MANY, kind)
    plan_job(few)  # what is kept from then on is not counted
    work = [calls(lambda job=job: plan_job(job)) for job in (few, many)]  # type: ignore[misc]
    assert work[1] < 1.1 * MANY / FEW * work[0]


def test_a_flooded_port_is_one_error_at_the_first_row_too_many() -> None:
    """It is planned with as many units as are usual, so that no message names thousands."""
    plan, problems = plan_job(job_of(MANY, "port"))
    assert [(each.severity, each.code) for each in problems] == [(Severity.ERROR, "port-flooded")]
    assert "1,600 units" in problems[0].message
    assert [len(port.units) for port in plan.boxes[0].ports] == [FOUR.units_per_port, 0, 0, 0]
    assert not [each for each in plan_job(job_of(64, "port"))[1] if each.code == "port-flooded"]


def test_no_message_grows_with_the_rows() -> None:
    """Whatever they have in common."""
    for kind in ("port", "unit", "address", "unknown port", "pair", "box"):
        assert max(len(problem.as_text()) for problem in plan_job(job_of(MANY, kind))[1]) < 400


def test_of_one_problem_fifty_are_listed_and_the_rest_counted() -> None:
    """By severity and code; others are listed all the same, and errors are not hidden by warnings."""
    many = [warning("liquid-not-smaller", f"{at}", Where("a.csv", at)) for at in range(1, 1303)]
    last = error("liquid-not-smaller", "larger", Where("a.csv", 9))
    shown = at_most_each([*many, last])
    assert shown[:SHOWN_OF_A_CODE] == many[:SHOWN_OF_A_CODE]
    assert shown[SHOWN_OF_A_CODE] == last
    assert [each.as_text() for each in shown[SHOWN_OF_A_CODE + 1 :]] == [
        "a.csv: note: 1,252 more of this warning are not listed [liquid-not-smaller]"
    ]
    assert at_most_each(many[:SHOWN_OF_A_CODE]) == many[:SHOWN_OF_A_CODE]

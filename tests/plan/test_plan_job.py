"""A whole job to its plan."""

from tagmaker.plan.plan_job import plan_job
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch


def job_of(*boxes: BoxSketch) -> JobSketch:
    """A job of these boxes."""
    return JobSketch(boxes)


def test_boxes_stand_as_in_the_job() -> None:
    """The order of boxes is the walking order of the job, not the alphabet's."""
    sketch = job_of(*(BoxSketch(tag, 4, (UnitSketch(f"FC-{tag}", "A"),)) for tag in ("Z-1", "A-1", "M-1")))
    plan, problems = plan_job(sketch.record())
    assert plan.job == sketch.record()
    assert [box.row.tag for box in plan.boxes] == ["Z-1", "A-1", "M-1"]
    assert problems == ()


def test_a_row_finds_its_box_in_any_case() -> None:
    """Tags are one whatever their case."""
    job = job_of(BoxSketch("Bb-1", 4, (UnitSketch("FC-1", "A"),))).record()
    job = replace(job, units=(replace(job.units[0], box="bB-1"),))
    assert [claim.unit.tag for claim in plan_job(job)[0].boxes[0].claims] == ["FC-1"]


def test_a_box_takes_only_its_own_rows() -> None:
    """A row of another box loads nothing here."""
    boxes = [BoxSketch(tag, 4, (UnitSketch(f"FC-{tag}", "A"),)) for tag in ("BB-1", "BB-11")]
    plan, _ = plan_job(job_of(*boxes).record())
    assert [[unit.tag for unit in box.ports[0].units] for box in plan.boxes] == [["FC-BB-1"], ["FC-BB-11"]]


def test_a_box_of_a_wrong_size_does_not_hold_up_the_others() -> None:
    """It is told and left out; the rest is planned and checked."""
    wrong = BoxSketch("BB-1", 5, (UnitSketch("FC-1", "Q"),))
    right = BoxSketch("BB-2", 4, (UnitSketch("FC-2", "A", "60 kBtu/h"),))
    plan, problems = plan_job(job_of(wrong, right).record())
    assert [box.row.tag for box in plan.boxes] == ["BB-2"]
    assert [problem.code for problem in problems] == ["size-unknown", "port-overloaded"]

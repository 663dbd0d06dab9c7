"""The planned boxes of `switches`: those selected, as far as they can be planned."""

from pathlib import Path

from tagmaker.plan.outline import box_outline
from tagmaker.revisions.selection import Selection
from tagmaker.workflows.switches import switches
from tests.paths import EXAMPLES
from tests.strategies import BoxSketch, JobSketch, UnitSketch


def test_the_selected_boxes_are_shown() -> None:
    """In the job's order, as plan.json has them."""
    shown = switches(EXAMPLES / "clinic", Selection(("BB-13", "BB-11")))
    assert [box.tag for box in shown.outline.boxes] == ["BB-11", "BB-13"]
    assert shown.plan
    assert shown.outline.boxes == tuple(map(box_outline, shown.plan.boxes))


def test_a_box_with_an_error_is_still_planned(tmp_path: Path) -> None:
    """Its switches are shown beside what is wrong with it."""
    heavy = JobSketch((BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "60 kBtu/h"),)),)).write(
        tmp_path / "job"
    )
    shown = switches(heavy)
    assert [problem.code for problem in shown.problems] == ["port-overloaded"]
    assert [box.tag for box in shown.outline.boxes] == ["BB-1"]


def test_a_job_that_cannot_be_read_has_no_boxes(tmp_path: Path) -> None:
    """Its problem, and an empty list."""
    shown = switches(tmp_path)
    assert ([problem.code for problem in shown.problems], shown.outline.boxes) == (["job-missing"], ())

"""`check` reports what `make` would, and compares the job with a set that is there."""

from pathlib import Path

import pytest

from tagmaker.revisions.selection import Selection
from tagmaker.workflows import check, make
from tests.paths import EXAMPLES
from tests.records import replace
from tests.site.papers import LIBRARY
from tests.workflows.jobs import UNPROVED


@pytest.mark.parametrize("job", ["bakery", "clinic", "three-port-boards", "full-of-mistakes"])
def test_it_reports_what_make_reports(job: str, tmp_path: Path) -> None:
    """The same problems, and the same sheets needed; and it writes nothing."""
    checked = check.check(EXAMPLES / job)
    made = make.make(EXAMPLES / job, tmp_path / "out", UNPROVED)
    assert checked.problems == made.checked.problems
    assert (checked.sheets, checked.part_used) == (made.checked.sheets, made.checked.part_used)


def test_a_job_that_differs_from_the_set_beside_it_needs_a_revision(tmp_path: Path) -> None:
    """The set in the folder beside, or the one that is named; none is no problem."""
    job = LIBRARY.write(tmp_path / "job")
    make.make(job, tmp_path / "out", UNPROVED)
    assert check.check(job, beside=tmp_path / "out").problems == ()
    moved = replace(LIBRARY.boxes[1], units=(replace(LIBRARY.boxes[1].units[0], port="B"),))
    changed = replace(LIBRARY, boxes=(LIBRARY.boxes[0], moved)).write(tmp_path / "changed")
    assert check.check(changed, beside=tmp_path / "none").problems == ()
    for done in (
        check.check(changed, beside=tmp_path / "out"),
        check.check(changed, Selection(since=tmp_path / "out" / "plan.json")),
    ):
        assert [problem.code for problem in done.problems] == ["revision-unchanged"]

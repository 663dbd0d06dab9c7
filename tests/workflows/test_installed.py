"""Which set is installed: the newest that covers the whole job."""

import os
from pathlib import Path

from tagmaker.revisions.selection import Selection
from tagmaker.workflows.installed import installed_set
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan
from tagmaker.workflows.make import make
from tests.records import replace
from tests.workflows.jobs import OLD


def job_of(path: Path) -> KeptPlan:
    """The job, planned."""
    found = kept_plan(path)
    assert isinstance(found, KeptPlan)
    return found


def made(path: Path, out: Path, seconds: int, selection: Selection = Selection(proof=False)) -> None:  # noqa: B008
    """A set of a job that was made so many seconds after 2026."""
    assert make(path, out, selection).files
    os.utime(out / "plan.json", (1_767_225_600 + seconds, 1_767_225_600 + seconds))


def test_the_newest_whole_set_counts(tmp_path: Path) -> None:
    """One of a single box is newer, and covers less; it is told why it does not count."""
    path = OLD.write(tmp_path / "job")
    assert installed_set(job_of(path).job, tmp_path) == (None, ())
    made(path, tmp_path / "job-out", 1)
    made(path, tmp_path / "job-out-box", 3, Selection(boxes=("BB-1",), proof=False))
    newer = replace(OLD, revision="2").write(tmp_path / "job")
    made(newer, tmp_path / "job-out-2", 2)
    found, skipped = installed_set(job_of(path).job, tmp_path)
    assert found
    assert (found.folder.name, found.revision) == ("job-out-2", "2")
    assert [problem.code for problem in skipped] == ["plan-partial"]


def test_a_set_of_another_job_is_none(tmp_path: Path) -> None:
    """Whatever its folder is called."""
    other = replace(OLD, name="Another Library").write(tmp_path / "other")
    made(other, tmp_path / "job-out", 1)
    assert installed_set(job_of(OLD.write(tmp_path / "job")).job, tmp_path) == (None, ())


def test_a_set_that_was_changed_by_hand_does_not_count(tmp_path: Path) -> None:
    """Its own digest says so."""
    path = OLD.write(tmp_path / "job")
    made(path, tmp_path / "job-out", 1)
    plan = tmp_path / "job-out" / "plan.json"
    plan.write_text(plan.read_text(encoding="utf-8").replace('"LP-2"', '"LP-9"'), encoding="utf-8")
    found, skipped = installed_set(job_of(path).job, tmp_path)
    assert (found, [problem.code for problem in skipped]) == (None, ["plan-unreadable"])

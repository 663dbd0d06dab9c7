"""The sets of a job on disk."""

import os
from pathlib import Path

import pytest

from tagmaker.revisions.selection import Selection
from tagmaker.workflows.make import make
from tagmaker.workflows.sets import default_folder, sets_below
from tests.records import replace
from tests.workflows.jobs import JOB, UNPROVED


def made(job: Path, out: Path, selection: Selection, at: int) -> None:
    """A set, written at a second since 1970."""
    make(job, out, selection)
    os.utime(out / "plan.json", (at, at))


def test_the_sets_of_a_job_are_found_newest_first(job: Path, tmp_path: Path) -> None:
    """Wherever they are below the folder; another job's are not among them, nor is what is no sound set."""
    root = tmp_path / "root"
    made(job, root / "old", UNPROVED, 1_000)
    made(job, root / "deep" / "in" / "new", UNPROVED, 3_000)
    made(job, root / "part", replace(UNPROVED, stage="final"), 2_000)
    made(job, root / "edited", UNPROVED, 4_000)
    plan = root / "edited" / "plan.json"
    plan.write_bytes(plan.read_bytes().replace(b"BB-1", b"BB-7"))
    other = replace(JOB, number="ML-25").write(tmp_path / "other")
    made(other, root / "others", UNPROVED, 5_000)
    found = sets_below(root, JOB.name, "ML-24")
    assert [each.folder.name for each in found] == ["new", "part", "old"]
    assert [each.can_be_updated for each in found] == [True, False, True]
    assert [each.head.partial for each in found] == [False, True, False]
    assert {each.head.job.revision for each in found} == {"P02"}


def test_a_job_without_a_number_is_known_by_its_name(tmp_path: Path) -> None:
    """With one, by that: a job may be renamed."""
    bare = replace(JOB, number="").write(tmp_path / "bare")
    made(bare, tmp_path / "root" / "set", UNPROVED, 1_000)
    assert len(sets_below(tmp_path / "root", JOB.name, "")) == 1
    assert sets_below(tmp_path / "root", "Another", "") == []
    assert sets_below(tmp_path / "root", JOB.name, "ML-24") == []


def test_a_set_that_is_made_again_is_read_again(job: Path, tmp_path: Path) -> None:
    """Its head is kept only while its file is the same."""
    out = tmp_path / "root" / "set"
    made(job, out, UNPROVED, 1_000)
    assert not sets_below(tmp_path / "root", JOB.name, "ML-24")[0].head.partial
    file = job / "job.toml"
    file.write_text(file.read_text("utf-8").replace("P02", "P03"), "utf-8")
    made(job, out, UNPROVED, 2_000)
    assert sets_below(tmp_path / "root", JOB.name, "ML-24")[0].head.job.revision == "P03"


@pytest.mark.parametrize(
    ("root", "job", "part", "out"),
    [
        ("jobs", "jobs/bakery", "", "jobs/bakery-out"),
        ("jobs", "jobs/north/bakery", "-part", "jobs/north/bakery-out-part"),
        ("jobs/bakery", "jobs/bakery", "", "jobs/bakery/bakery-out"),
    ],
)
def test_a_set_goes_beside_its_job(root: str, job: str, part: str, out: str) -> None:
    """As the command line names it; within the job where nothing else is open."""
    assert default_folder(Path(root), Path(job), part) == Path(out)

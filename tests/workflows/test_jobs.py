"""The jobs below a folder, what each says of itself, its last set; and new ones beside them."""

import os
from pathlib import Path

import pytest

from tagmaker.files.jobs_below import DEPTH
from tagmaker.workflows.jobs import find_jobs, job_state, last_set
from tagmaker.workflows.make import make
from tests.job_files import BOX, HEAD, UNIT, write_files

JOB = HEAD + 'number = "TSB-1"\nrevision = "P02"\nstatus = "draft"\n' + BOX + UNIT


def write_job(folder: Path, text: str = JOB) -> Path:
    """A job of this text in a folder."""
    return write_files(folder, {"job.toml": text})


def places(root: Path) -> list[str]:
    """Where jobs are found."""
    return [job.place for job in find_jobs(root)]


def test_jobs_are_found_by_depth_and_name(tmp_path: Path) -> None:
    """The folder itself too; each with the head of its file."""
    for place in ("b", "a", "a/deeper", "."):
        write_job(tmp_path / place)
    found = find_jobs(tmp_path)
    assert [job.place for job in found] == [".", "a", "a/deeper", "b"]
    job = found[1]
    assert (job.name, job.number, job.revision, job.is_draft) == ("Tide Street Bakery", "TSB-1", "P02", True)


def test_hidden_folders_and_what_is_too_deep_are_skipped(tmp_path: Path) -> None:
    """What is kept in `.history` is no job."""
    write_job(tmp_path / "a")
    write_job(tmp_path / "a" / ".history" / "1")
    deep = "/".join(map(str, range(DEPTH + 1)))
    write_job(tmp_path / deep)
    write_job(tmp_path / "deep" / deep[2:-2])
    assert places(tmp_path) == ["a", f"deep/{deep[2:-2]}"]


def test_links_are_not_followed_and_a_linked_file_is_refused(tmp_path: Path) -> None:
    """A folder elsewhere is not looked into, a job.toml elsewhere not read; another's is a problem."""
    outside = write_job(tmp_path / "elsewhere")
    root = tmp_path / "root"
    write_job(root / "b")
    for name in ("a", "c"):
        (root / name).mkdir()
    (root / "linked").symlink_to(outside)
    (root / "a" / "job.toml").symlink_to(outside / "job.toml")
    (root / "c" / "job.toml").symlink_to(root / "b" / "job.toml")
    found = find_jobs(root)
    assert [(job.place, job.problem and job.problem.code) for job in found] == [
        ("b", None),
        ("c", "file-outside"),
    ]


def test_a_file_that_cannot_be_read_has_its_folders_name(tmp_path: Path) -> None:
    """And the reason."""
    write_job(tmp_path / "broken", "[job")
    (job,) = find_jobs(tmp_path)
    assert (job.name, job.problem and job.problem.code) == ("broken", "toml-syntax")


@pytest.mark.parametrize("head", ["job = 1\n", "[job]\nname = 7\nnumber = []\n", ""])
def test_a_head_of_other_types_is_shown_as_it_is(head: str, tmp_path: Path) -> None:
    """What is wrong with it is reported on its own page."""
    write_job(tmp_path / "odd", head)
    (job,) = find_jobs(tmp_path)
    assert job.problem is None
    assert job.name in {"odd", "7"}


def test_a_jobs_state_counts_what_its_plan_has(tmp_path: Path) -> None:
    """Errors, warnings, boxes and units; zeros where nothing can be planned."""
    write_job(tmp_path / "a", JOB + UNIT.replace('"24', '"99').replace("FC-1", "FC-2"))
    write_job(tmp_path / "b", HEAD)
    good, empty = find_jobs(tmp_path)
    state = job_state(good, tmp_path)
    assert (state.errors, state.boxes, state.units, state.last_set) == (1, 1, 2, None)
    state = job_state(empty, tmp_path)
    assert (state.errors, state.boxes, state.units) == (1, 0, 0)


def test_the_newest_set_is_found_beside_in_and_above_the_job(tmp_path: Path) -> None:
    """With its revision and time; another job's, or a damaged one, is none."""
    folder = write_job(tmp_path / "site" / "a")
    (job,) = find_jobs(tmp_path)
    assert last_set(job, tmp_path) is None
    write_files(tmp_path / "site" / "a-out-9", {"plan.json": '{"job": {"name": "Another"}}'})
    write_files(tmp_path / "site" / "a-out-8", {"plan.json": "{"})
    for number, out in enumerate((tmp_path / "site" / "a-out", folder / "a-out", tmp_path / "a-out P02")):
        assert make(folder, out).checked.plan
        os.utime(out / "plan.json", (10_000.0 + number, 10_000.0 + number))
        found = last_set(job, tmp_path)
        assert found
        assert (found.folder, found.revision, found.is_partial) == (out, "P02", False)
        assert found.made.timestamp() == 10_000 + number
    assert places(tmp_path) == ["site/a"]


def test_a_set_by_a_link_out_is_no_set(tmp_path: Path) -> None:
    """Its plan.json would be read from anywhere."""
    folder = write_job(tmp_path / "root" / "a")
    make(folder, tmp_path / "far")
    (tmp_path / "root" / "a-out").symlink_to(tmp_path / "far")
    (job,) = find_jobs(tmp_path / "root")
    assert last_set(job, tmp_path / "root") is None

"""Jobs are found below a folder, and nothing outside it; a change of a file is seen."""

import os
from pathlib import Path

import pytest

from tagmaker.files import jobs_below as own
from tagmaker.files.jobs_below import file_marks, jobs_below


def job(folder: Path) -> Path:
    """A folder with a job's file."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "job.toml").write_text("[job]\n")
    return folder


def test_jobs_are_found_at_every_depth_that_is_looked_at(tmp_path: Path) -> None:
    """The folder itself too; hidden ones, and those beyond the depth, are not."""
    found = [job(tmp_path), job(tmp_path / "b" / "c"), job(tmp_path / "a")]
    job(tmp_path / ".history" / "old")
    job(tmp_path.joinpath(*"1234567"))
    (tmp_path / "no-job").mkdir()
    assert jobs_below(tmp_path) == sorted(found)


def test_links_do_not_lead_out(tmp_path: Path) -> None:
    """Neither a folder's nor a job file's; one within the folder does for a file."""
    outside, root = job(tmp_path / "outside"), tmp_path / "root"
    inside = job(root / "inside")
    (root / "link").symlink_to(outside)
    (root / "b").mkdir()
    (root / "b" / "job.toml").symlink_to(outside / "job.toml")
    (root / "c").mkdir()
    (root / "c" / "job.toml").symlink_to(inside / "job.toml")
    (root / "round").symlink_to(root)
    (root / "d").mkdir()
    (root / "d" / "job.toml").symlink_to(root / "d" / "job.toml")
    assert jobs_below(root) == [root / "c", inside]


def test_a_wide_folder_is_not_walked_through(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A desk that is started in a home folder answers soon."""
    monkeypatch.setattr(own, "FOLDERS_AT_MOST", 3)
    for name in "abcdef":
        job(tmp_path / name)
    assert jobs_below(tmp_path) == [tmp_path / "a", tmp_path / "b"]


def test_a_locked_folder_is_passed_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The others are found. The system's refusal is planted, since root may read every folder."""
    locked = tmp_path / "locked"
    job(locked / "inside")
    job(tmp_path / "open")
    scan = os.scandir

    def refusing(folder: Path) -> object:
        if folder == locked:
            raise PermissionError
        return scan(folder)

    monkeypatch.setattr(os, "scandir", refusing)
    assert jobs_below(tmp_path) == [tmp_path / "open"]


def test_every_kind_of_change_is_seen(tmp_path: Path) -> None:
    """Written in place, replaced by a rename at the same size, added, removed; locks are no change."""
    folder = job(tmp_path)
    (folder / "ports.csv").write_text("a")
    before = file_marks(folder)
    assert set(before) == {"job.toml", "ports.csv"}
    (folder / "~$ports.xlsx").write_text("lock")
    (folder / ".~lock.ports.xlsx#").write_text("lock")
    assert file_marks(folder) == before
    (folder / "new").write_text("b")
    os.utime(folder / "new", ns=(0, before["ports.csv"][0]))
    (folder / "new").replace(folder / "ports.csv")
    assert file_marks(folder)["ports.csv"] != before["ports.csv"]
    (folder / "families").mkdir()
    (folder / "families" / "own.toml").write_text("")
    assert "families/own.toml" in file_marks(folder)


def test_a_folder_that_is_gone_has_no_files(tmp_path: Path) -> None:
    """A job that was moved away while its page is open."""
    assert file_marks(tmp_path / "nothing") == {}

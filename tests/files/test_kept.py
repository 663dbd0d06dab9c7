"""Files are taken into a folder for good: whole, once, and never in place of another."""

import os
import shutil
from pathlib import Path

import pytest

from tagmaker.files import kept
from tagmaker.files.kept import keep_files


def source(tmp_path: Path, name: str, content: bytes, of: str = "came") -> Path:
    """A file as it was received."""
    folder = tmp_path / of
    folder.mkdir(exist_ok=True)
    (folder / name).write_bytes(content)
    return folder / name


def names(folder: Path) -> dict[str, bytes]:
    """Everything in the folder, hidden files too."""
    return {each.name: each.read_bytes() for each in folder.iterdir()}


def test_a_name_that_is_taken_gets_a_number(tmp_path: Path) -> None:
    """What is there stays as it is; capitals make no other name, as on some systems they do not."""
    folder = tmp_path / "returned"
    folder.mkdir()
    (folder / "Walk.json").write_bytes(b"theirs")
    one, two = source(tmp_path, "walk.json", b"one"), source(tmp_path, "walk.json", b"two", of="other")
    done = keep_files([one, two], folder)
    assert [(each.came_as, each.name, each.is_new) for each in done] == [
        ("walk.json", "walk-2.json", True),
        ("walk.json", "walk-3.json", True),
    ]
    assert names(folder) == {"Walk.json": b"theirs", "walk-2.json": b"one", "walk-3.json": b"two"}


def test_the_same_content_is_taken_once(tmp_path: Path) -> None:
    """Under whatever name it comes again, also within one hand-in, also from a folder in the folder."""
    folder = tmp_path / "returned"
    keep_files([source(tmp_path, "a.jpg", b"photo")], folder)
    (folder / "monday").mkdir()
    (folder / "a.jpg").rename(folder / "monday" / "a.jpg")
    again = [
        source(tmp_path, "b.jpg", b"photo"),
        source(tmp_path, "c.jpg", b"other"),
        source(tmp_path, "d", b"other"),
    ]
    done = keep_files(again, folder)
    assert [(each.name, each.is_new) for each in done] == [
        ("monday/a.jpg", False),
        ("c.jpg", True),
        ("c.jpg", False),
    ]
    assert sorted(each.name for each in folder.rglob("*")) == ["a.jpg", "c.jpg", "monday"]


def test_without_links_nothing_is_replaced_either(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A memory stick's file system has no second names for a file."""

    def none(*_paths: object) -> None:
        raise OSError(1, "not permitted")

    monkeypatch.setattr(os, "link", none)
    folder = tmp_path / "returned"
    for content in (b"one", b"two"):
        keep_files([source(tmp_path, "walk.json", content)], folder)
    assert names(folder) == {"walk.json": b"one", "walk-2.json": b"two"}


def test_a_copy_that_was_cut_off_is_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A run that ends within a copy leaves a hidden file at most, and the next one removes it."""
    folder = tmp_path / "returned"
    folder.mkdir()
    (folder / kept.NEW).write_bytes(b"half of some")

    def full(*_files: object) -> None:
        raise OSError(28, "no space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(shutil, "copyfile", full)
        with pytest.raises(OSError, match="no space left"):
            keep_files([source(tmp_path, "walk.json", b"whole")], folder)
    assert names(folder) == {}
    keep_files([source(tmp_path, "walk.json", b"whole")], folder)
    assert names(folder) == {"walk.json": b"whole"}


def test_a_name_that_another_took_meanwhile_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the look at the folder and the file's name, a phone's app writes one of the same name."""
    folder = tmp_path / "returned"
    link = os.link

    def late(new: Path, path: Path) -> None:
        if path.name == "walk.json":
            path.write_bytes(b"the app's")
        link(new, path)

    monkeypatch.setattr(os, "link", late)
    (done,) = keep_files([source(tmp_path, "walk.json", b"dropped")], folder)
    assert (done.name, names(folder)) == (
        "walk-2.json",
        {"walk.json": b"the app's", "walk-2.json": b"dropped"},
    )

"""The jobs below a folder, and what their files look like from outside: sizes and times of change.

Hidden folders are passed over, and so is what a link leads to outside the folder. Bounded in depth and count,
so that a desk that is started in a home folder does not walk through all of it.
"""

import contextlib
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

__all__ = ["changed_at", "file_marks", "folders_below", "folders_named", "jobs_below"]

JOB_FILE = "job.toml"
DEPTH = 4
FOLDERS_AT_MOST = 5_000
FILES_AT_MOST = 500
PASSED_OVER = (".", "~$")
"""Beginnings of names of hidden files, and of the locks that spreadsheet programs put beside open files."""


def jobs_below(folder: Path) -> list[Path]:
    """Every folder with a job.toml, the folder itself among them; sorted by their paths below it."""
    return sorted(each for each in folders_below(folder) if _is_job(each, folder))


def _is_job(folder: Path, root: Path) -> bool:
    """Whether a folder holds a job's file that lies within the root, links followed."""
    path = folder / JOB_FILE
    try:
        return path.is_file() and path.resolve().is_relative_to(root.resolve())
    except OSError:  # locked away, or a link that leads round
        return False


def folders_below(root: Path) -> Iterator[Path]:
    """The root and folders below it, those nearest first; a link to a folder is not followed."""
    waiting, seen = [(root, 0)], 0
    while waiting and seen < FOLDERS_AT_MOST:
        folder, depth = waiting.pop(0)
        seen += 1
        yield folder
        if depth < DEPTH:
            waiting += ((each, depth + 1) for each in _sub_folders(folder))


def _sub_folders(folder: Path) -> list[Path]:
    try:
        with os.scandir(folder) as entries:
            return sorted(
                Path(each.path)
                for each in entries
                if not each.name.startswith(PASSED_OVER) and each.is_dir(follow_symlinks=False)
            )
    except OSError:
        return []


def folders_named(folder: Path, beginning: str) -> list[Path]:
    """The folders directly in a folder whose names begin so, links left out."""
    return [each for each in _sub_folders(folder) if each.name.startswith(beginning)]


def changed_at(path: Path) -> float:
    """When a file was last written, in seconds since 1970; 0 where it is not there."""
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0


def file_marks(folder: Path) -> dict[str, tuple[int, int, int]]:
    """A job's files by name below its folder, each with what shows a change: time, size, number of its node.

    Files of the folder and of the folders directly in it; at most `FILES_AT_MOST`.
    """
    marks: dict[str, tuple[int, int, int]] = {}
    for each in [folder, *_sub_folders(folder)]:
        for name, mark in _marks(each):
            if len(marks) >= FILES_AT_MOST:
                return marks
            marks[(each / name).relative_to(folder).as_posix()] = mark
    return marks


def marks_of(files: Iterable[Path]) -> dict[str, tuple[int, int, int]]:
    """Files by their paths, each with what shows a change; those that are gone are left out."""
    marks: dict[str, tuple[int, int, int]] = {}
    for each in files:
        with contextlib.suppress(OSError):
            now = each.stat()
            marks[each.as_posix()] = (now.st_mtime_ns, now.st_size, now.st_ino)
    return marks


def _marks(folder: Path) -> Iterator[tuple[str, tuple[int, int, int]]]:
    try:
        with os.scandir(folder) as entries:
            for each in entries:
                if not each.name.startswith(PASSED_OVER) and each.is_file():
                    now = each.stat()
                    yield each.name, (now.st_mtime_ns, now.st_size, now.st_ino)
    except OSError:
        return

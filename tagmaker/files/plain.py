"""Questions about paths, and files that others wrote: read whole and within a limit, or not at all.

A path that comes from a user may lead to a pipe, a device or a file of any size. Nothing here waits for a
writer or reads more than it was allowed to.
"""

import errno
import hashlib
import io
import os
import stat
from collections.abc import Iterator
from pathlib import Path

__all__ = [
    "are_same",
    "file_mark",
    "files_below",
    "files_in",
    "is_folder",
    "is_link",
    "is_plain_file",
    "is_readable",
    "is_there",
    "lies_within",
    "pieces_of",
    "plain_digest",
    "plain_size",
    "read_head",
    "read_plain",
    "unread_below",
    "why_not_plain",
]

PIECE_BYTES = 1 << 20
MB = 1_000_000


def is_there(path: Path) -> bool:
    """Whether a path leads anywhere; False for one that is too long or locked away."""
    try:
        return path.exists()
    except OSError:
        return False


def is_readable(path: Path) -> bool:
    """Whether the system lets this program read what is there; a locked path is not readable."""
    return os.access(path, os.R_OK)


def is_folder(path: Path) -> bool:
    """Whether a path leads to a folder, links followed; False for one that cannot be looked at."""
    try:
        return path.is_dir()
    except OSError:
        return False


def is_link(path: Path) -> bool:
    """Whether a path is a link itself, whatever it leads to."""
    return path.is_symlink()


def is_plain_file(path: Path) -> bool:
    """Whether a path leads to a regular file, links followed: no folder, pipe or device, nor locked away."""
    try:
        return path.is_file()
    except OSError:
        return False


def plain_size(path: Path) -> int:
    """Bytes of a file; OSError where there is none."""
    return path.stat().st_size


def file_mark(path: Path) -> tuple[int, int, int]:
    """What shows that a file changed without reading it: time, size, node; zeros where it is not there."""
    try:
        now = path.stat()
    except OSError:
        return 0, 0, 0
    return now.st_mtime_ns, now.st_size, now.st_ino


def files_in(folder: Path, pattern: str) -> Iterator[Path]:
    """Entries of a folder whose names match a pattern ("*.toml"), in the file system's order."""
    return folder.glob(pattern)


def files_below(folder: Path) -> list[Path]:
    """Regular files of a folder and the folders in it, sorted; hidden files and folders skipped."""
    files = (each for each in folder.rglob("*") if each.is_file())
    return sorted(
        each for each in files if not any(part.startswith(".") for part in each.relative_to(folder).parts)
    )


def unread_below(folder: Path) -> list[Path]:
    """What `files_below` leaves out though it is not hidden: links to folders, pipes, locked folders."""
    locked: list[OSError] = []
    found: list[Path] = []
    for root, folders, files in os.walk(folder, onerror=locked.append):
        folders[:] = [name for name in folders if not name.startswith(".")]
        others = (Path(root, name) for name in files if not name.startswith("."))
        found += (each for each in others if not is_plain_file(each))
        found += (path for path in (Path(root, name) for name in folders) if is_link(path))
    return sorted([*found, *(Path(fault.filename) for fault in locked)])


def are_same(one: Path, other: Path) -> bool:
    """Whether two paths lead to one file or folder, in any case of letters where the system has no cases."""
    try:
        return one.samefile(other)
    except OSError:
        return False


def why_not_plain(path: Path) -> str:
    """What is wrong with a path that leads to no regular file, as the end of a sentence."""
    if is_folder(path):
        return "is a folder, not a file"
    return "is not a regular file" if is_there(path) else "does not exist"


def lies_within(path: Path, folder: Path) -> bool:
    """Whether a file lies in a folder or in folders of it, links followed."""
    return Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))


def read_plain(path: Path, at_most: int) -> bytes:
    """A plain file's bytes; OSError where it is a pipe or device, or larger than `at_most` bytes."""
    content = io.BytesIO()  # gives its bytes without a copy, unlike pieces that are joined
    for piece in pieces_of(path):
        content.write(piece)
        if content.tell() > at_most:  # a file may grow while it is read, so its size is no promise
            raise OSError(errno.EFBIG, f"it is larger than {at_most // MB} MB")
    return content.getvalue()


def plain_digest(path: Path) -> str:
    """SHA-256 of a plain file's bytes, in hexadecimal digits; OSError where it is a pipe or device."""
    digest = hashlib.sha256()
    for piece in pieces_of(path):
        digest.update(piece)
    return digest.hexdigest()


def pieces_of(path: Path) -> Iterator[bytes]:
    """The bytes of a plain file, piece by piece; OSError where it is a pipe or device."""
    with open(path, "rb", opener=_open) as file:
        # asked of the open handle: between a look at the path and this open another file may have its name
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise OSError(errno.EINVAL, "it is not a regular file")
        while piece := file.read(PIECE_BYTES):
            yield piece


def read_head(path: Path, count: int) -> bytes:
    """A plain file's first bytes; OSError where it is a pipe or device."""
    with open(path, "rb", opener=_open) as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise OSError(errno.EINVAL, "it is not a regular file")
        return file.read(count)


def _open(path: str, flags: int) -> int:
    """Open without waiting: a pipe that nobody writes would block the program for ever."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))

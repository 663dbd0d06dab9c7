"""Files written whole: on disk before they count, and old or new to every reader, never half.

A rename within a folder is atomic, and what it puts in place is complete only if the content reached the
disk before it: hence the order write, fsync, rename.
"""

import contextlib
import errno
import os
import stat
import tempfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import IO

from tagmaker.files.plain import read_plain
from tagmaker.files.refused import cannot_write, named_as_device
from tagmaker.files.stopping import held, undone_if_stopped
from tagmaker.files.system import patiently
from tagmaker.problems import Problem, Where, error

__all__ = [
    "appending",
    "head_for_appending",
    "make_folder",
    "parents_made",
    "scratch_file",
    "write_file",
    "write_private",
    "write_synced",
    "write_whole",
]

KINDS = (b"%PDF", b"\x89PNG", b"{")
"""First bytes of the kinds of files that are written one by one: PDF, PNG, JSON."""
HOLDING = (b"/AcroForm", b"/EmbeddedFile")
"""In a PDF that can be filled in, and so may have been; in one that keeps other files, as a record does."""
OWN, END = b"/Creator (tagmaker)", b"%%EOF"
"""In a PDF of this program; once at the end of one that nobody signed, filled in or saved since."""
OWN_PICTURE = b"tEXtSoftware\x00tagmaker"
"""In a PNG of a page that this program drew; a photo or a scan has none, and cannot be made again."""
BYTES_AT_MOST = 200_000_000


def write_synced(path: Path, pieces: Iterable[bytes]) -> None:
    """Write a new file and wait until it is on disk; FileExistsError where the name is taken."""
    with path.open("xb") as file:
        file.writelines(pieces)
        file.flush()
        os.fsync(file.fileno())


def write_whole(path: Path, content: bytes) -> None:
    """Replace a file, or create it, in one step; OSError where that fails, and nothing is left behind."""
    new = path.with_name(f".{path.name}.tagmaker-new")
    with undone_if_stopped(lambda: _removed(new)):
        try:
            new.unlink(missing_ok=True)  # a killed run's; a link there would be followed
            write_synced(new, [content])
            _take_mode(new, path)
            patiently(lambda: new.replace(path))
        except BaseException:
            _removed(new)
            raise


def _take_mode(new: Path, old: Path) -> None:
    """Let the same people read and write a file as the one that it replaces, where the system has modes."""
    with contextlib.suppress(OSError):
        new.chmod(stat.S_IMODE(old.stat().st_mode))


def _removed(path: Path) -> str:
    """Remove a file where it is there; nothing is to be printed of it."""
    with contextlib.suppress(OSError):
        path.unlink()
    return ""


@contextlib.contextmanager
def parents_made(path: Path) -> Iterator[None]:
    """Make the folders above a path; those that were missing are removed again where they stay empty."""
    made = [folder for folder in path.parents if not folder.exists()]

    def undo() -> str:
        with contextlib.suppress(OSError):  # one that holds something is not removed, nor those above it
            for folder in made:
                folder.rmdir()
        return ""

    with undone_if_stopped(undo):
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            yield
        finally:
            with held():
                undo()


def write_file(path: Path, content: bytes) -> Problem | None:
    """A single file that the user named, written whole or not at all; the problem where it cannot be."""
    if problem := named_as_device(path):
        return problem
    try:
        if path.exists() and not path.is_file():
            return error(
                "output-blocked", f"{path} is not a regular file", Where(path.as_posix()), "name a file"
            )
        if path.exists() and not _is_replaceable(read_plain(path, BYTES_AT_MOST), content):
            message = f"{path} holds something else, which would be lost"
            return error("output-foreign", message, Where(path.as_posix()), "name another file with -o")
        write_whole(path, content)
    except OSError as reason:
        return cannot_write(path, reason)
    return None


def _is_replaceable(old: bytes, new: bytes) -> bool:
    """Whether what is there is of the same kind: no job's file for a PDF, no form for a drawing or list.

    Of PDFs and drawings only one that this program wrote: a form that another program packed does not show
    that it is one, and a scan or photos of paper cannot be made again.
    """
    kinds = [kind for kind in KINDS if new.startswith(kind)]
    if not old or not all(old.startswith(kind) for kind in kinds):
        return not old
    if OWN_PICTURE in new and OWN_PICTURE not in old:
        return False
    is_own = not old.startswith(b"%PDF") or (OWN in old and old.count(END) == 1)
    return is_own and all(mark not in old or mark in new for mark in HOLDING)


def make_folder(folder: Path) -> None:
    """Create a folder and those above it where they are missing."""
    folder.mkdir(parents=True, exist_ok=True)


def write_private(path: Path, content: bytes) -> None:
    """Replace a file of the user's own, as `write_whole` does, in a folder that nobody else can look into."""
    make_folder(path.parent)
    path.parent.chmod(0o700)
    write_whole(path, content)
    path.chmod(0o600)


def scratch_file() -> IO[bytes]:
    """An empty file without a name, which the system removes when it is closed or the program ends."""
    return tempfile.TemporaryFile()


def head_for_appending(path: Path, count: int) -> bytes:
    """The first bytes of a file that lines can be added to, created where it is missing; or OSError."""
    with path.open("a+b") as file:
        file.seek(0)
        return file.read(count)


@contextlib.contextmanager
def appending(path: Path, cut_mark: bytes) -> Iterator[Callable[[bytes], None]]:
    """A function that adds a line to the file; the line is on disk when the call returns.

    A last line that has no end was cut off: it gets `cut_mark`, so that it is never read as a whole one.
    OSError where it cannot be written, or where another program writes into it: lines would be mixed.
    """
    with path.open("a+b") as file:
        file.seek(max(0, file.seek(0, os.SEEK_END) - 1))
        if file.read(1) not in {b"", b"\n"}:
            file.write(cut_mark + b"\n")
        size = file.seek(0, os.SEEK_END)

        def add(line: bytes) -> None:
            nonlocal size
            if file.seek(0, os.SEEK_END) != size:
                raise OSError(errno.EBUSY, "another program writes into it")
            file.write(line + b"\n")
            file.flush()
            os.fsync(file.fileno())
            size = file.tell()

        yield add

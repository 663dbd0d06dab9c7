"""A set of files takes the output folder's place as one: the old set or the new one, never a mixture.

Beside OUT stand, while a run writes: `.OUT.tagmaker-lock`, `.OUT.tagmaker-new` (the set being built)
and, where the system cannot exchange folders, `.OUT.tagmaker-old` (the set being replaced). The next run
clears what a killed run left, and puts the old set back where only that is whole.
"""

import contextlib
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

from tagmaker.files.exchange import exchange
from tagmaker.problems import Problem, Where, error

try:
    import fcntl
except ImportError:  # no file locks on this system: two runs at once are then the user's to avoid
    fcntl = None  # type: ignore[assignment]

__all__ = ["Manifest", "OutputRefused", "OutputSet", "locked", "open_output_set", "write_file"]

Manifest = Callable[[Path], tuple[frozenset[str], bool]]
"""Names of the files that the set in a folder consists of, and whether it is a whole set."""
FOLDER_HINT = "name a folder of the program's own with -o"


class OutputRefused(Exception):
    """The output folder cannot be taken; carries the problem to report."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


class OutputSet:
    """A set being built beside the output folder; nothing of it shows until `finish`."""

    def __init__(self, out: Path) -> None:
        self.out = out
        self.new = out.with_name(f".{out.name}.tagmaker-new")
        self.old = out.with_name(f".{out.name}.tagmaker-old")

    def recover(self) -> None:
        """Clear what a killed run left; put back an old set that was moved away and never replaced."""
        if self.old.exists() and not self.out.exists():
            self.old.rename(self.out)
        for litter in (self.old, self.new):
            shutil.rmtree(litter, ignore_errors=True)

    def write(self, name: str, content: bytes) -> None:
        """Add a file to the set."""
        path = self.new / name
        path.parent.mkdir(exist_ok=True)
        with path.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())

    def finish(self) -> None:
        """The set takes the output folder's place."""
        if not self.out.exists():
            self.new.rename(self.out)
        elif not exchange(self.new, self.out):
            self._replace()
        for litter in (self.old, self.new):
            shutil.rmtree(litter, ignore_errors=True)

    def _replace(self) -> None:
        """The exchange in two steps; a second step that fails undoes the first."""
        self.out.rename(self.old)
        try:
            self.new.rename(self.out)
        except OSError:
            self.old.rename(self.out)
            raise


@contextlib.contextmanager
def open_output_set(out: Path, manifest: Manifest, *, partial: bool) -> Iterator[OutputSet]:
    """A set for an output folder that is locked, recovered and checked; raises OutputRefused.

    `manifest` tells which files an earlier set put there, and whether that was a whole set.
    """
    try:
        out = Path(os.path.realpath(out))
        _check_place(out)
        out.parent.mkdir(parents=True, exist_ok=True)
        with locked(out):
            output_set = OutputSet(out)
            output_set.recover()
            _check(out, manifest, partial=partial)
            output_set.new.mkdir()
            try:
                yield output_set
            finally:
                shutil.rmtree(output_set.new, ignore_errors=True)
    except OSError as reason:
        message = f"cannot write {out}: {reason.strerror or reason}"
        raise OutputRefused(
            error("output-blocked", message, Where(str(out)), "nothing was changed there")
        ) from reason


@contextlib.contextmanager
def locked(out: Path) -> Iterator[None]:
    """No other run writes there meanwhile; raises OutputRefused where one does."""
    path = out.with_name(f".{out.name}.tagmaker-lock")
    handle = _take(path, out)
    try:
        yield
    finally:
        path.unlink(missing_ok=True)
        os.close(handle)


def _take(path: Path, out: Path) -> int:
    """The lock's handle; a lock file that its owner deletes meanwhile is asked for anew."""
    while True:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
        if fcntl is None:
            return handle
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as reason:
            os.close(handle)
            if not isinstance(reason, BlockingIOError):
                raise
            message = f"another run is writing {out}"
            problem = error("output-blocked", message, Where(str(out)), "wait for it to end")
            raise OutputRefused(problem) from reason
        if path.exists() and os.path.samestat(os.fstat(handle), path.stat()):
            return handle
        os.close(handle)


def _check_place(out: Path) -> None:
    """Refuse a place that no folder can take: the root, where one stands, a place under a file."""
    if not out.name or out == Path.cwd():
        message = f"{out} is the folder that you stand in, or the root: it cannot be replaced"
        raise OutputRefused(error("output-blocked", message, Where(str(out)), FOLDER_HINT))
    for folder in out.parents:
        if folder.exists() and not folder.is_dir():
            message = f"{folder} is no folder"
            raise OutputRefused(error("output-foreign", message, Where(str(out)), FOLDER_HINT))


def _check(out: Path, manifest: Manifest, *, partial: bool) -> None:
    """Refuse an output that holds a file of somebody else's, or a whole set that a part would replace."""
    if not out.exists():
        return
    if not out.is_dir():
        raise OutputRefused(error("output-foreign", f"{out} is no folder", Where(str(out)), FOLDER_HINT))
    known, whole = manifest(out)
    folders = {str(Path(name).parent) for name in known}
    found = (entry.relative_to(out).as_posix() for entry in out.rglob("*"))
    foreign = sorted(name for name in found if name not in known and name not in folders)
    if foreign:
        message = f"{out} holds {foreign[0]!r}, which no earlier set put there"
        hint = "move it away, or name another folder with -o: the output folder is replaced as a whole"
        raise OutputRefused(error("output-foreign", message, Where(str(out / foreign[0])), hint))
    if partial and whole:
        message = f"{out} holds a whole set; a part of one would replace it"
        hint = "name another folder with -o for the part"
        raise OutputRefused(error("output-whole", message, Where(str(out)), hint))


def write_file(path: Path, content: bytes) -> Problem | None:
    """A single file written whole or not at all; the problem where it cannot be."""
    new = path.with_name(f".{path.name}.tagmaker-new")
    try:
        if path.exists() and not path.is_file():
            return error("output-blocked", f"{path} is no plain file", Where(str(path)), "name a file")
        new.unlink(missing_ok=True)  # a killed run's; a link there would be followed
        with new.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        new.replace(path)
    except OSError as reason:
        with contextlib.suppress(OSError):
            new.unlink()
        return error("output-blocked", f"cannot write {path}: {reason.strerror or reason}", Where(str(path)))
    return None

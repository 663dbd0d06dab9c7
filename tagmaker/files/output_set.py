"""A set of files takes the output folder's place in one step: the old set or the new one, never a mixture.

While a run writes, these are beside OUT: `.OUT.tagmaker-lock`, `.OUT.tagmaker-new` (the set being built)
and, where the system cannot exchange folders, `.OUT.tagmaker-old` (the set being replaced). They must be in
OUT's own folder, since a rename across file systems is no rename. The next run removes what a killed run
left, and puts the old set back where only that one is whole.
"""

import contextlib
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

from tagmaker.files.exchange import exchange
from tagmaker.files.lock import locked
from tagmaker.files.refused import OutputRefused, cannot_write
from tagmaker.files.write import write_synced
from tagmaker.problems import Where, error

__all__ = ["Manifest", "OutputSet", "open_output_set"]

Manifest = Callable[[Path], tuple[frozenset[str], bool]]
"""Names of the files that the set in a folder consists of, and whether it is a whole set."""
FOLDER_HINT = "name a folder used only for output with -o"


class OutputSet:
    """A set being built beside the output folder; it is invisible until `finish`."""

    def __init__(self, out: Path) -> None:
        self.out = out
        self.new = out.with_name(f".{out.name}.tagmaker-new")
        self.old = out.with_name(f".{out.name}.tagmaker-old")

    def recover(self) -> None:
        """Remove what a killed run left; put back an old set that was moved away and never replaced."""
        if self.old.exists() and not self.out.exists():
            self.old.rename(self.out)
        for left in (self.old, self.new):
            shutil.rmtree(left, ignore_errors=True)

    def write(self, name: str, content: bytes) -> None:
        """Add a file to the set."""
        path = self.new / name
        path.parent.mkdir(exist_ok=True)
        write_synced(path, content)

    def finish(self) -> None:
        """Put the set in the output folder's place; what was there is deleted only after that."""
        if not self.out.exists():
            self.new.rename(self.out)
        elif not exchange(self.new, self.out):
            self._replace()
        for left in (self.old, self.new):
            shutil.rmtree(left, ignore_errors=True)

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

    `manifest` gives the files that an earlier set put there, and whether that was a whole set. It is passed
    in, because plan.json's reader is in a room above this one.
    """
    try:
        out = Path(os.path.realpath(out))  # a link to a folder stays a link: what it leads to is replaced
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
        raise OutputRefused(cannot_write(out, reason, "nothing was changed there")) from reason


def _check_place(out: Path) -> None:
    """Refuse a place that no folder can take: the root, the current folder, a place under a file."""
    if not out.name or out == Path.cwd():
        message = f"{out} is the current folder or the root folder: it cannot be replaced"
        raise OutputRefused(error("output-blocked", message, Where(str(out)), FOLDER_HINT))
    for folder in out.parents:
        if folder.exists() and not folder.is_dir():
            message = f"{folder} is not a folder"
            raise OutputRefused(error("output-foreign", message, Where(str(out)), FOLDER_HINT))


def _check(out: Path, manifest: Manifest, *, partial: bool) -> None:
    """Refuse an output that holds a file of no earlier set, or a whole set that a part would replace."""
    if not out.exists():
        return
    if not out.is_dir():
        raise OutputRefused(error("output-foreign", f"{out} is not a folder", Where(str(out)), FOLDER_HINT))
    known, whole = manifest(out)
    folders = {str(Path(name).parent) for name in known}
    found = (entry.relative_to(out).as_posix() for entry in out.rglob("*"))
    foreign = sorted(name for name in found if name not in known and name not in folders)
    if foreign:
        message = f"{out} holds {foreign[0]!r}, which is not part of an earlier set"
        hint = "move it away, or name another folder with -o: the output folder is replaced as a whole"
        raise OutputRefused(error("output-foreign", message, Where(str(out / foreign[0])), hint))
    if partial and whole:
        message = f"{out} holds a whole set; a partial set would replace it"
        hint = "name another folder with -o for the partial set"
        raise OutputRefused(error("output-whole", message, Where(str(out)), hint))

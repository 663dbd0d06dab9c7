"""A set of files takes the output folder's place in one step: the old set or the new one, never a mixture.

While a run writes, these are beside OUT: `.OUT.tagmaker-lock`, `.OUT.tagmaker-new` (the set being built)
and, where the system cannot exchange folders, `.OUT.tagmaker-old` (the set being replaced). They must be in
OUT's own folder, since a rename across file systems is no rename. The next run removes what a killed run
left, and puts the old set back where only that one is whole.

A file of the old set that changed since it was written may be a form that somebody filled in: the set is then
refused, and refused again if that happens while it is built. So is a set of which a file is open in another
program, where the system keeps such a file from being replaced.
"""

import contextlib
import hashlib
import os
import shutil
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from tagmaker.files.changed import Manifest, changed_files
from tagmaker.files.lock import locked
from tagmaker.files.plain import are_same
from tagmaker.files.refused import OutputRefused, cannot_write, named_as_device
from tagmaker.files.stopping import held, undone_if_stopped
from tagmaker.files.system import exchange, names_in_use, patiently
from tagmaker.files.write import parents_made, write_synced
from tagmaker.problems import Where, error

__all__ = ["OutputSet", "ReadManifest", "open_output_set"]

ReadManifest = Callable[[Path], Manifest]
"""What the set in a folder consists of, by its plan.json."""
FOLDER_HINT = "name a folder used only for output with -o"
CHANGED_HINT = (
    "a new set would replace what was filled in or edited: move it to another folder; "
    "`tagmaker readback` takes a filled-in walk sheet from there"
)
NAMED = 5  # changed files that a problem names; more are counted


class OutputSet:
    """A set being built beside the output folder; it is invisible until `finish`.

    `digests` has SHA-256 of each file written, by name. `manifest` reads what an earlier set consists of; a
    `partial` set never replaces a whole one.
    """

    def __init__(self, out: Path, manifest: ReadManifest, *, partial: bool) -> None:
        self.out, self.manifest, self.partial = out, manifest, partial
        self.new = out.with_name(f".{out.name}.tagmaker-new")
        self.old = out.with_name(f".{out.name}.tagmaker-old")
        self.digests: dict[str, str] = {}
        self.is_finished = False

    def recover(self) -> None:
        """Remove what a killed run left; put back an old set that was moved away and never replaced."""
        if self.old.exists() and not self.out.exists():
            self.old.rename(self.out)
        self._clear()
        for left in (self.old, self.new):
            if left.exists():
                _check_in_use(left)

    def write(self, name: str, content: bytes) -> None:
        """Add a file to the set."""
        self.write_pieces(name, [content])

    def write_pieces(self, name: str, pieces: Iterable[bytes]) -> None:
        """Add a file that comes piece by piece."""
        path, digest = self.new / name, hashlib.sha256()
        path.parent.mkdir(exist_ok=True)

        def digested() -> Iterator[bytes]:
            for piece in pieces:
                digest.update(piece)
                yield piece

        write_synced(path, digested())
        self.digests[name] = digest.hexdigest()

    def finish(self) -> None:
        """Put the set in the output folder's place; what was there is deleted only after that."""
        with held():
            self.check()  # again: a form may have been saved while this set was built
            if not self.out.exists():
                patiently(lambda: self.new.rename(self.out))
            elif not exchange(self.new, self.out):
                self._replace()
            self.is_finished = True
            self._clear()

    def stopped(self) -> str:
        """Undo what a run that is stopped would leave; gives what stands in the output folder."""
        self._clear()
        return f"{self.out} holds the new set" if self.is_finished else f"{self.out} is as it was"

    def _clear(self) -> None:
        """Remove what is beside the output folder; an old set that was not replaced is not there.

        The old set goes under the new one's name, so that one that is half removed is never put back.
        """
        shutil.rmtree(self.new, ignore_errors=True)
        with contextlib.suppress(OSError):  # none is there, or a file of it is open: a later run clears it
            self.old.rename(self.new)
            shutil.rmtree(self.new, ignore_errors=True)

    def check(self) -> None:
        """Refuse an output that holds what no set may replace.

        That is a file of no earlier set, one that changed since, or a whole set where this is a part.
        """
        out = self.out
        if not out.exists():
            return
        if not out.is_dir():
            raise OutputRefused(
                error("output-foreign", f"{out} is not a folder", Where(out.as_posix()), FOLDER_HINT)
            )
        _check_in_use(out)
        manifest = self.manifest(out)
        _check_foreign(out, manifest)
        _check_changed(out, manifest)
        if self.partial and manifest.is_whole:
            message = f"{out} holds a set of the whole job; a partial one would replace it"
            hint = "name another folder with -o for the partial set"
            raise OutputRefused(error("output-whole", message, Where(out.as_posix()), hint))

    def _replace(self) -> None:
        """The exchange in two steps; a second step that fails undoes the first."""
        patiently(lambda: self.out.rename(self.old))
        try:
            patiently(lambda: self.new.rename(self.out))
        except OSError:
            self.old.rename(self.out)
            raise


@contextlib.contextmanager
def open_output_set(out: Path, manifest: ReadManifest, *, partial: bool) -> Iterator[OutputSet]:
    """A set for an output folder that is locked, recovered and checked; raises OutputRefused.

    `manifest` is passed in, because plan.json's reader is in a room above this one.
    """
    try:
        out = Path(os.path.realpath(out))  # a link to a folder stays a link: what it leads to is replaced
        _check_place(out)
        with parents_made(out), locked(out):
            output_set = OutputSet(out, manifest, partial=partial)
            with held():  # between the two steps of putting an old set back there is none
                output_set.recover()
            output_set.check()
            with undone_if_stopped(output_set.stopped):
                output_set.new.mkdir()
                try:
                    yield output_set
                finally:
                    with held():
                        shutil.rmtree(output_set.new, ignore_errors=True)
    except OSError as reason:
        raise OutputRefused(cannot_write(out, reason, "nothing was changed there")) from reason


def _check_place(out: Path) -> None:
    """Refuse a place that no folder can take: the root, the current folder, a place under a file."""
    if problem := named_as_device(out):
        raise OutputRefused(problem)
    if not out.name or are_same(out, Path.cwd()):
        message = f"{out} is the current folder or the root folder: it cannot be replaced"
        raise OutputRefused(error("output-blocked", message, Where(out.as_posix()), FOLDER_HINT))
    for folder in out.parents:
        if folder.exists() and not folder.is_dir():
            message = f"{folder} is not a folder"
            raise OutputRefused(error("output-foreign", message, Where(out.as_posix()), FOLDER_HINT))


def _check_in_use(folder: Path) -> None:
    """Refuse a folder of which the system lets no file go, as another program has it open."""
    names = names_in_use(folder)
    if names:
        message = f"{folder} holds {names[0]!r}, which is open in another program"
        where = Where((folder / names[0]).as_posix())
        raise OutputRefused(error("output-blocked", message, where, "nothing was changed there: close it"))


def _check_foreign(out: Path, manifest: Manifest) -> None:
    """Refuse an output that holds a file of no earlier set."""
    folders = {Path(name).parent.as_posix() for name in manifest.names}
    found = (entry.relative_to(out).as_posix() for entry in out.rglob("*"))
    foreign = sorted(name for name in found if name not in manifest.names and name not in folders)
    if foreign:
        message = f"{out} holds {foreign[0]!r}, which is not part of an earlier set"
        hint = "move it away, or name another folder with -o: the output folder is replaced as a whole"
        raise OutputRefused(error("output-foreign", message, Where((out / foreign[0]).as_posix()), hint))


def _check_changed(out: Path, manifest: Manifest) -> None:
    """Refuse an output of which a file changed since its set was written."""
    changed = changed_files(out, manifest)
    if not changed:
        return
    if len(changed) == 1:
        message = f"{out} holds {changed[0]!r}, which changed since it was written"
    else:
        names = ", ".join(map(repr, changed[:NAMED]))
        more = f" and {len(changed) - NAMED} more" if len(changed) > NAMED else ""
        message = f"{out} holds {len(changed)} files that changed since they were written: {names}{more}"
    raise OutputRefused(error("output-changed", message, Where((out / changed[0]).as_posix()), CHANGED_HINT))

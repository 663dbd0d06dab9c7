"""One lock for everything that is written: a lock file beside it, held by one run at a time."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

from tagmaker.files.refused import OutputRefused
from tagmaker.files.stopping import held, undone_if_stopped
from tagmaker.files.system import lock_file, unlock_file
from tagmaker.problems import Where, error

__all__ = ["locked"]


@contextlib.contextmanager
def locked(path: Path, *, waits: bool = False) -> Iterator[None]:
    """No other run writes to this path meanwhile; the lock file `.NAME.tagmaker-lock` is removed at the end.

    Where another run holds the lock, wait for it, or raise OutputRefused.
    """
    lock = path.with_name(f".{path.name}.tagmaker-lock")
    taken: list[int] = []

    def undo() -> str:
        while taken:  # else it is another run's
            unlock_file(lock, taken.pop())
        return ""

    with undone_if_stopped(undo):
        with contextlib.nullcontext() if waits else held():  # who waits must be able to stop waiting
            handle = lock_file(lock, waits=waits)
            if handle is None:
                message = f"another run is writing {path}"
                raise OutputRefused(
                    error("output-blocked", message, Where(path.as_posix()), "wait for it to end")
                )
            taken.append(handle)
        try:
            yield
        finally:
            with held():
                undo()

"""One lock for everything that is written: a lock file beside it, held by one run at a time.

The lock is the system's (`flock`), not the file's existence: it ends with the process that holds it, so that
a killed run never blocks the next one.
"""

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from tagmaker.files.refused import OutputRefused
from tagmaker.files.stopping import held, undone_if_stopped
from tagmaker.problems import Where, error

try:
    import fcntl
except ImportError:  # no file locks on this system: two runs at once are then the user's to avoid
    fcntl = None  # type: ignore[assignment]

__all__ = ["locked"]


@contextlib.contextmanager
def locked(path: Path, *, waits: bool = False) -> Iterator[None]:
    """No other run writes to this path meanwhile; the lock file `.NAME.tagmaker-lock` is removed at the end.

    Where another run holds the lock, wait for it, or raise OutputRefused.
    """
    lock = path.with_name(f".{path.name}.tagmaker-lock")
    taken: list[int] = []

    def undo() -> str:
        if taken:  # else it is another run's
            lock.unlink(missing_ok=True)
        return ""

    with undone_if_stopped(undo):
        with contextlib.nullcontext() if waits else held():  # who waits must be able to stop waiting
            taken.append(_take(lock, path, waits=waits))
        try:
            yield
        finally:
            with held():
                if fcntl is None:  # such a system removes no file that is open, be it in another run
                    os.close(taken.pop())
                    with contextlib.suppress(OSError):
                        lock.unlink(missing_ok=True)
                else:
                    lock.unlink(missing_ok=True)
                    os.close(taken.pop())


def _take(lock: Path, path: Path, *, waits: bool) -> int:
    """Take the lock; retry if another run deleted the lock file between open and lock."""
    while True:
        handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o666)
        if fcntl is None:
            return handle
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | (0 if waits else fcntl.LOCK_NB))
        except OSError as reason:
            os.close(handle)
            if not isinstance(reason, BlockingIOError):
                raise
            message = f"another run is writing {path}"
            problem = error("output-blocked", message, Where(str(path)), "wait for it to end")
            raise OutputRefused(problem) from reason
        if lock.exists() and os.path.samestat(os.fstat(handle), lock.stat()):
            return handle
        os.close(handle)

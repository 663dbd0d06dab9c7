"""What the system offers the files, asked for by feature and never by the system's name.

Folders are exchanged in one step, a lock is the system's own, and a file that is open can be moved: where a
system has none of these, there is another way here, and nobody above knows which one was taken.
"""

import contextlib
import ctypes
import errno
import os
import time
from collections.abc import Callable
from pathlib import Path

try:
    import fcntl
except ImportError:  # no file locks: an open file is the lock where the system keeps it from being removed
    fcntl = None  # type: ignore[assignment]

__all__ = ["exchange", "is_device", "lock_file", "names_in_use", "patiently", "unlock_file"]

AT_FDCWD = -100  # linux/fcntl.h: paths are relative to the current folder, as everywhere
RENAME_EXCHANGE = 2  # linux/fs.h
RENAME_SWAP = 2  # sys/stdio.h of macOS
CANNOT = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP}
"""What a system or file system without the call answers; any other error is a real one."""
WAIT_SECONDS = 0.02  # between two tries
TRIES = 50
NUMBERED = "123456789¹²³"
DEVICES = {"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"} | {
    f"{port}{number}" for port in ("COM", "LPT") for number in NUMBERED
}
"""Names that are devices on some systems, in every folder and with every ending [memory]."""


def exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; False where the system or its file system cannot.

    Python has no call for it, so the C library is asked: renameat2 of Linux, renamex_np of macOS.
    """
    names = os.fsencode(one), os.fsencode(other)
    try:
        library = ctypes.CDLL(None, use_errno=True)
        if hasattr(library, "renamex_np"):
            failed = library.renamex_np(*names, RENAME_SWAP)
        else:
            failed = library.renameat2(AT_FDCWD, names[0], AT_FDCWD, names[1], RENAME_EXCHANGE)
    except (AttributeError, OSError, TypeError):
        return False
    if failed and ctypes.get_errno() not in CANNOT:
        raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()), str(one))
    return not failed


def lock_file(path: Path, *, waits: bool) -> int | None:
    """Create and lock a file, and give its handle; None where another run holds the lock.

    With `waits` it is waited for. The lock ends with the process that holds it, so that a killed run never
    blocks the next one.
    """
    while True:
        handle = _locked(path, waits=waits) if fcntl else _created(path)
        if handle is not None or not waits:
            return handle
        time.sleep(WAIT_SECONDS)


def unlock_file(path: Path, handle: int) -> None:
    """Remove a lock file and give the lock back."""
    if fcntl:
        path.unlink(missing_ok=True)  # before it is unlocked: afterwards it may be another run's
        os.close(handle)
        return
    os.close(handle)
    with contextlib.suppress(OSError):  # another run holds it already
        path.unlink(missing_ok=True)


def _locked(path: Path, *, waits: bool) -> int | None:
    """Lock the file by the system; retry if another run deleted it between open and lock."""
    while True:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | (0 if waits else fcntl.LOCK_NB))
        except OSError as reason:
            os.close(handle)
            if not isinstance(reason, BlockingIOError):
                raise
            return None
        with contextlib.suppress(FileNotFoundError):
            if os.path.samestat(os.fstat(handle), path.stat()):
                return handle
        os.close(handle)


def _created(path: Path) -> int | None:
    """Create the file anew and keep it open; one that cannot be removed first is open in another run."""
    try:
        path.unlink(missing_ok=True)  # a killed run's: nobody has it open
        return os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o666)
    except FileExistsError:
        return None
    except PermissionError:
        if path.exists():
            return None
        raise


def names_in_use(folder: Path) -> list[str]:
    """Files of a folder that the system does not let be moved, as another program has them open.

    Each is renamed to the name that it has: that changes nothing, and is refused where a move would be.
    """
    found: list[str] = []
    for path in sorted(folder.rglob("*")):
        try:
            if path.is_file():
                path.rename(path)
        except PermissionError:
            found.append(path.relative_to(folder).as_posix())
    return found


def patiently(move: Callable[[], object]) -> None:
    """Do a move; where it is refused, again for a second.

    A system that moves no open file is one where virus scanners open each new file for a moment.
    """
    for _ in range(TRIES):
        try:
            move()
        except PermissionError:
            time.sleep(WAIT_SECONDS)
        else:
            return
    move()


def is_device(name: str) -> bool:
    """Whether a file or folder of this name is a device on some systems: CON, aux, nul.pdf."""
    return name.partition(".")[0].rstrip(" ").upper() in DEVICES

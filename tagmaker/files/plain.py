"""Files that others wrote: read whole and within a limit, or not at all; never waited for."""

import errno
import os
import stat
from pathlib import Path

__all__ = ["is_there", "read_plain"]

PIECE_BYTES = 1 << 20
MB = 1_000_000


def is_there(path: Path) -> bool:
    """Whether a path leads anywhere; one that is too long, or locked away, leads nowhere."""
    try:
        return path.exists()
    except OSError:
        return False


def read_plain(path: Path, at_most: int) -> bytes:
    """A plain file's bytes; OSError where it is a pipe or device, or larger than `at_most` bytes."""
    pieces: list[bytes] = []
    size = 0
    with open(path, "rb", opener=_open) as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise OSError(errno.EINVAL, "it is no plain file")
        while piece := file.read(PIECE_BYTES):
            pieces.append(piece)
            size += len(piece)
            if size > at_most:
                raise OSError(errno.EFBIG, f"it is larger than {at_most // MB} MB")
    return b"".join(pieces)


def _open(path: str, flags: int) -> int:
    """Opened without waiting: a pipe that nobody writes would hold the program up for ever."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))

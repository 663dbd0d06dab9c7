"""Two folders change places in one step, where the system can.

Python has no call for it, so the C library is asked by name: renameat2 of Linux, renamex_np of macOS. A file
system that cannot do it says so, and the caller has another way.
"""

import ctypes
import errno
import os
import sys
from pathlib import Path

__all__ = ["exchange"]

AT_FDCWD = -100  # linux/fcntl.h: paths are relative to the current folder, as everywhere
RENAME_EXCHANGE = 2  # linux/fs.h
RENAME_SWAP = 2  # sys/stdio.h of macOS
# what a system or file system without the call answers; any other error is a real one
CANNOT = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP}


def exchange(one: Path, other: Path) -> bool:
    """Exchange two paths atomically; False where the system or its file system cannot."""
    names = os.fsencode(one), os.fsencode(other)
    try:
        library = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "darwin":
            failed = library.renamex_np(*names, RENAME_SWAP)
        else:
            failed = library.renameat2(AT_FDCWD, names[0], AT_FDCWD, names[1], RENAME_EXCHANGE)
    except (AttributeError, OSError, TypeError):
        return False
    if failed and ctypes.get_errno() not in CANNOT:
        raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()), str(one))
    return not failed

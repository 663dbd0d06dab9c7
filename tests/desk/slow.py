"""Works for tests, of a module, so that another process can load them."""

import inspect
import os
import struct
import time
from collections.abc import Callable
from pathlib import Path

__all__ = ["counted", "dies", "dies_speaking", "fails", "holds"]


def counted(of: int, progress: Callable[[int, int], None]) -> str:
    """Count to a number and report each step."""
    for done in range(1, of + 1):
        progress(done, of)
    return f"counted to {of}"


def fails(progress: Callable[[int, int], None]) -> str:
    """A bug."""
    progress(1, 2)
    raise ZeroDivisionError


def dies(progress: Callable[[int, int], None]) -> str:
    """A process that is killed."""
    progress(1, 2)
    os._exit(9)


def dies_speaking(progress: Callable[[int, int], None]) -> str:
    """A process that is killed while it sends its result: a length, and less than that."""
    sending = inspect.getclosurevars(progress).nonlocals["sending"]
    os.write(sending.fileno(), struct.pack("!i", 1000) + b"begun")
    os._exit(9)


def holds(started: Path, progress: Callable[[int, int], None]) -> str:
    """Run until it is stopped, and leave a mark once it runs."""
    progress(0, 1)
    started.touch()
    while True:
        time.sleep(0.05)

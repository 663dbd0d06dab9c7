"""Records kept in a file, each read again by itself: what is too large for memory, while the program runs."""

import contextlib
import struct
from collections.abc import Callable, Iterator
from pathlib import Path

__all__ = ["read_record", "records_written", "remove_records"]

LENGTH = struct.Struct("<Q")


@contextlib.contextmanager
def records_written(path: Path) -> Iterator[Callable[[bytes], int]]:
    """A function that adds a record to a new file and gives where it begins."""
    with path.open("wb") as file:

        def add(content: bytes) -> int:
            at = file.tell()
            file.write(LENGTH.pack(len(content)))
            file.write(content)
            return at

        yield add


def read_record(path: Path, at: int) -> bytes:
    """The record that begins there; OSError where the file is gone."""
    with path.open("rb") as file:
        file.seek(at)
        (length,) = LENGTH.unpack(file.read(LENGTH.size))
        return file.read(length)


def remove_records(path: Path) -> None:
    """Remove such a file; one that is gone, or that another system keeps while it is read, is left."""
    with contextlib.suppress(OSError):
        path.unlink()

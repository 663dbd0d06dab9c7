"""Bytes that wait on disk until they are needed, so that a large job does not fill the memory.

Takes bytes; gives a handle for each. They are in one file without a name, which the system removes when the
store is closed or the program ends. Any thread may ask: what is sent to another process is read by one.
"""

import threading
from typing import IO

from msgspec import Struct

from tagmaker.files.write import scratch_file

__all__ = ["Waiting", "WaitingRoom"]


class WaitingRoom:
    """The file in which they wait; to be closed."""

    def __init__(self) -> None:
        self.file: IO[bytes] = scratch_file()
        self.end = 0
        self.is_at_end = True
        self.lock = threading.Lock()

    def put(self, content: bytes) -> "Waiting":
        """Have these bytes wait."""
        with self.lock:
            if not self.is_at_end:
                self.file.seek(self.end)
                self.is_at_end = True
            self.file.write(content)
            start, self.end = self.end, self.end + len(content)
        return Waiting(self, start, len(content))

    def taken(self, start: int, length: int) -> bytes:
        """The bytes at a place of the file."""
        with self.lock:
            self.is_at_end = False
            self.file.seek(start)
            return self.file.read(length)

    def close(self) -> None:
        """Nothing that waits can be read afterwards."""
        self.file.close()


class Waiting(Struct, frozen=True):
    """Bytes that wait: `bytes(waiting)` reads them; pickled, they are bytes again."""

    room: WaitingRoom
    start: int
    length: int

    def __bytes__(self) -> bytes:
        return self.room.taken(self.start, self.length)

    def __reduce__(self) -> tuple[type[bytes], tuple[bytes]]:
        return bytes, (bytes(self),)

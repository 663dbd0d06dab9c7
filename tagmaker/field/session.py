"""A scanning session kept in a file: each line is on disk before it is answered, so that none is lost."""

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

__all__ = ["keeping", "kept_lines"]


def kept_lines(path: Path) -> list[str]:
    """The lines of a session so far; none where the file is new."""
    try:
        return path.read_text(encoding="utf-8", errors="replace").splitlines()
    except FileNotFoundError:
        return []


def keeping(lines: Iterable[str], path: Path) -> Iterator[str]:
    """The lines, each written to the session's file and on disk before it is handed on."""
    with path.open("a", encoding="utf-8") as file:
        for line in lines:
            file.write(line.rstrip("\r\n") + "\n")
            file.flush()
            os.fsync(file.fileno())
            yield line

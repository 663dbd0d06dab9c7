"""A scanning session kept in a file: each line is on disk before it is answered, so that none is lost."""

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from tagmaker.problems import Problem, Where, error

__all__ = ["keeping", "kept_lines", "refused"]


def refused(path: Path) -> Problem | None:
    """Why a session cannot be kept there; None where it can."""
    try:
        path.open("ab").close()
    except OSError as reason:
        message = f"cannot keep the session in {path}: {reason.strerror or reason}"
        return error("output-blocked", message, Where(str(path)), "name a file in a folder that is there")
    return None


def kept_lines(path: Path) -> list[str]:
    """The lines of a session so far; none where the file is new."""
    try:
        *lines, rest = path.read_bytes().decode("utf-8", errors="replace").split("\n")
    except FileNotFoundError:
        return []
    return [*lines, rest] if rest else lines


def keeping(lines: Iterable[str], path: Path) -> Iterator[str]:
    """The lines, each written to the session's file and on disk before it is handed on."""
    with path.open("a", encoding="utf-8") as file:
        for line in lines:
            file.write(line.rstrip("\r\n") + "\n")
            file.flush()
            os.fsync(file.fileno())
            yield line

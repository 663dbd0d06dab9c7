"""A scanning session kept in a file: each line is on disk before it is answered, so that none is lost."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from tagmaker.files.plain import is_plain_file, is_there, read_plain
from tagmaker.files.write import appending, head_for_appending
from tagmaker.problems import Problem, Where, error
from tagmaker.site.scans.sources import FILE_BYTES_AT_MOST, HEAD_BYTES, holds_no_text

__all__ = ["keeping", "kept_lines", "refused"]

END = "\r\n"


def refused(path: Path) -> Problem | None:
    """Why a session cannot be kept there; None where it can."""
    try:
        if is_there(path) and not is_plain_file(path):
            message = f"cannot keep the session in {path}: it is no plain file"
            return error("output-blocked", message, Where(str(path)), "name a new file, or a session's")
        if holds_no_text(head_for_appending(path, HEAD_BYTES)):
            message = f"cannot keep the session in {path}: it is another kind of file"
            return error("output-blocked", message, Where(str(path)), "name a new file, or a session's")
    except OSError as reason:
        message = f"cannot keep the session in {path}: {reason.strerror or reason}"
        return error("output-blocked", message, Where(str(path)), "name a file in a folder that is there")
    return None


def kept_lines(path: Path) -> list[str]:
    """The lines of a session so far; none where the file is new."""
    try:
        *lines, rest = read_plain(path, FILE_BYTES_AT_MOST).decode("utf-8", errors="replace").split("\n")
    except FileNotFoundError:
        return []
    return [*lines, rest] if rest else lines


def keeping(lines: Iterable[str], path: Path) -> Iterator[str]:
    """The lines, each written to the session's file and on disk before it is handed on."""
    with appending(path) as add:
        for line in lines:
            add(line.rstrip(END).encode(errors="replace"))
            yield line

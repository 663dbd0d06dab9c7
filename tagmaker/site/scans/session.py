"""A scanning session kept in a file: each line is on disk before it is answered.

A scan that was answered is thus never lost, even if the machine stops. A session is continued in the same
file; a file of another kind is refused and never written to.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path

from tagmaker.files.plain import is_plain_file, is_there, read_plain
from tagmaker.files.write import appending, head_for_appending
from tagmaker.problems import Problem, Where, error
from tagmaker.site.scans.kinds import HEAD_BYTES, file_kind
from tagmaker.site.scans.sources import FILE_BYTES_AT_MOST

__all__ = ["CUT", "keep", "keeping", "kept_lines", "refused"]

END = "\r\n"
OTHERS = {".csv", ".html", ".json", ".md", ".svg", ".toml", ".tsv"}
"""Endings of files that hold lines and are no sessions."""
SPACE = b"\xef\xbb\xbf \t\r\n"
CUT = " (cut off: scan it again)"
"""After a line that was not written whole: what is left of a code may be another one, and it may have been a
terminal's. With this mark it is an unknown code, which counts for nothing and closes the open terminal."""


def refused(path: Path) -> Problem | None:
    """Why a session cannot be kept there; None where it can. A new file is created by that.

    A job's file, a table and what a phone exported are lines too: codes at their end would spoil them.
    """
    try:
        if is_there(path) and not is_plain_file(path):
            message = f"cannot keep the session in {path}: it is not a regular file"
            return error(
                "output-blocked",
                message,
                Where(path.as_posix()),
                "name a new file, or an earlier session file",
            )
        head = b"{" if path.suffix.lower() in OTHERS else head_for_appending(path, HEAD_BYTES)
        if file_kind(head, "") != "lines" or head.lstrip(SPACE).startswith(b"{"):
            message = f"cannot keep the session in {path}: it is not a session file"
            return error(
                "output-blocked",
                message,
                Where(path.as_posix()),
                "name a new file, or an earlier session file",
            )
    except OSError as reason:
        message = f"cannot keep the session in {path}: {reason.strerror or reason}"
        return error("output-blocked", message, Where(path.as_posix()), "name a file in an existing folder")
    return None


def kept_lines(path: Path) -> list[str]:
    """The lines of a session so far; none where the file is new. Bytes that are no UTF-8 are replaced.

    A last line without an end was not answered before the program or the machine stopped, see `CUT`.
    """
    try:
        *lines, rest = read_plain(path, FILE_BYTES_AT_MOST).decode("utf-8", errors="replace").split("\n")
    except FileNotFoundError:
        return []
    return [*lines, rest + CUT] if rest else lines


def keeping(lines: Iterable[str], path: Path) -> Iterator[str]:
    """The lines, each written to the session's file and on disk before it is handed on."""
    with appending(path, CUT.encode()) as add:
        for line in lines:
            add(line.rstrip(END).encode(errors="replace"))
            yield line


def keep(lines: Iterable[str], path: Path) -> None:
    """Lines that belong together, on disk when this returns: written at once, a disk is waited for once."""
    with appending(path, CUT.encode()) as add:
        add("\n".join(line.rstrip(END) for line in lines).encode(errors="replace"))

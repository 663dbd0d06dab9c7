"""Why a file or folder cannot be written: one wording of each reason, and the exception that carries it."""

import errno
from collections.abc import Mapping
from pathlib import Path

from tagmaker.files.system import is_device
from tagmaker.problems import Problem, Where, error

__all__ = ["OutputRefused", "cannot_write", "named_as_device", "no_pdf"]

HINTS: Mapping[int, str] = {
    errno.ENOENT: "make the folder first, or name another place",
    errno.ENOTDIR: "move the file away that has the name of its folder, or name another place",
    errno.EEXIST: "move that file away, or name another place",
    errno.EACCES: "name a place that you may write to",
    errno.EPERM: "name a place that you may write to",
    errno.EROFS: "name a place that you may write to",
    errno.ENOSPC: "make room on the disk, or name another place",
}
"""What to do, by the system's reason, where the caller has no better hint."""


class OutputRefused(Exception):
    """The place of an output cannot be written or is in use; carries the problem to report."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


def cannot_write(path: Path, reason: OSError, hint: str = "") -> Problem:
    """The system's own reason as a problem."""
    message = f"cannot write {path}: {reason.strerror or reason}"
    return error("output-blocked", message, Where(path.as_posix()), hint or HINTS.get(reason.errno or 0, ""))


def no_pdf(path: Path) -> Problem | None:
    """Refuse a name for a PDF that viewers would take for another kind of file."""
    if path.suffix.lower() == ".pdf":
        return None
    message = f"{path}: the file is a PDF, and its name must end in .pdf"
    return error("output-blocked", message, Where(path.as_posix()), "change its ending")


def named_as_device(path: Path) -> Problem | None:
    """Refuse a new file or folder that some systems take for a device, there or once it is copied there."""
    if not is_device(path.name):
        return None
    message = f"{path.name!r} is the name of a device on some systems, and no name of a file or folder"
    return error("output-blocked", message, Where(path.as_posix()), "choose another name")

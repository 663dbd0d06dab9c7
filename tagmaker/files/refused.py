"""Why a file or folder cannot be written: one wording of each reason, and the exception that carries it."""

from pathlib import Path

from tagmaker.problems import Problem, Where, error

__all__ = ["OutputRefused", "cannot_write"]


class OutputRefused(Exception):
    """The place of an output cannot be written or is in use; carries the problem to report."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


def cannot_write(path: Path, reason: OSError, hint: str = "") -> Problem:
    """The system's own reason as a problem."""
    message = f"cannot write {path}: {reason.strerror or reason}"
    return error("output-blocked", message, Where(str(path)), hint)

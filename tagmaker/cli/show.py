"""What several commands show in a terminal: styles, the progress bar, problems, counted nouns."""

import os
import sys
from collections.abc import Iterable
from types import TracebackType
from typing import Self

from tagmaker.problems import Problem, Severity

__all__ = ["BOLD", "Bar", "count", "problem_lines", "styled", "tally"]

BOLD, RED, YELLOW, PLAIN = "\x1b[1m", "\x1b[31m", "\x1b[33m", "\x1b[0m"
"""The styles in use (ECMA-48); `options.STYLE` lets exactly these through to the terminal."""
LONG_JOB = 12  # boxes from which a run takes long enough for a bar
BAR_WIDTH = 30


class Bar:
    """A progress bar on standard error, where that is a terminal and the job is long; a context manager."""

    def __init__(self) -> None:
        self.shown = False

    def __enter__(self) -> Self:
        return self

    def move(self, done: int, of: int) -> None:
        """Show that `done` boxes of `of` are laid out."""
        if of < LONG_JOB or not sys.stderr.isatty():
            return
        filled = BAR_WIDTH * done // of
        sys.stderr.write(f"\r{'#' * filled}{'.' * (BAR_WIDTH - filled)} {done} of {of} boxes")
        sys.stderr.flush()
        self.shown = True

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, at: TracebackType | None
    ) -> None:
        if self.shown:
            sys.stderr.write("\r\x1b[K")  # back to the line's start, and erase to its end


def styled(text: str, style: str, stream: object) -> str:
    """A text in a style, where the stream is a terminal and NO_COLOR is not set (no-color.org)."""
    is_coloured = bool(getattr(stream, "isatty", bool)()) and not os.environ.get("NO_COLOR")
    return f"{style}{text}{PLAIN}" if is_coloured else text


def problem_lines(problems: Iterable[Problem]) -> list[str]:
    """A text for each problem, its hint below it; the severity coloured on a terminal's standard error."""
    styles = {Severity.ERROR: RED, Severity.WARNING: YELLOW, Severity.NOTE: BOLD}
    lines: list[str] = []
    for problem in problems:
        word = f"{problem.severity}:"
        lines.append(problem.as_text().replace(word, styled(word, styles[problem.severity], sys.stderr), 1))
    return lines


def count(number: int, one: str, many: str = "") -> str:
    """A number with its noun: "1 box", "2 boxes"; without `many` the plural takes an s."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def tally(problems: Iterable[Problem]) -> str:
    """How many errors, warnings and notes there are, in one text."""
    found = [problem.severity for problem in problems]
    return ", ".join(count(found.count(severity), str(severity)) for severity in Severity)

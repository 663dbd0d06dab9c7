"""Lines on standard output and standard error, and what happens where they cannot be printed.

A reader that closes the pipe early (`| head`) is not an error. Anything else that keeps a result from being
printed (a full disk) is reported, and the exit code is 3 where it would be 0: what was written stays written.
"""

import codecs
import contextlib
import os
import re
import sys
from collections.abc import Iterable, Iterator
from types import TracebackType
from typing import TextIO

import typer

__all__ = ["NOT_PRINTED", "SPELT_OUT", "NotPrinted", "print_lines", "printing", "report_not_printed", "shown"]

STYLE = re.compile("(\x1b\\[(?:0|1|31|33)m)")  # those of cli/show.py
NOT_PRINTED = 3
"""Exit code of a command that was done, and whose result could not be printed."""

SPELT_OUT = "spelt-out"
"""How a stream treats characters that its encoding lacks."""
PLAIN = {"■": "#", "·": ".", "█": "#", "░": ".", "–": "-", "×": "x", "→": ">", "≤": "<=", "≥": ">="}


class NotPrinted(Exception):
    """A stream takes no more; carries the system's reason."""


def shown(line: str) -> str:
    """A line that is safe to print: every control character spelt out but those of the program's styles."""
    from tagmaker.problems import visible  # here: the program's help has no line of anybody's

    return "".join(part if STYLE.fullmatch(part) else visible(part) for part in STYLE.split(line))


def _spelt_out(reason: UnicodeError) -> tuple[str, int]:
    """A plain sign that looks alike for each character, or its code."""
    if not isinstance(reason, UnicodeEncodeError):
        raise reason
    lacked = reason.object[reason.start : reason.end]
    return "".join(PLAIN.get(each) or ascii(each)[1:-1] for each in lacked), reason.end


codecs.register_error(SPELT_OUT, _spelt_out)


def print_lines(lines: Iterable[str], *, err: bool = False) -> None:
    """Print lines as `shown` makes them safe, to standard output or standard error; raises NotPrinted.

    Where the reader closed the pipe the rest goes nowhere, and the exit code stays the command's.
    """
    try:
        for line in lines:
            typer.echo(shown(line), err=err)
    except BrokenPipeError:
        _to_nowhere(sys.stderr if err else sys.stdout)
    except OSError as reason:
        _to_nowhere(sys.stderr if err else sys.stdout)
        raise NotPrinted(reason.strerror or str(reason)) from reason


def report_not_printed(reason: Exception, *, is_done: bool = False) -> None:
    """One line on standard error, where that takes one; `is_done` where the command did what was asked."""
    line = f"the result could not be printed: {reason}"
    line = f"the command was done, but {line}" if is_done else line
    with contextlib.suppress(NotPrinted):
        print_lines([line], err=True)


@contextlib.contextmanager
def printing() -> Iterator[None]:
    """Run the program; a stream that fails outside a command's own lines (its help) is reported too."""
    try:
        yield
    except NotPrinted as reason:
        report_not_printed(reason)
        sys.exit(NOT_PRINTED)
    except OSError as reason:
        if not _is_typers(reason.__traceback__):
            raise
        _to_nowhere(sys.stdout)
        report_not_printed(NotPrinted(reason.strerror))
        sys.exit(NOT_PRINTED)


def _is_typers(at: TracebackType | None) -> bool:
    """Whether an error comes out of typer's own code: that touches no file, it only prints."""
    name = ""
    while at is not None:
        name, at = at.tb_frame.f_globals.get("__name__", ""), at.tb_next
    return name.split(".")[0] == "typer"


def _to_nowhere(stream: TextIO | None) -> None:
    """Give a stream the null device, so that Python's own flush at exit does not fail."""
    if stream is not None:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)

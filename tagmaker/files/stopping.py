"""A run that is stopped from outside (Ctrl-C, a signal to end, a closed terminal) leaves nothing half done.

The handler ends the process itself: an exception that Python raises between any two steps is lost in a
finalizer, or leaves a traceback. Whatever must be undone first is registered here while it is needed.
"""

import contextlib
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from types import FrameType

__all__ = ["SIGNALS", "all_is_done", "held", "interrupt_raises", "stop_cleanly", "undone_if_stopped"]

Undo = Callable[[], str]
"""Undoes what a stopped run would leave; gives what is to be printed of it, or an empty text."""
NAMES = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
SIGNALS = tuple(getattr(signal, name) for name in NAMES if hasattr(signal, name))
EXIT_BASE = 128  # a process ended by signal 2 has the exit code 130, as shells give it

_undos: list[Undo] = []  # of this process, as its signal handlers are: the last is undone first
_holds: list[None] = []  # what is held where the system has no signal masks
_waiting: list[int] = []  # signals that came meanwhile


def stop_cleanly() -> None:
    """From now on a signal to end undoes what is registered, prints a line and exits with 128 + its number.

    A signal that was ignored when the program was started (`nohup`) stays ignored.
    """
    for number in SIGNALS:
        if signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _handler_of(os.getpid()))


def all_is_done() -> None:
    """Ignore signals to end from now on: nothing is left to stop, and the exit code is that of the work.

    Python puts the system's own handlers back while it ends: a signal then would kill a run that was done.
    """
    for number in SIGNALS:
        signal.signal(number, signal.SIG_IGN)


def _handler_of(process: int) -> Callable[[int, FrameType | None], None]:
    """The handler; a forked process ends without a word and leaves its parent's things alone."""

    def handler(number: int, _frame: FrameType | None) -> None:
        if _holds:
            _waiting.append(number)
            return
        if os.getpid() == process:
            for each in SIGNALS:
                signal.signal(each, signal.SIG_IGN)  # a second one must not disturb the undoing
            _print(["interrupted", *filter(None, (_undone(undo) for undo in reversed(_undos)))])
        os._exit(EXIT_BASE + number)

    return handler


def _undone(undo: Undo) -> str:
    """What one undoing gives; one that fails must not keep the others from their turn."""
    try:
        return undo()
    except OSError:
        return ""


def _print(parts: list[str]) -> None:
    """One line on standard error, past Python's buffers, which may be in use at this moment."""
    line = ": ".join(parts).encode("ascii", "backslashreplace")
    with contextlib.suppress(OSError, ValueError, AttributeError):
        is_terminal = sys.stderr.isatty()  # where "^C" or a progress bar is on the line already
        os.write(sys.stderr.fileno(), (b"\n" if is_terminal else b"") + line + b"\n")


@contextlib.contextmanager
def held() -> Iterator[None]:
    """Signals to end wait until this is over: for steps of which all or none must be done."""
    if not hasattr(signal, "pthread_sigmask"):  # a system without signal masks: the handler waits
        _holds.append(None)
        try:
            yield
        finally:
            _holds.pop()
            while _waiting and not _holds:
                signal.raise_signal(_waiting.pop())
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, SIGNALS)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextlib.contextmanager
def interrupt_raises() -> Iterator[None]:
    """While this lasts Ctrl-C raises KeyboardInterrupt: for lines that a person ends so."""
    before = signal.getsignal(signal.SIGINT)
    if before is signal.SIG_IGN or threading.current_thread() is not threading.main_thread():
        yield
        return
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


@contextlib.contextmanager
def undone_if_stopped(undo: Undo) -> Iterator[None]:
    """While this lasts, a run that is stopped calls `undo`, which does no harm at any moment."""
    _undos.append(undo)
    try:
        yield
    finally:
        _undos.remove(undo)

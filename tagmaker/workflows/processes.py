"""Processes of their own that call functions.

Takes how many to start in which way, functions and items; gives the results. What no process gave is done by
whoever asks for it.
"""

import atexit
import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from multiprocessing.connection import wait
from typing import Any, TypeVar

from tagmaker.files.stopping import SIGNALS

__all__ = ["Processes", "begun", "can_fork", "may_begin"]

Item = TypeVar("Item")
Result = TypeVar("Result")
_given: list[Callable[[Any], Any]] = []  # the function of this process, where it is one of these


def can_fork() -> bool:
    """Whether the system copies processes."""
    return "fork" in multiprocessing.get_all_start_methods()


def may_begin() -> bool:
    """Whether this process may begin others: one that is such a process itself may not."""
    return not multiprocessing.current_process().daemon


class Processes:
    """Processes that have one function from their start; others go to them with their items."""

    def __init__(self, function: Callable[[Any], Any], pool: ProcessPoolExecutor) -> None:
        self._function, self._pool = function, pool

    def begin(self, function: Callable[[Item], Result], item: Item) -> Callable[[], Result]:
        """Have one of them call the function; what gives its result, or calls it here where none gave one."""
        try:
            future = self._pool.submit(_call, None if function is self._function else function, item)
        except BrokenProcessPool:
            return partial(function, item)
        return partial(_result, future, function, item)

    def end(self) -> None:
        """End them; what nobody waits for is not begun."""
        self._pool.shutdown(cancel_futures=True)


def begun(function: Callable[[Any], Any], count: int, method: str) -> Processes | None:
    """So many processes that know the function; None where the system cannot have any."""
    try:
        pool = ProcessPoolExecutor(count, multiprocessing.get_context(method), _begin, (function,))
    except (ImportError, NotImplementedError, OSError):  # no semaphores, or not enough of them
        return None
    return Processes(function, pool)


def _result(future: Future[Result], function: Callable[[Item], Result], item: Item) -> Result:
    return function(item) if future.exception() else future.result()


def _begin(function: Callable[[Any], Any]) -> None:
    """In a new process: keep the function, leave signals to the parent, and end when the parent does."""
    gc.disable()  # as a command does: a run keeps what it makes
    atexit.register(gc.freeze)  # nor is anything collected at exit, which took 0.2 s
    for number in SIGNALS:
        signal.signal(number, signal.SIG_DFL if number == signal.SIGTERM else signal.SIG_IGN)
    _given[:] = [function]
    parent = multiprocessing.parent_process()
    if parent:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(parent: Any) -> None:
    """Wait for the end of the parent: a run that was stopped or killed takes no results."""
    wait([parent])
    os._exit(1)


def _call(function: Callable[[Any], Any] | None, item: Any) -> Any:
    """In a new process: the function of an item, by default the one that it has."""
    return (function or _given[0])(item)

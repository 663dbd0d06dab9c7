"""Processes of their own that call one function, and give its results in the order of its items.

Takes the function, its items and how many processes to start in which way; gives the results as far as the
processes have them: what was taken and not done is left to the caller.
"""

import gc
import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.connection import wait
from typing import Any, TypeVar

from tagmaker.files.stopping import SIGNALS

__all__ = ["can_fork", "in_processes", "may_begin"]

Item = TypeVar("Item")
Result = TypeVar("Result")
_given: list[Callable[[Any], Any]] = []  # the function of this process, where it is one of these


def can_fork() -> bool:
    """Whether the system copies processes."""
    return "fork" in multiprocessing.get_all_start_methods()


def may_begin() -> bool:
    """Whether this process may begin others: one that is such a process itself may not."""
    return not multiprocessing.current_process().daemon


def in_processes(
    function: Callable[[Item], Result],
    items: Iterator[Item],
    left: deque[Item],
    how: tuple[int, str],
) -> Iterator[Result]:
    """Results as far as processes give them; items that were taken and not done are in `left` then.

    `how` says how many processes, and how they are started.
    """
    pool = _pool(function, *how)
    if pool is None:
        return
    waiting: deque[Future[Result]] = deque()
    try:
        for item in items:
            left.append(item)
            waiting.append(pool.submit(_call, item))
    except BrokenProcessPool:
        pass
    try:
        while waiting and waiting[0].exception() is None:
            left.popleft()
            yield waiting.popleft().result()
    finally:
        pool.shutdown(cancel_futures=True)


def _pool(function: Callable[[Any], Any], count: int, method: str) -> ProcessPoolExecutor | None:
    """Processes that know the function; None where the system cannot have any."""
    try:
        return ProcessPoolExecutor(count, multiprocessing.get_context(method), _begin, (function,))
    except (ImportError, NotImplementedError, OSError):  # no semaphores, or not enough of them
        return None


def _begin(function: Callable[[Any], Any]) -> None:
    """In a new process: keep the function, leave signals to the parent, and end when the parent does."""
    gc.disable()  # as a command does: a run keeps what it makes
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


def _call(item: Any) -> Any:
    """In a new process: the function of an item."""
    return _given[0](item)

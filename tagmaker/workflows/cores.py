"""The same work on as many cores as there are, or on one: the same results, in the same order.

Takes a function and its items; gives its results. Where it pays, processes of their own call the function.
They are forked where the system forks and no thread runs beside, else started anew. What no process gave,
whatever became of it, is done here.
"""

import gc
import itertools
import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from multiprocessing.connection import wait
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from tagmaker.files.stopping import SIGNALS

if TYPE_CHECKING:
    from concurrent.futures import Future, ProcessPoolExecutor

__all__ = ["cores", "on_cores", "start_method"]

Item = TypeVar("Item")
Result = TypeVar("Result")
Method = Literal["fork", "spawn"]
PAYS: dict[Method, float] = {"fork": 0.3, "spawn": 2.0}
"""Seconds of work from which processes pay: one that is started anew loads the program first."""
_given: list[Callable[[Any], Any]] = []  # the function of this process, where it is one of these


def cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def start_method() -> Method:
    """How processes are started: a fork beside threads may copy a lock that nobody gives back there."""
    can_fork = "fork" in multiprocessing.get_all_start_methods()
    return "fork" if can_fork and threading.active_count() == 1 else "spawn"


def on_cores(function: Callable[[Item], Result], items: Iterable[Item], seconds: float) -> Iterator[Result]:
    """The function's results for the items, in order; `seconds` is about what they take on one core.

    The function and its items are pickled where processes are started anew. Before a fork the first item is
    done here: what it loads and remembers all processes have then.
    """
    items = iter(items)
    left: deque[Item] = deque()
    method = start_method()
    if cores() > 1 and seconds >= PAYS[method] and not multiprocessing.current_process().daemon:
        if method == "fork":
            yield from map(function, itertools.islice(items, 1))
        yield from _in_processes(function, items, left)
    while left:
        yield function(left.popleft())
    yield from map(function, items)


def _in_processes(
    function: Callable[[Item], Result], items: Iterator[Item], left: deque[Item]
) -> Iterator[Result]:
    """Results as far as processes give them; items that were taken and not done are in `left` then."""
    from concurrent.futures.process import BrokenProcessPool  # noqa: PLC0415 — heavy, for large jobs only

    pool = _pool(function)
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


def _pool(function: Callable[[Any], Any]) -> "ProcessPoolExecutor | None":
    """Processes that know the function; None where the system cannot have any."""
    from concurrent.futures import ProcessPoolExecutor  # noqa: PLC0415 — heavy, for large jobs only

    context = multiprocessing.get_context(start_method())
    try:
        return ProcessPoolExecutor(cores(), context, _begin, (function,))
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

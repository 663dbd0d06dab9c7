"""The same work on as many cores as there are, or on one: the same results, in the same order.

Takes a function and its items; gives its results. Where it pays, processes of their own call the function.
They are forked where the system forks, no thread runs beside and the work is not long, else started anew.
What no process gave, whatever became of it, is done here.
"""

import itertools
import os
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from typing import Literal, TypeVar

__all__ = ["cores", "on_cores", "start_method"]

Item = TypeVar("Item")
Result = TypeVar("Result")
Method = Literal["fork", "spawn"]
PAYS: dict[Method, float] = {"fork": 0.3, "spawn": 2.0}
"""Seconds of work from which processes pay: one that is started anew loads the program first."""
ANEW = 20.0
"""Seconds of work from which no process is forked: it would begin with all that this one holds by then."""


def cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def start_method() -> Method:
    """How processes are started: a fork beside threads may copy a lock that nobody gives back there."""
    from tagmaker.workflows.processes import can_fork  # noqa: PLC0415 — 2 % of a small job, which has one

    return "fork" if can_fork() and threading.active_count() == 1 else "spawn"


def on_cores(function: Callable[[Item], Result], items: Iterable[Item], seconds: float) -> Iterator[Result]:
    """The function's results for the items, in order; `seconds` is about what they take on one core.

    The function and its items are pickled where processes are started anew. Before a fork the first item is
    done here: what it loads and remembers all processes have then.
    """
    items = iter(items)
    left: deque[Item] = deque()
    if cores() > 1 and seconds >= min(PAYS.values()) and seconds >= PAYS[method := start_method()]:
        from tagmaker.workflows.processes import in_processes, may_begin  # noqa: PLC0415 — as above

        if may_begin():
            method = "spawn" if seconds >= ANEW else method
            if method == "fork":
                yield from map(function, itertools.islice(items, 1))
            yield from in_processes(function, items, left, (cores(), method))
    while left:
        yield function(left.popleft())
    yield from map(function, items)

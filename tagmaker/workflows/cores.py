"""The same work on as many cores as there are, or on one: the same results, in the same order.

Takes functions and their items; gives their results. Where it pays, processes of their own call the
functions. They are forked where the system forks, no thread runs beside and the work is not long, else
started anew. What no process gave, whatever became of it, is done here.
"""

import itertools
import os
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Any, Literal, Self, TypeVar

if TYPE_CHECKING:
    from tagmaker.workflows.processes import Processes

__all__ = ["Workers", "cores", "on_cores", "start_method"]

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
    """The function's results for the items, in order, by processes that end then; as `Workers.each`."""
    with Workers() as workers:
        yield from workers.each(function, items, seconds)


class Workers:
    """Processes that share one work after the other, until its `with` ends; none until a work pays for them.

    Functions and items are pickled, but the function that processes begin with is sent to each of them once:
    it may hold a whole job.
    """

    def __init__(self) -> None:
        self.processes: Processes | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.processes:
            self.processes.end()

    def each(
        self, function: Callable[[Item], Result], items: Iterable[Item], seconds: float
    ) -> Iterator[Result]:
        """The function's results for the items, in order; `seconds` is about what they take on one core.

        Before a fork the first item is done here: what it loads and remembers all processes have then.
        """
        items = iter(items)
        method = None if self.processes else _method(seconds)
        if method == "fork":
            yield from map(function, itertools.islice(items, 1))
        processes = self._processes(function, method)
        if processes is None:
            yield from map(function, items)
            return
        results = deque(processes.begin(function, item) for item in items)
        while results:
            yield results.popleft()()

    def begin(
        self, function: Callable[[Item], Result], item: Item, seconds: float
    ) -> Callable[[], Result] | None:
        """Have an item done meanwhile; what gives its result. None where processes do not pay."""
        processes = self._processes(function, _method(seconds))
        return processes.begin(function, item) if processes else None

    def _processes(self, function: Callable[[Any], Any], method: Method | None) -> "Processes | None":
        """The processes, which begin now in the given way where there are none."""
        if self.processes is None and method:
            from tagmaker.workflows.processes import begun  # noqa: PLC0415 — as above

            self.processes = begun(function, cores(), method)
        return self.processes


def _method(seconds: float) -> Method | None:
    """How processes are started for work of so many seconds; None where they do not pay."""
    if cores() == 1 or seconds < min(PAYS.values()) or seconds < PAYS[method := start_method()]:
        return None
    from tagmaker.workflows.processes import may_begin  # noqa: PLC0415 — as above

    if not may_begin():
        return None
    return "spawn" if seconds >= ANEW else method

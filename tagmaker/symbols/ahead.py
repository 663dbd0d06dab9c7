"""Several pictures at once: work on the next ones goes on while the first one's result is used.

Takes items and what is to be done with each; gives the results in the items' order, the same as one after the
other would give. Opener and reader of pictures let other threads run. Of pictures a few are held at a time.
"""

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from concurrent.futures import Future

__all__ = ["ahead"]

Item = TypeVar("Item")  # Python 3.11 has no other way to write it
Result = TypeVar("Result")
THREADS_AT_MOST = 4
"""Each holds a photo of up to 110 MB."""


def ahead(work: Callable[[Item], Result], items: Sequence[Item]) -> Iterator[Result]:
    """Each item's result; an exception of the work comes where its result would."""
    threads = min(THREADS_AT_MOST, os.cpu_count() or 1, len(items))
    if threads < 2:
        yield from map(work, items)
        return
    from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415 — needed for several pictures only

    with ThreadPoolExecutor(threads) as pool:
        yield from _in_order((pool.submit(work, item) for item in items), threads)


def _in_order(begun: "Iterable[Future[Result]]", held: int) -> Iterator[Result]:
    """The results of what is begun, so many of it before the first is waited for."""
    waiting: deque[Future[Result]] = deque()
    for each in begun:
        waiting.append(each)
        if len(waiting) > held:
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()

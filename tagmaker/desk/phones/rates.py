"""How often somebody may ask: so many requests at once, and so many a second after that.

A bucket a name (a phone, an address); those that were not used for longest are forgotten, so that names
cannot use up memory.
"""

import threading
import time
from collections import OrderedDict
from collections.abc import Callable

__all__ = ["Rates"]

NAMES_AT_MOST = 2_000


class Rates:
    """`at_once` requests are free, then `a_second`; from any thread."""

    def __init__(self, at_once: float, a_second: float, clock: Callable[[], float] = time.monotonic) -> None:
        self.at_once, self.a_second, self.clock = at_once, a_second, clock
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()
        self._lock = threading.Lock()

    def is_over(self, name: str) -> bool:
        """Whether a name has none left now; takes nothing."""
        with self._lock:
            return self._now(name) < 1

    def take(self, name: str) -> bool:
        """Take one; False where none is left."""
        with self._lock:
            left = self._now(name)
            is_left = left >= 1
            self._left[name] = (left - 1 if is_left else left, self.clock())
            self._left.move_to_end(name)
            while len(self._left) > NAMES_AT_MOST:
                self._left.popitem(last=False)
            return is_left

    def _now(self, name: str) -> float:
        left, at = self._left.get(name, (self.at_once, self.clock()))
        return min(self.at_once, left + (self.clock() - at) * self.a_second)

"""Photos that phones send, read a few at a time and in turn: nobody waits for another person's stack of them.

Threads that do nothing else read them, since the reader and the opener of pictures let other threads run; as
many threads as ask would each keep the memory of a picture. All but `close` is called in the server's loop.
"""

import asyncio
import os
from collections import Counter
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor

from tagmaker.workflows.check_tags import codes_in

__all__ = ["PhotoReaders"]

WAITING_AT_MOST = 60
"""Photos that are received or wait to be read: each has its bytes in memory."""
OF_A_PHONE = 4


class PhotoReaders:
    """The readers of a door's photos."""

    def __init__(
        self, read: Callable[[bytes], tuple[str, ...] | None] = codes_in, threads: int | None = None
    ) -> None:
        self._read = read
        self._threads = ThreadPoolExecutor(threads or os.cpu_count() or 1)
        self._waiting: Counter[str] = Counter()
        self._turns: dict[str, asyncio.Lock] = {}

    def has_room(self, phone: str) -> bool:
        """Whether one more photo of a phone may be received."""
        return self._waiting.total() < WAITING_AT_MOST and self._waiting[phone] < OF_A_PHONE

    async def codes(self, phone: str, receiving: Awaitable[bytes]) -> tuple[str, ...] | None:
        """The codes of a phone's photo, None for what is no photo; of each phone one is read at a time."""
        self._waiting[phone] += 1
        try:
            photo = await receiving
            async with self._turns.setdefault(phone, asyncio.Lock()):
                return await asyncio.get_running_loop().run_in_executor(self._threads, self._read, photo)
        finally:
            self._waiting[phone] -= 1
            if not self._waiting[phone]:
                del self._waiting[phone]
                self._turns.pop(phone, None)

    def close(self) -> None:
        """Let what waits go."""
        self._threads.shutdown(cancel_futures=True)

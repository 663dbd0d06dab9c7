"""What happens while a page is open: changed files, progress of works; sent as events (HTML, 9.2).

Sent from any thread, received by every page of the job. A page that does not keep up loses its oldest events
and asks for the present state when it gets the next.
"""

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Any

__all__ = ["Events"]

KEPT = 100  # events that wait for a slow page
BEAT_SECONDS = 15.0  # a line without meaning, by which the browser sees that the desk is there


class Events:
    """The open pages, by the id of their job ("" of none), and a way to send to them."""

    def __init__(self) -> None:
        self.loop: asyncio.AbstractEventLoop | None = None
        self.pages: dict[asyncio.Queue[str], str] = {}
        self.is_over = False

    def watched(self) -> set[str]:
        """The jobs of which a page is open."""
        return set(self.pages.values())

    def send(self, job: str, name: str, data: Any) -> None:
        """Send an event to all pages of a job, from any thread; `data` is anything that JSON can hold."""
        text = f"event: {name}\ndata: {json.dumps(data)}\n\n"
        if self.loop is not None and not self.loop.is_closed():
            self.loop.call_soon_threadsafe(self._put, job, text)

    def end(self) -> None:
        """End every page's stream; called in the loop when the desk ends."""
        self.is_over = True
        for queue in self.pages:
            _put(queue, "")

    def _put(self, job: str, text: str) -> None:
        for queue, of in self.pages.items():
            if of == job:
                _put(queue, text)

    async def stream(self, job: str) -> AsyncIterator[str]:
        """The events of a job as one page receives them, until the desk ends or the page is closed."""
        queue: asyncio.Queue[str] = asyncio.Queue(KEPT)
        self.pages[queue] = job
        try:
            yield "retry: 1000\n\n"
            while not self.is_over:
                try:
                    text = await asyncio.wait_for(queue.get(), BEAT_SECONDS)
                except TimeoutError:
                    text = ": here\n\n"
                if text:
                    yield text
        finally:
            self.pages.pop(queue, None)


def _put(queue: "asyncio.Queue[str]", text: str) -> None:
    if queue.full():
        queue.get_nowait()
    queue.put_nowait(text)

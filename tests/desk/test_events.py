"""Events reach every page of their job, and no other; a slow page loses the oldest; the end ends all."""

import asyncio
import json
from collections.abc import AsyncGenerator
from http.client import HTTPConnection
from pathlib import Path
from typing import Any, cast

from tagmaker.desk import events
from tagmaker.desk.events import Events
from tests.desk.running import RunningDesk


def read(text: str) -> tuple[str, Any]:
    """An event's name and data, as a browser reads them."""
    name, data = text.strip().split("\n")
    return name.removeprefix("event: "), json.loads(data.removeprefix("data: "))


async def opened(own: Events, job: str) -> Any:
    """A page's stream, past its first line."""
    stream = own.stream(job)
    assert (await anext(stream)).startswith("retry: ")
    return stream


def test_a_page_gets_its_own_jobs_events() -> None:
    """From another thread too; a text with line ends is one event."""

    async def run() -> None:
        own = Events()
        own.loop = asyncio.get_running_loop()
        mine, others = await opened(own, "a"), await opened(own, "b")
        waiting = asyncio.ensure_future(anext(mine))
        silent = asyncio.ensure_future(anext(others))
        await asyncio.sleep(0)
        assert own.watched() == {"a", "b"}
        await asyncio.to_thread(own.send, "a", "changed", ["a\nevent: x", 2])
        assert read(await waiting) == ("changed", ["a\nevent: x", 2])
        assert not silent.done()
        own.end()
        silent.cancel()
        await mine.aclose()

    asyncio.run(run())


def test_a_slow_page_loses_the_oldest(monkeypatch: Any) -> None:
    """It never holds up the desk, nor does its queue grow."""
    monkeypatch.setattr(events, "KEPT", 2)

    async def run() -> None:
        own = Events()
        own.loop = asyncio.get_running_loop()
        stream = own.stream("a")
        await anext(stream)
        first = asyncio.ensure_future(anext(stream))
        await asyncio.sleep(0)
        for number in range(5):
            own.send("a", "work", number)
        await asyncio.sleep(0.01)
        got = [read(await first)[1], read(await anext(stream))[1]]
        assert got[-1] == 4
        await cast("AsyncGenerator[str]", stream).aclose()
        assert own.watched() == set()

    asyncio.run(run())


def test_without_a_page_nothing_waits() -> None:
    """An event that nobody receives is gone; one before the server runs is no error."""
    own = Events()
    own.send("a", "changed", [])
    assert own.watched() == set()


def test_a_file_that_changes_before_its_page_listens_is_reported(
    desk: RunningDesk, desk_folder: Path
) -> None:
    """Between the page that was sent and its first look at the events."""
    job = desk.job("clinic")
    assert desk.get(f"{job}/schedule", {"Accept": "text/html"}).status == 200
    (desk_folder / "clinic" / "notes.txt").write_text("later", "utf-8")
    connection = HTTPConnection(desk.key.host, timeout=30)
    connection.request("GET", f"{job}/events", headers={"Cookie": f"{desk.key.cookie}={desk.key.secret}"})
    answer = connection.getresponse()
    lines = [answer.readline().decode().strip() for _ in range(4)]
    connection.close()
    assert lines[2:] == ["event: changed", 'data: ["notes.txt"]']

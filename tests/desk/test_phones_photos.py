"""Photos of many phones: read in turn, never more of them than there is room for."""

import asyncio
import contextlib
import threading
from collections.abc import Iterator

from tagmaker.desk.phones.photos import OF_A_PHONE, WAITING_AT_MOST, PhotoReaders


@contextlib.contextmanager
def readers(order: list[str], gate: threading.Event) -> Iterator[PhotoReaders]:
    """One reader that notes what it reads, and reads nothing before the gate is open."""

    def read(photo: bytes) -> tuple[str, ...]:
        gate.wait(60)
        order.append(photo.decode())
        return (photo.decode(),)

    found = PhotoReaders(read, threads=1)
    try:
        yield found
    finally:
        gate.set()
        found.close()


def sent(photos: PhotoReaders, phone: str, name: str) -> asyncio.Task[tuple[str, ...] | None]:
    """A photo of that phone on its way."""

    async def receive() -> bytes:
        return name.encode()

    return asyncio.create_task(photos.codes(phone, receive()), name=name)


def test_nobody_waits_for_anothers_stack_of_photos() -> None:
    """A phone that sends four, then one of each other phone: these are read before its third."""
    order: list[str] = []
    gate = threading.Event()

    async def many(photos: PhotoReaders) -> list[tuple[str, ...] | None]:
        tasks = [sent(photos, "A", f"A{number}") for number in range(OF_A_PHONE)]
        tasks += [sent(photos, phone, f"{phone}0") for phone in "BCD"]
        await asyncio.sleep(0.05)
        gate.set()
        return await asyncio.gather(*tasks)

    with readers(order, gate) as photos:
        found = asyncio.run(many(photos))
    assert found == [("A0",), ("A1",), ("A2",), ("A3",), ("B0",), ("C0",), ("D0",)]
    assert [each for each in order if each.startswith("A")] == ["A0", "A1", "A2", "A3"]
    assert max(order.index(each) for each in ("B0", "C0", "D0")) < order.index("A2")


def test_there_is_room_for_so_many_of_a_phone_and_of_all() -> None:
    """And again for the next once one was read."""
    gate = threading.Event()

    async def many(photos: PhotoReaders) -> None:
        tasks = [sent(photos, "A", str(number)) for number in range(OF_A_PHONE)]
        await asyncio.sleep(0)
        assert (photos.has_room("A"), photos.has_room("B")) == (False, True)
        tasks += [sent(photos, str(phone), "x") for phone in range(WAITING_AT_MOST - OF_A_PHONE)]
        await asyncio.sleep(0)
        assert not photos.has_room("B")
        gate.set()
        await asyncio.gather(*tasks)
        assert (photos.has_room("A"), photos.has_room("B")) == (True, True)

    with readers([], gate) as photos:
        asyncio.run(many(photos))


def test_a_photo_that_never_arrives_leaves_its_place() -> None:
    """Its phone lost the link."""

    async def lost() -> bytes:
        raise ConnectionError("gone")

    async def one(photos: PhotoReaders) -> bool:
        for _ in range(OF_A_PHONE):
            with contextlib.suppress(ConnectionError):
                await photos.codes("A", lost())
        return photos.has_room("A")

    with readers([], threading.Event()) as photos:
        assert asyncio.run(one(photos))

"""Records that wait as bytes are made again when they are asked for, one at a time."""

from contextlib import closing

import pytest

from tagmaker.draw.marks import Line, Page
from tagmaker.files.packed import Packed, pack, unpack
from tagmaker.files.waiting import WaitingRoom

PAGES = [Page(100.0, float(high), (Line(0, 0, high, high),)) for high in range(4)]


def test_a_record_comes_back_as_it_was() -> None:
    """From memory, and from disk."""
    with closing(WaitingRoom()) as room:
        assert [unpack(put(pack(page))) for put in (bytes, room.put) for page in PAGES] == PAGES * 2


def test_packed_records_are_a_sequence() -> None:
    """As long as what waits; each is made whenever it is asked for, and no other with it."""
    made: list[float] = []

    def noted(page: Page) -> float:
        made.append(page.height)
        return page.height

    packed = Packed([pack(page) for page in PAGES], noted)
    assert (len(packed), bool(packed), bool(Packed([], noted)), made) == (4, True, False, [])
    assert (packed[2], packed[-1], made) == (2.0, 3.0, [2.0, 3.0])
    assert [list(packed), list(packed[1:3])] == [[0.0, 1.0, 2.0, 3.0], [1.0, 2.0]]
    with pytest.raises(IndexError):
        packed[4]

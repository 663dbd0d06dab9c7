"""Bytes that wait on disk come back as they were, in any order, and pickled they are bytes."""

import pickle
from contextlib import closing

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.files.waiting import WaitingRoom


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.binary(max_size=50), st.integers(0, 20)), max_size=20))
def test_what_waits_comes_back_as_it_was(steps: list[tuple[bytes, int]]) -> None:
    """Read between what is put, before and after it, more than once."""
    with closing(WaitingRoom()) as room:
        kept = []
        for content, back in steps:
            kept.append((room.put(content), content))
            waiting, expected = kept[back % len(kept)]
            assert bytes(waiting) == expected
        assert [bytes(waiting) for waiting, _ in kept] == [content for content, _ in steps]


def test_pickled_it_is_bytes() -> None:
    """A room is of one process: what another is sent is the content."""
    with closing(WaitingRoom()) as room:
        sent = pickle.dumps(room.put(b"ink"))
    assert pickle.loads(sent) == b"ink"  # noqa: S301 — written by the test itself


def test_a_closed_room_gives_nothing() -> None:
    """What is asked for too late is a bug, not an empty page."""
    room = WaitingRoom()
    waiting = room.put(b"ink")
    room.close()
    with pytest.raises(ValueError, match="closed"):
        bytes(waiting)

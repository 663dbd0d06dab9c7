"""Rectangles that divide a page."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.typeset.frame import Frame

FRAME = Frame(10, 20, 100, 50)
SHARES = st.lists(st.floats(0.1, 5), min_size=1, max_size=6)


def test_edges() -> None:
    """Right and lower edges follow from corner and size."""
    assert (FRAME.right, FRAME.bottom) == (110, 70)


def test_insets() -> None:
    """One margin on every side, or one across and one down."""
    assert FRAME.inset(2) == Frame(12, 22, 96, 46)
    assert FRAME.inset(2, 5) == Frame(12, 25, 96, 40)


def test_strips() -> None:
    """A strip and the rest make up the frame."""
    assert FRAME.top(15) == (Frame(10, 20, 100, 15), Frame(10, 35, 100, 35))
    assert FRAME.left(30) == (Frame(10, 20, 30, 50), Frame(40, 20, 70, 50))


def test_columns_and_rows() -> None:
    """Strips in proportion, gaps between them."""
    assert FRAME.columns((1, 3), 4) == [Frame(10, 20, 24, 50), Frame(38, 20, 72, 50)]
    assert FRAME.rows((1, 1), 10) == [Frame(10, 20, 100, 20), Frame(10, 50, 100, 20)]


@given(SHARES, st.floats(0, 3))
def test_strips_fill_their_frame(shares: list[float], gap: float) -> None:
    """The last strip ends at the frame's edge; each begins a gap after the one before."""
    for strips, start, size, end in (
        (FRAME.columns(shares, gap), "x", "width", FRAME.right),
        (FRAME.rows(shares, gap), "y", "height", FRAME.bottom),
    ):
        last = strips[-1]
        assert getattr(last, start) + getattr(last, size) == pytest.approx(end)
        for one, two in pairwise(strips):
            assert getattr(two, start) - getattr(one, start) - getattr(one, size) == pytest.approx(gap)

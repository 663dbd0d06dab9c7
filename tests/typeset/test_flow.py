"""Blocks flow down pages: in order, none lost, no page too full, and what belongs together stays so."""

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.typeset.flow import Block, flow
from tagmaker.typeset.frame import Frame

HEIGHT = 100.0
Heights = list[float]


def blocks(heights: Heights) -> list[Block]:
    """Blocks of these heights, each with a way of drawing of its own."""

    def drawer() -> Block:
        def draw(_frame: Frame) -> None:
            pass

        return 0.0, draw

    return [(height, drawer()[1]) for height in heights]


def pages(blocks_: list[Block]) -> list[Heights]:
    """The heights of the blocks on each page."""
    return [[height for height, _ in page] for page in flow(blocks_, HEIGHT)]


HEIGHTS = st.lists(st.integers(1, 100).map(float), max_size=30)


@given(HEIGHTS)
@settings(max_examples=60, deadline=None)
def test_every_block_is_there_once_and_in_order(heights: Heights) -> None:
    """Page after page, the blocks are those that were given."""
    given_ = blocks(heights)
    assert [block for page in flow(given_, HEIGHT) for block in page] == given_


@given(HEIGHTS)
@settings(max_examples=60, deadline=None)
def test_no_page_is_too_full_and_none_begun_too_early(heights: Heights) -> None:
    """A page holds its blocks, and the first of the next page would not have fitted."""
    laid = pages(blocks(heights))
    assert all(sum(page) <= HEIGHT for page in laid)
    assert all(sum(page) + after[0] > HEIGHT for page, after in pairwise(laid))


def test_nothing_is_one_empty_page() -> None:
    """A sheet without blocks is a page all the same."""
    assert pages([]) == [[]]


def test_a_block_higher_than_a_page_stands_alone() -> None:
    """It is not dropped, and does not leave an empty page before it."""
    assert pages(blocks([120.0, 10.0])) == [[120.0], [10.0]]

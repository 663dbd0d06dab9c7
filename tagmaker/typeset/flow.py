"""Blocks of a given height, one below the other, over as many pages as they need.

Takes heights with functions that draw; gives them page by page. Rows under repeated heads are `table`'s.
"""

from collections.abc import Callable

from tagmaker.typeset.frame import Frame

__all__ = ["Block", "Draw", "flow", "together"]

Draw = Callable[[Frame], None]
Block = tuple[float, Draw]
"""A height in mm and what draws it into its frame."""
KEEP = 1000.0  # added to a block's height: it begins a new page unless all that follow fit on this one


def flow(blocks: list[Block], height: float) -> list[list[Block]]:
    """The blocks in pages of that height, in order."""
    pages: list[list[Block]] = [[]]
    left = height
    for number, (marked, draw) in enumerate(blocks):
        tall = marked % KEEP
        need = sum(each % KEEP for each, _ in blocks[number:]) if marked > KEEP else tall
        if need > left and pages[-1]:
            pages.append([])
            left = height
        pages[-1].append((tall, draw))
        left -= tall
    return pages


def together(blocks: list[Block]) -> list[Block]:
    """The same blocks, to be kept on one page where one page holds them."""
    (tall, draw), *rest = blocks
    return [(tall + KEEP, draw), *rest]

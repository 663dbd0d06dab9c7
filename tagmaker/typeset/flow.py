"""Blocks of a given height, one below the other, over as many pages as they need.

Takes heights with functions that draw; gives them page by page. Rows under repeated heads are `table`'s.
"""

from collections.abc import Callable

from tagmaker.typeset.frame import Frame

__all__ = ["Block", "Draw", "flow"]

Draw = Callable[[Frame], None]
Block = tuple[float, Draw]
"""A height in mm and what draws it into its frame."""


def flow(blocks: list[Block], height: float) -> list[list[Block]]:
    """The blocks in pages of that height, in order."""
    pages: list[list[Block]] = [[]]
    left = height
    for tall, draw in blocks:
        if tall > left and pages[-1]:
            pages.append([])
            left = height
        pages[-1].append((tall, draw))
        left -= tall
    return pages

"""How dark each dot of a straightened page is, light and shadow aside: 0 as its paper, 1 as black.

Takes the grey page; gives two pictures of the same size. `lines` compares each dot with the brightest of its
close surroundings, so that the edge of a shadow leaves nothing: it shows strokes of pens and prints, and
loses what is wider than a stroke. `areas` compares it with the paper around, and shows that too.
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tagmaker.site.paper.flatten import DOTS

__all__ = ["Darkness", "darkness"]

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]
STROKE = 2.6  # mm, the widest stroke of a pen
PAPER = 12.0  # mm, in which there is white paper somewhere
BLOCK = 2 * DOTS  # dots: the paper's brightness is kept a block each


class Darkness(Struct, frozen=True):
    """A page's darkness, and that of its dots averaged over three by three, less what noise alone gives."""

    lines: Floats
    areas: Floats


def darkness(page: Bytes) -> Darkness:
    """Both pictures of a page."""
    grey = _smoothed(page)
    white = _closed(np.round(grey).clip(0, 255).astype(np.uint8), round(STROKE * DOTS) | 1)
    lines = _compared(grey, white.astype(np.float32))
    return Darkness(lines - np.float32(np.median(lines[::4, ::4])), _compared(grey, _paper(page)))


def _compared(grey: Floats, white: Floats) -> Floats:
    """How much darker each dot is than its white, as a share."""
    return np.asarray(1 - grey / np.maximum(white, np.float32(1)), dtype=np.float32)


def _smoothed(page: Bytes) -> Floats:
    """Each dot's mean with its eight neighbours; at the page's edge with those that there are twice."""
    wide = np.pad(page, 1, mode="edge").astype(np.uint16)
    rows = wide[:-2] + wide[1:-1] + wide[2:]
    return np.asarray((rows[:, :-2] + rows[:, 1:-1] + rows[:, 2:]) * np.float32(1 / 9), dtype=np.float32)


def _closed(grey: Bytes, width: int) -> Bytes:
    """The page without anything dark that is narrower than so many dots (a closing, its window square)."""
    brightest = _extreme(grey, width, np.maximum)
    return _extreme(brightest, width, np.minimum)


def _extreme(grey: Bytes, width: int, of: np.ufunc) -> Bytes:
    """The brightest or darkest dot within a window, by doubling: each step looks twice as far."""
    half = width // 2
    for axis in (1, 0):
        sides = [(0, 0), (0, 0)]
        sides[axis] = (half, width - 1 - half)
        out = np.pad(grey, sides, mode="edge")
        reached = 1
        while reached < width:
            step = min(reached, width - reached)
            out = of(_from(out, step, axis), _from(out, -step, axis))
            reached += step
        grey = out
    return grey


def _from(grey: Bytes, step: int, axis: int) -> Bytes:
    """The page without its first dots along an axis, or, where `step` is negative, without its last."""
    part = slice(step, None) if step > 0 else slice(None, step)
    return grey[part] if axis == 0 else grey[:, part]


def _paper(page: Bytes) -> Floats:
    """The brightness of the paper at each dot: the brightest of the blocks around, between them a slope."""
    high, wide = (side // BLOCK for side in page.shape)
    blocks = page[: high * BLOCK, : wide * BLOCK].reshape(high, BLOCK, wide, BLOCK)
    each = blocks.transpose(0, 2, 1, 3).reshape(high, wide, -1)
    white = np.partition(each, -BLOCK, axis=2)[:, :, -BLOCK]
    white = _extreme(white, round(PAPER * DOTS / BLOCK) | 1, np.maximum)
    return _stretched(_stretched(white.astype(np.float32), page.shape[0], 0), page.shape[1], 1)


def _stretched(blocks: Floats, length: int, axis: int) -> Floats:
    """Blocks as so many dots along an axis, between their middles a slope."""
    at = ((np.arange(length) + 0.5) / BLOCK - 0.5).clip(0, blocks.shape[axis] - 1)
    first = np.floor(at).astype(int).clip(0, max(0, blocks.shape[axis] - 2))
    share = (at - first).astype(np.float32)
    share = share[:, None] if axis == 0 else share[None, :]
    following = np.minimum(first + 1, blocks.shape[axis] - 1)
    before, after = np.take(blocks, first, axis), np.take(blocks, following, axis)
    return np.asarray(before * (1 - share) + after * share, dtype=np.float32)

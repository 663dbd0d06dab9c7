"""Regions of a page's dots that hang together, for the page at once.

Takes a mask; gives each of its dots the number of its region. Dots touch in eight directions.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["regions", "run_lengths", "widened"]

Mask = NDArray[np.bool_]
Numbers = NDArray[np.int64]


def regions(mask: Mask) -> Numbers:
    """The region of each dot, from 1; 0 where the mask is not set.

    Runs of dots in a row are found at once, then joined with those of the next row: time grows with the runs.
    """
    starts, ends = _runs(mask)
    numbers = _joined(len(starts), *_touching(starts, ends, mask.shape[1] + 2))
    found = np.zeros(mask.shape, np.int64)
    found[mask] = np.repeat(numbers + 1, ends - starts)
    return found


def run_lengths(mask: Mask) -> Numbers:
    """For each dot how many dots of its row hang together with it, itself counted; 0 where it is not set."""
    starts, ends = _runs(mask)
    found = np.zeros(mask.shape, np.int64)
    found[mask] = np.repeat(ends - starts, ends - starts)
    return found


def _runs(mask: Mask) -> tuple[Numbers, Numbers]:
    """Where runs of dots in a row start and end, row after row with a white dot at both ends of each."""
    high, wide = mask.shape
    framed = np.zeros((high, wide + 2), bool)  # no run goes on in the next row
    framed[:, 1:-1] = mask
    changes = np.diff(framed.ravel().view(np.int8))
    return np.flatnonzero(changes == 1) + 1, np.flatnonzero(changes == -1) + 1


def _touching(starts: Numbers, ends: Numbers, row: int) -> tuple[Numbers, Numbers]:
    """The pairs of runs, the second one row below the first, that touch; `row` is the length of a row."""
    first = np.searchsorted(ends, starts + row, "left")
    counts = np.searchsorted(starts, ends + row, "right") - first
    upper = np.repeat(np.arange(len(starts)), counts)
    within = np.arange(len(upper)) - np.repeat(np.cumsum(counts) - counts, counts)
    return upper, np.repeat(first, counts) + within


def _joined(count: int, one: Numbers, other: Numbers) -> Numbers:
    """For each of so many things the least number of those that pairs join it with."""
    least = np.arange(count)
    while True:
        a, b = least[one], least[other]
        apart = a != b
        if not apart.any():
            return least
        one, other, a, b = one[apart], other[apart], a[apart], b[apart]
        np.minimum.at(least, np.maximum(a, b), np.minimum(a, b))
        while (nearer := least[least]).tobytes() != least.tobytes():
            least = nearer


def widened(mask: Mask, dots: int) -> Mask:
    """The mask made wider by so many dots on each side, by doubling: each step reaches twice as far."""
    for axis in (0, 1):
        reached = 0
        while reached < dots:
            step = min(2 * reached + 1, dots - reached)
            wider = mask.copy()
            ahead, behind = [slice(None)] * 2, [slice(None)] * 2
            ahead[axis], behind[axis] = slice(step, None), slice(None, -step)
            wider[tuple(ahead)] |= mask[tuple(behind)]
            wider[tuple(behind)] |= mask[tuple(ahead)]
            mask, reached = wider, reached + step
    return mask

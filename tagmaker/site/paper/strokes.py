"""Ink in a box: its pieces, and what they come to in figures.

Takes the darkness of the inside of a box; gives what `ticks` judges by. Lengths are shares of the side of the
inside, so that boxes of every size are alike.
"""

from collections.abc import Iterator

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.regions import regions, run_lengths

__all__ = [
    "Strokes",
    "connected",
    "figures",
    "is_at_rim",
    "is_open_aside",
    "left_over",
    "pen_width",
    "pieces",
]

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]
RIM = 0.24  # of the side: how far a neighbour's stroke may reach in
SPECK = 0.12  # mm²: less ink than that in one piece is dust, or a dot of noise
GROUND, HOLE = 0.3, 0.08  # mm²: less white than that between strokes, and within them, is none
CLOSED = 0.85  # of a ring's depth in the box, where it is closed; a cross has two ends there
OPEN = 2.2  # mm of white between two places at which a ring leaves a box
ANGLES = np.linspace(0, np.pi, 36, endpoint=False)
WAYS = np.column_stack([np.cos(ANGLES), np.sin(ANGLES)])
SLOPES = np.linspace(-0.28, 0.28, 7)  # of lines that are nearly level
THINNED_MOST = 3  # dots from each side
THIN = 0.6  # mm, a thin pen as a camera shows it
LINES = 2  # strokes of a tick or a cross
BAND = 0.25  # mm, by which a stroke may be bent


class Strokes(Struct, frozen=True):
    """What ink in a box comes to.

    `reach` is the larger of its width and height, `slim` the smaller, less its pen's width; `length` that of
    its strokes together, `width` that of its pen in mm, `dark` how dark it is by the printed frame. `rest` is
    the share of it that two straight strokes leave over, `level` how much of a nearly level line from side to
    side it covers at most. `covered` is the share of the inside that it covers; `grounds` are the areas of
    white that it divides the inside into, `holes` those of them that do not reach the rim.
    """

    reach: float
    slim: float
    length: float
    width: float
    dark: float
    rest: float
    level: float
    covered: float
    grounds: int
    holes: int


def pieces(ink: Mask, least: float = SPECK) -> Iterator[Mask]:
    """The pieces of ink that hang together, dust aside."""
    region = regions(ink)
    sizes = np.bincount(region.ravel())
    for number in np.flatnonzero(sizes[1:] > least * DOTS**2) + 1:
        yield region == number


def connected(seed: Mask, ink: Mask) -> Mask:
    """All ink that hangs together with the seed, dot by dot in eight directions."""
    reached = seed & ink
    while True:
        wider = reached.copy()
        wider[1:] |= reached[:-1]
        wider[:-1] |= reached[1:]
        sides = wider.copy()
        wider[:, 1:] |= sides[:, :-1]
        wider[:, :-1] |= sides[:, 1:]
        wider &= ink
        if wider.sum() == reached.sum():
            return reached
        reached = wider


def is_at_rim(piece: Mask) -> bool:
    """Whether a piece comes in over the rim and does not reach far: the end of a stroke in another box."""
    ys, xs = np.nonzero(piece)
    high, wide = piece.shape
    depths = (xs.max() + 1) / wide, (wide - xs.min()) / wide, (ys.max() + 1) / high, (high - ys.min()) / high
    touches = xs.min() == 0, xs.max() == wide - 1, ys.min() == 0, ys.max() == high - 1
    return any(touch and depth < RIM for touch, depth in zip(touches, depths, strict=True))


def is_open_aside(ink: Mask) -> bool:
    """Whether ink leaves a box at two places of its left, right or lower side, and nowhere else.

    Nobody ticks so: it is part of a ring. The lowest point of a tick may be below the box, and a cross has
    ends on the other side too.
    """
    sides = (ink[0], ink[-1], ink[:, 0], ink[:, -1])
    left = [number for number, side in enumerate(sides) if side.any()]
    if len(left) != 1 or left == [0]:
        return False
    if not (np.diff(np.flatnonzero(sides[left[0]])) > OPEN * DOTS).any():
        return False
    inward = (ink, ink[::-1], ink.T, ink.T[::-1])[left[0]]
    deepest = int(np.flatnonzero(inward.any(axis=1))[-1])
    across = np.flatnonzero(inward[round(CLOSED * deepest)])
    return not (np.diff(across) > 1).any()


def figures(inside: Floats, own: Mask, black: float) -> Strokes:
    """What this ink comes to; `black` is the darkness of the box's printed frame."""
    ys, xs = np.nonzero(own)
    side = sum(own.shape) / 2
    length, width = _length(own), pen_width(own)
    strongest = np.sort(inside[own])[len(xs) // 2 :]
    white = list(pieces(~own, HOLE))
    return Strokes(
        reach=float(max(np.ptp(xs), np.ptp(ys)) + 1) / side,
        slim=(float(min(np.ptp(xs), np.ptp(ys))) + 1 - width) / side,
        length=length / side,
        width=width / DOTS,
        dark=float(strongest.mean()) / black,
        rest=left_over(np.column_stack([xs, ys]), width),
        level=_level(_thinned(own, width)),
        covered=float(own.mean()),
        grounds=sum(piece.sum() > GROUND * DOTS**2 for piece in white),
        holes=sum(not _is_at_edge(piece) for piece in white),
    )


def _is_at_edge(piece: Mask) -> bool:
    return bool(piece[0].any() or piece[-1].any() or piece[:, 0].any() or piece[:, -1].any())


def _length(own: Mask) -> float:
    """Length in dots of strokes that have this edge: both sides, the ends left out."""
    padded = np.pad(own, 1, mode="edge")
    edge = sum(
        float((own & ~padded[1 + dy : padded.shape[0] - 1 + dy, 1 + dx : padded.shape[1] - 1 + dx]).sum())
        for dy, dx in ((0, 1), (0, -1), (1, 0), (-1, 0))
    )
    return edge * np.pi / 8  # half of it, less the steps of a slanting edge: longer by 4/pi on average


def pen_width(own: Mask) -> float:
    """Width in dots of the pen: the shortest of four ways through the ink, at a dot away from crossings."""
    straight = np.minimum(run_lengths(own), run_lengths(own.T).T)
    slanting = np.minimum(_slanting_lengths(own), _slanting_lengths(own[:, ::-1])[:, ::-1])
    return float(np.percentile(np.minimum(straight, slanting * np.sqrt(2))[own], 30))


def _slanting_lengths(own: Mask) -> NDArray[np.int64]:
    """For each dot of ink how many dots are in one line with it, down to the right and up to the left."""
    high, wide = own.shape
    row, column = np.indices((high, high + wide))
    upright = np.pad(own, ((0, 0), (0, high)))[row, (column + row) % (high + wide)]
    lengths = run_lengths(upright.T).T
    return np.asarray(lengths[row, (column - row) % (high + wide)][:, :wide])


def _thinned(own: Mask, width: float) -> Mask:
    """Strokes of that width in dots without their edges, a thin pen's width left."""
    for _ in range(min(THINNED_MOST, max(0, round((width - THIN * DOTS) / 2)))):
        padded = np.pad(own, 1)
        own = own & padded[2:, 1:-1] & padded[:-2, 1:-1] & padded[1:-1, 2:] & padded[1:-1, :-2]
    return own


def _level(own: Mask) -> float:
    """The largest share of a line from left to right, level or a little slanting, that is ink."""
    high, wide = own.shape
    columns = np.arange(wide)
    starts = np.arange(-high, 2 * high)[:, None]
    padded = np.pad(own, ((2 * high, 2 * high), (0, 0)))
    shares = [padded[2 * high + starts + np.round(slope * columns).astype(int), columns] for slope in SLOPES]
    return max(float(share.mean(axis=1).max()) for share in shares)


def left_over(points: NDArray[np.int64], width: float) -> float:
    """The share of dots that two straight strokes, the best one by one, do not cover."""
    left = points.astype(float)
    band = width + BAND * DOTS
    for _ in range(LINES):
        if not len(left):
            break
        across = left @ WAYS.T
        best, most = np.ones(len(left), bool), -1
        for column in across.T:
            ordered = np.sort(column)
            within = np.searchsorted(ordered, ordered + band, "right") - np.arange(len(ordered))
            start = int(within.argmax())
            if within[start] > most:
                most = int(within[start])
                best = (column >= ordered[start]) & (column <= ordered[start] + band)
        left = left[~best]
    return len(left) / len(points)

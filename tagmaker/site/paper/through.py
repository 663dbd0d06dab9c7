"""Lines that only pass through a box: a sheet crossed out, a stain's rim, a crease, dust in a scanner.

Takes a page's darkness, a box's frame and the ink in the box; each stroke that leaves the box is followed
from where it leaves. A tick ends near its box; what goes on far beyond it is no mark of that box.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.frames import Frame
from tagmaker.site.paper.ticks import INK, INSET

__all__ = ["passes_through"]

Floats = NDArray[np.float32]
Point = NDArray[np.float64]
Mask = NDArray[np.bool_]
BOTH_WAYS = 2.5 * DOTS  # dots beyond the frame on two opposite sides: a stroke so long passes through
ONE_WAY = 10.0 * DOTS  # dots beyond the frame: the longest tail of a tick
OPPOSITE = -0.7  # cosine of the angle between two ways, below which they are opposite
STEP = 2.0  # dots
GAP = 1  # steps without ink, at which a stroke ends
ASIDE = 2  # dots beside where a stroke goes that it may bend in a step
BACK = 6  # steps, over which its direction is taken
TURN = 0.9  # cosine of the angle, by which a stroke may turn from its first direction
START = 1.6 * DOTS  # dots of a stroke within the box that show its direction


def passes_through(lines: Floats, frame: Frame, pieces: Sequence[Mask]) -> bool:
    """Whether a piece of ink within a box is part of a line that goes on beyond the box."""
    found: list[tuple[Point, float]] = []
    for start, way in (each for ink in pieces for each in _exits(ink)):
        at = start + np.array([frame.left + INSET, frame.top + INSET])
        found.append((way, _followed(lines, frame, at, way)))
    if any(length > ONE_WAY for _, length in found):
        return True
    far = [way for way, length in found if length > BOTH_WAYS]
    return any(float(one @ other) < OPPOSITE for one in far for other in far)


def _exits(ink: Mask) -> Iterator[tuple[Point, Point]]:
    """Where strokes leave the inside of a box (x, y in dots of it), and in which direction."""
    high, wide = ink.shape
    ys, xs = np.nonzero(ink)
    points = np.column_stack([xs, ys]).astype(float)
    sides = (
        [(x, 0) for x in _middles(ink[0])],
        [(x, high - 1) for x in _middles(ink[-1])],
        [(0, y) for y in _middles(ink[:, 0])],
        [(wide - 1, y) for y in _middles(ink[:, -1])],
    )
    for exit_ in (each for side in sides for each in side):
        start = np.array(exit_, dtype=float)
        near = points[np.hypot(*(points - start).T) < START]
        way = start - near.mean(axis=0)
        if length := float(np.hypot(*way)):
            yield start, way / length


def _middles(row: Mask) -> Iterator[float]:
    """The middle of each stretch of a row that is ink."""
    dots = np.flatnonzero(row)
    if len(dots):
        yield from (float(run.mean()) for run in np.split(dots, np.flatnonzero(np.diff(dots) > 1) + 1))


def _followed(lines: Floats, frame: Frame, start: Point, way: Point) -> float:
    """How many dots beyond its frame a stroke goes on, at most what makes it too long."""
    trace, last, missed, first = [start], 0.0, 0, way
    while missed <= GAP and last <= ONE_WAY and float(way @ first) > TURN:
        ahead = trace[-1] + way * STEP
        found = _dark_near(lines, ahead, np.array([-way[1], way[0]]), INK * frame.black)
        missed = 0 if found is not None else missed + 1
        trace.append(ahead if found is None else found)
        since = trace[-1] - trace[max(0, len(trace) - 1 - BACK)]
        if found is not None:
            last = max(last, _beyond(frame, found))
            if len(trace) > BACK:
                way = since / max(float(np.hypot(*since)), 1.0)
    return last


def _dark_near(lines: Floats, at: Point, aside: Point, black: float) -> Point | None:
    """The middle of the ink across a stroke where it is expected; None where there is none, or no page."""
    found = [off for off in range(-ASIDE, ASIDE + 1) if _darkness(lines, at + aside * off) > black]
    return at + aside * float(np.mean(found)) if found else None


def _darkness(lines: Floats, at: Point) -> float:
    x, y = (round(float(side)) for side in at)
    high, wide = lines.shape
    return float(lines[y, x]) if 0 <= x < wide and 0 <= y < high else 0.0


def _beyond(frame: Frame, at: Point) -> float:
    """How far outside a frame a point is; 0 within."""
    x = max(frame.left - at[0], at[0] - frame.right, 0.0)
    y = max(frame.top - at[1], at[1] - frame.bottom, 0.0)
    return float(np.hypot(x, y))

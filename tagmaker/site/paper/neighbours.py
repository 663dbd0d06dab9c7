"""Strokes that go through two boxes: nobody knows which one they are meant for.

Takes the frames of boxes and their insides; gives, by box, the pieces of ink that go on in a neighbour.
"""

import math
from collections.abc import Iterator, Mapping
from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.frames import Frame
from tagmaker.site.paper.strokes import connected, is_at_rim
from tagmaker.site.paper.ticks import INK, INSET, Inside

__all__ = ["shared_pieces"]

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]
APART = 8 * DOTS  # dots between the lines of two frames, at most
DEPTH = round(1.5 * DOTS)  # dots from a box's side, between which a stroke shows its direction
BEND = 40.0  # degrees: two strokes whose tips touch at more are two
SKIPPED = 2  # dots at the rim, where a frame that is not straight may show
WITHIN = INSET + SKIPPED
ALONGSIDE = 0.5  # of a side, that two frames lie beside each other at least
ASIDE = 1.5 * DOTS  # dots that the second part of a stroke may be beside where the first goes
SIDEWAYS = round(0.8 * DOTS)  # dots that a stroke may go sideways beyond where it left its box


class _Pair(NamedTuple):
    """Two boxes, the first above the second, or to its left where `is_upright` is not set."""

    first: str
    second: str
    is_upright: bool


def shared_pieces(
    lines: Floats, frames: Mapping[str, Frame], insides: Mapping[str, Inside]
) -> dict[str, frozenset[int]]:
    """By box, the numbers of its pieces that go on in another box."""
    shared: dict[str, set[int]] = {name: set() for name in insides}
    for pair in _pairs({name: frames[name] for name, inside in insides.items() if _reaching(inside)}):
        for one, other in _linked(lines, pair, frames, insides):
            shared[pair.first].add(one)
            shared[pair.second].add(other)
    return {name: frozenset(numbers) for name, numbers in shared.items()}


def _reaching(inside: Inside) -> bool:
    return any(not is_at_rim(piece) for piece in inside.pieces)


def _pairs(frames: Mapping[str, Frame]) -> Iterator[_Pair]:
    """Boxes beside each other, those with ink alone."""
    rows = [(each.left, each.right, each.top, each.bottom) for each in frames.values()]
    left, right, top, bottom = np.array(rows).reshape(-1, 4).T
    names = list(frames)
    for at, name in enumerate(names):
        below, beside = top - bottom[at], left - right[at]
        overlap_x = np.minimum(right, right[at]) - np.maximum(left, left[at])
        overlap_y = np.minimum(bottom, bottom[at]) - np.maximum(top, top[at])
        side = right[at] - left[at]
        is_below = (below > 0) & (below < APART) & (overlap_x > ALONGSIDE * side)
        is_beside = (beside > 0) & (beside < APART) & (overlap_y > ALONGSIDE * side)
        yield from (_Pair(name, names[other], is_upright=True) for other in np.flatnonzero(is_below))
        yield from (_Pair(name, names[other], is_upright=False) for other in np.flatnonzero(is_beside))


def _linked(
    lines: Floats, pair: _Pair, frames: Mapping[str, Frame], insides: Mapping[str, Inside]
) -> Iterator[tuple[int, int]]:
    """The numbers of pieces in two boxes that are one stroke: ink joins them, in one direction."""
    upper, lower = frames[pair.first], frames[pair.second]
    black = (upper.black + lower.black) / 2
    if pair.is_upright:
        page, start, end = lines, upper.bottom - WITHIN, lower.top + WITHIN
        offsets = upper.left + INSET, lower.left + INSET
    else:
        page, start, end = lines.T, upper.right - WITHIN, lower.left + WITHIN
        offsets = upper.top + INSET, lower.top + INSET
    ends = [
        list(_ends(insides[name], offset, is_first=is_first, is_upright=pair.is_upright))
        for name, offset, is_first in zip((pair.first, pair.second), offsets, (True, False), strict=True)
    ]
    for one, other in product(*ends):
        low = max(0, min(one.at[0], other.at[0]) - SIDEWAYS)
        high = max(one.at[-1], other.at[-1]) + SIDEWAYS + 1
        strip: Mask = page[start : end + 1, low:high] > INK * black
        seed = np.zeros_like(strip)
        seed[0, one.at - low] = True
        if _goes_on(one, other, end - start) and connected(seed, strip)[-1, other.at - low].any():
            yield one.number, other.number


class _End(NamedTuple):
    """Where a piece of ink leaves its box: its number, the dots of the side, and its slope going in.

    The slope is None where the piece does not go in far enough to show one.
    """

    number: int
    at: NDArray[np.int64]
    slope: float | None


def _goes_on(one: _End, other: _End, apart: int) -> bool:
    """Whether two ends are of one stroke by their directions and places."""
    if one.slope is None and other.slope is None:
        return True
    slope = one.slope if one.slope is not None else -(other.slope or 0.0)
    slope_other = other.slope if other.slope is not None else -slope
    bend = abs(math.degrees(math.atan(slope) + math.atan(slope_other)))
    aside = float(other.at.mean() - one.at.mean())
    return bend < BEND and abs(aside - (slope_other - slope) / 2 * apart) < ASIDE


def _ends(inside: Inside, offset: int, *, is_first: bool, is_upright: bool) -> Iterator[_End]:
    """Every place where a piece of ink leaves a box at the side that faces the other one."""
    for number, piece in enumerate(inside.pieces):
        turned = piece if is_upright else piece.T
        facing = (turned[::-1] if is_first else turned)[SKIPPED:]
        if is_at_rim(piece):
            continue
        for run in _runs(facing[0]):
            yield _End(number, run + offset, _slope(facing, float(run.mean())))


def _runs(row: Mask) -> list[NDArray[np.int64]]:
    """The stretches of a row that are ink."""
    dots = np.flatnonzero(row)
    return np.split(dots, np.flatnonzero(np.diff(dots) > 1) + 1) if len(dots) else []


def _slope(piece: Mask, start: float) -> float | None:
    """How far a stroke goes sideways a dot inwards, from where it is at the side to ink further in."""
    for depth in (DEPTH, DEPTH // 2):
        runs = _runs(piece[min(depth, len(piece) - 1)])
        if runs:
            nearest = min((float(run.mean()) for run in runs), key=lambda middle: abs(middle - start))
            return (nearest - start) / depth
    return None

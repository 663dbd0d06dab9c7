"""Lines that only pass through a box: a sheet crossed out, a stain's rim, a crease, dust in a scanner.

Takes a page's darkness and print, a box's frame and the ink in the box; each stroke that leaves the box is
followed from where it leaves, round a bend and across print. A tick ends near its box; what goes on far
beyond it is no mark of that box.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tagmaker.revisions.form_pages import FieldPlace
from tagmaker.site.paper.beside import printed_dots
from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.frames import Frame
from tagmaker.site.paper.ticks import INK, INSET

__all__ = ["BLUR", "NEAR_PRINT", "PageStrokes", "page_strokes", "passes_through"]

Floats = NDArray[np.float32]
Point = NDArray[np.float64]
Bytes = NDArray[np.uint8]
Mask = NDArray[np.bool_]
BOTH_WAYS = 4.0 * DOTS  # dots beyond the frame in two ways: a stroke so long passes through
ONE_WAY = 10.0 * DOTS  # dots beyond the frame: the longest tail of a tick
APART = 0.7  # cosine of the angle between two ways, below which they are two
STEP = 2.0  # dots
GAP = 1  # steps without ink, at which a stroke ends
ASIDE = 2  # dots beside where a stroke goes that it may bend in a step
BACK = 6  # steps, over which its direction is taken
TURN, TURN_BLIND = -0.2, 0.9
"""Cosine of the angle by which a stroke may turn from its first direction; the second where print is unknown,
as a stroke that turned would go on along the next printed line."""
PRINT, BLUR = 2, 5  # dots around print in which it may be off its place, and in which its blur is
NEAR_PRINT = 3.5  # times as dark as ink: more than the blur of print
FILLS = 0.6  # of a stroke's width in its box, that is dark where it crosses print
WIDENS = 0.35  # of print that a stroke crosses: so far aside it may come out of it
ACROSS = 8.0 * DOTS  # dots of print in a row, beyond which nobody knows where a stroke goes on
START = 1.6 * DOTS  # dots of a stroke within the box that show its direction


class PageStrokes(Struct, frozen=True):
    """A page's darkness, the dots where it is printed, and those that the blur of print reaches.

    `turn` is the cosine of the angle by which a stroke may turn.
    """

    lines: Floats
    printed: Mask
    near: Mask
    turn: float = TURN


class _Around(Struct, frozen=True):
    """A page around a box, where print is so many dots off (x, y), and how dark ink is at least.

    Print shows nothing of a stroke that crosses it: neither where it goes on nor that it ends.
    """

    page: PageStrokes
    off: tuple[int, int]
    least: float

    def width(self, at: Point, way: Point) -> int:
        """How many dots across a stroke are ink or print, of those that it may bend to."""
        return sum(_at(self.page.lines, each, (0, 0)) > self.least for each in _across(at, way, ASIDE))

    def is_cut(self, at: Point, way: Point) -> bool:
        """Whether print hides a part of a stroke here: the middle of what is left is not its own."""
        return any(_at(self.page.printed, each, self.off) for each in _across(at, way, ASIDE))

    def is_ink(self, at: Point) -> bool:
        """Whether a dot is dark, and not because of print."""
        if _at(self.page.printed, at, self.off):
            return False
        least = self.least * (NEAR_PRINT if _at(self.page.near, at, self.off) else 1)
        return _at(self.page.lines, at, (0, 0)) > least


def _at(picture: Floats | Mask, at: Point, off: tuple[int, int]) -> float:
    """A dot of a picture that is so far off; 0 beyond it."""
    x, y = round(float(at[0])) - off[0], round(float(at[1])) - off[1]
    high, wide = picture.shape
    return float(picture[y, x]) if 0 <= x < wide and 0 <= y < high else 0.0


def page_strokes(lines: Floats, empty: Bytes | None) -> PageStrokes:
    """What strokes are followed by on a page; without the empty page print counts as ink."""
    if empty is None:
        none = np.zeros(lines.shape, bool)
        return PageStrokes(lines, none, none, TURN_BLIND)
    return PageStrokes(lines, printed_dots(empty, PRINT), printed_dots(empty, BLUR))


def passes_through(page: PageStrokes, frame: Frame, place: FieldPlace, pieces: Sequence[Mask]) -> bool:
    """Whether a piece of ink within a box is part of a line that goes on beyond the box."""
    off = frame.left - round(place.x_mm * DOTS), frame.top - round(place.y_mm * DOTS)
    around = _Around(page, off, INK * frame.black)
    found: list[tuple[Point, float]] = []
    for start, way in (each for ink in pieces for each in _exits(ink)):
        at = start + np.array([frame.left + INSET, frame.top + INSET])
        found.append((way, max(_followed(around, frame, at, way, is_steady=each) for each in (False, True))))
    if any(length > ONE_WAY for _, length in found):
        return True
    far = [way for way, length in found if length > BOTH_WAYS]
    return any(float(one @ other) < APART for one in far for other in far)


def _exits(ink: Mask) -> Iterator[tuple[Point, Point]]:
    """Where strokes leave the inside of a box (x, y in dots of it), and in which direction.

    Dots of the rim in a row are one exit, round a corner too.
    """
    points = np.argwhere(ink)[:, ::-1].astype(float)
    for start in _runs_on_rim(ink):
        near = points[np.hypot(*(points - start).T) < START]
        way = start - near.mean(axis=0) if len(near) else np.zeros(2)
        if length := float(np.hypot(*way)):
            yield start, way / length


def _runs_on_rim(ink: Mask) -> Iterator[Point]:
    """The middle of each stretch of the rim that is ink; none where all of it is."""
    high, wide = ink.shape
    right, bottom = wide - 1, high - 1
    rim = np.array(
        [
            *((x, 0) for x in range(right)),
            *((right, y) for y in range(bottom)),
            *((x, bottom) for x in range(right, 0, -1)),
            *((0, y) for y in range(bottom, 0, -1)),
        ]
    )
    flags = ink[rim[:, 1], rim[:, 0]]
    begin = -int(flags.argmin())  # no stretch goes over the end of the list
    rim, dots = np.roll(rim, begin, axis=0), np.flatnonzero(np.roll(flags, begin))
    if 0 < len(dots) < len(rim):
        yield from (rim[run].mean(axis=0) for run in np.split(dots, np.flatnonzero(np.diff(dots) > 1) + 1))


def _followed(around: _Around, frame: Frame, start: Point, way: Point, *, is_steady: bool) -> float:
    """How many dots of a stroke are beyond its frame, at most what makes it too long.

    A stroke of which print hides a side is followed by what is left of it, or steadily straight on.
    """
    first, trace, at = way, [start - way * START / 2, start], start
    gone, missed, hidden = 0.0, 0, 0.0
    least = FILLS * around.width(start - way * STEP, way)
    while missed <= GAP and hidden <= ACROSS and gone <= ONE_WAY and float(way @ first) > around.page.turn:
        at = at + way * STEP
        ink = [each for each in _across(at, way, ASIDE + round(hidden * WIDENS)) if around.is_ink(each)]
        if ink and not (is_steady and around.is_cut(at, way)):
            at = _middle(ink, at)
            gone += float(np.hypot(*(at - trace[-1]))) if _is_beyond(frame, at) else 0.0
            missed, hidden = 0, 0.0
            trace.append(at)
            since = at - trace[max(0, len(trace) - 1 - BACK)]
            way = since / max(float(np.hypot(*since)), 1.0)
        elif ink or around.width(at, way) >= max(1, least):
            missed, hidden = 0, hidden + STEP
        else:
            missed += 1
    return gone


def _across(at: Point, way: Point, reach: int) -> Iterator[Point]:
    """Dots across a stroke, so many to each side."""
    aside = np.array([-way[1], way[0]])
    return (at + aside * off for off in range(-reach, reach + 1))


def _middle(ink: Sequence[Point], at: Point) -> Point:
    """The middle of the ink that is nearest to where a stroke is expected."""
    nearest = min(ink, key=lambda each: float(np.hypot(*(each - at))))
    return np.asarray(np.mean([each for each in ink if np.hypot(*(each - nearest)) <= ASIDE], axis=0))


def _is_beyond(frame: Frame, at: Point) -> bool:
    """Whether a point is outside a frame."""
    is_within = frame.left <= at[0] <= frame.right and frame.top <= at[1] <= frame.bottom
    return not is_within

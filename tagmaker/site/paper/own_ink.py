"""Ink of pens on a whole page, and how much of what is in a box goes on beyond it.

Takes a page's darkness, where its print is, and its frames as found. A mark of a box ends in it or near it:
what hangs together with the ink in a box and goes on beyond it for longer is a stroke that comes from
elsewhere, or a word.
"""

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.frames import Frame, Offset
from tagmaker.site.paper.readings import Tick
from tagmaker.site.paper.regions import regions, widened
from tagmaker.site.paper.strokes import is_at_rim, left_over, pen_width
from tagmaker.site.paper.through import BLUR, NEAR_PRINT, PageStrokes
from tagmaker.site.paper.ticks import INK, INSET

__all__ = ["PenInk", "doubted", "pen_ink"]

Bytes = NDArray[np.uint8]
Mask = NDArray[np.bool_]
Numbers = NDArray[np.int64]
BLOCK = 8 * DOTS  # dots: print is off its place by the same in a block
BLACK = 128  # of 255: what is darker on the empty page is black
SOLID = round(0.8 * DOTS)  # dots to each side, that are black in what is solid
BRIDGED = 7  # dots along print by which ink is taken to go on from each side
LONG = 5.0 * DOTS  # dots of strokes beyond their box: 1 in 1,600 clear marks has as much
TAIL_LONG = 7.0 * DOTS  # dots of a tail that goes straight away from its box
STRAIGHT = 0.65  # of its length that a straight tail reaches beyond the box
FAR, ASIDE = 5.0 * DOTS, 3.0 * DOTS  # dots beyond its box that it may reach, and to the left or below
MANY = 4  # other boxes in which a stroke is: it passes through
TAIL, TIP = round(2.5 * DOTS), round(1.2 * DOTS)  # dots beyond another box, and its own, that are that box's
WIDE = round(4.0 * DOTS)  # dots between frames of boxes whose marks never touch
BENT, BENT_SHARED = 0.065, 0.02
"""Of the ink in a box and beyond that two straight strokes leave over at most; where a box shares it that has
no clear mark. Of 2,320 clear marks 3 had more."""
EDGE = 3  # dots beyond a frame's line that are its ink and its blur


class PenInk(Struct, frozen=True):
    """A pen's ink on a page: the region of each dot, and by region the boxes with ink of it.

    `places` are the dots beyond all boxes (x, y), region after region; `starts` where each region's begin.
    """

    region: Numbers
    places: Numbers
    starts: Numbers
    boxes: Mapping[int, Sequence[Frame]]

    def beyond(self, number: int) -> Numbers:
        """A region's dots beyond all boxes (x, y)."""
        return self.places[self.starts[number] : self.starts[number + 1]]


def pen_ink(
    page: PageStrokes, empty: Bytes, off: Offset, boxes: Sequence[tuple[Frame, Sequence[Mask]]]
) -> PenInk:
    """The ink of pens on a page, print left out; `boxes` are frames with the pieces of ink in them."""
    black = float(np.median([frame.black for frame, _ in boxes]))
    lines = page.lines
    printed, near, solid = _moved(
        [page.printed, page.near, widened(_solid(empty), BLUR + 1)], off, lines.shape
    )
    ink = (lines > INK * black) & ~printed
    ink &= ~near | (lines > INK * black * NEAR_PRINT)
    region = regions(_bridged(ink, near) | solid)
    beyond = ink.copy()
    for frame, _ in boxes:
        beyond[_widened(frame, EDGE)] = False
    ys, xs = np.nonzero(beyond)
    own = region[ys, xs]
    order = np.argsort(own, kind="stable")
    starts = np.searchsorted(own[order], np.arange(int(region.max()) + 2))
    return PenInk(region, np.column_stack([xs, ys])[order], starts, _held(region, boxes))


def _held(region: Numbers, boxes: Iterable[tuple[Frame, Sequence[Mask]]]) -> dict[int, list[Frame]]:
    """By region the boxes in which it has ink that reaches in."""
    held: dict[int, list[Frame]] = {}
    for frame, pieces in boxes:
        reaching = [piece for piece in pieces if not is_at_rim(piece)]
        for number in {each for piece in reaching for each in _of(region, frame, piece)}:
            held.setdefault(number, []).append(frame)
    return held


def _widened(frame: Frame, by: int) -> tuple[slice, slice]:
    """The dots of a frame, and so many beyond it."""
    return np.s_[
        max(0, frame.top - by) : frame.bottom + by + 1, max(0, frame.left - by) : frame.right + by + 1
    ]


def _of(region: Numbers, frame: Frame, piece: Mask) -> list[int]:
    """The regions to which a piece of ink in a box belongs."""
    top, left = frame.top + INSET, frame.left + INSET
    own = region[top : top + piece.shape[0], left : left + piece.shape[1]][piece]
    return [int(number) for number in np.unique(own[own > 0])]


def _solid(empty: Bytes) -> Mask:
    """Where print is black all over: a stroke that goes in may come out anywhere around it."""
    return widened(~widened(empty >= BLACK, SOLID), SOLID)


def _moved(masks: Sequence[Mask], off: Offset, shape: tuple[int, ...]) -> list[Mask]:
    """Masks of print where it is on a page of that shape, block by block; at most eight, a bit each."""
    bits = np.zeros_like(masks[0], np.uint8)
    for number, mask in enumerate(masks):
        bits |= mask.view(np.uint8) << np.uint8(number)
    moved = np.zeros(shape, np.uint8)
    high, wide = shape[0], shape[1]
    last_row, last_column = (int(side) - 1 for side in masks[0].shape)
    tops, lefts = np.arange(0, high, BLOCK), np.arange(0, wide, BLOCK)
    ends = np.minimum(lefts + BLOCK, wide), np.minimum(tops + BLOCK, high)
    middles = np.meshgrid((lefts + ends[0] - 1) / 2, (tops + ends[1] - 1) / 2)
    offs = np.round(off(*middles)).astype(int)
    for row, column in np.ndindex(len(tops), len(lefts)):
        top, left, (x, y) = int(tops[row]), int(lefts[column]), offs[row, column]
        rows, columns = np.arange(top, min(high, top + BLOCK)), np.arange(left, min(wide, left + BLOCK))
        from_rows, from_columns = (rows - y).clip(0, last_row), (columns - x).clip(0, last_column)
        moved[top : top + BLOCK, left : left + BLOCK] = bits[from_rows[:, None], from_columns]
    return [(moved >> np.uint8(number) & 1).astype(bool) for number in range(len(masks))]


def _bridged(ink: Mask, near: Mask) -> Mask:
    """Ink made longer along print, which shows nothing of a stroke that crosses it."""
    grown = ink.copy()
    for _ in range(BRIDGED):
        wider = grown.copy()
        wider[1:] |= grown[:-1]
        wider[:-1] |= grown[1:]
        sides = wider.copy()
        wider[:, 1:] |= sides[:, :-1]
        wider[:, :-1] |= sides[:, 1:]
        grown = ink | (wider & near)
    return grown


def doubted(
    page: PenInk, boxes: Mapping[str, tuple[Frame, Sequence[Mask]]], ticks: Mapping[str, Tick]
) -> set[str]:
    """The boxes that are ticked by their own ink, but whose ink comes from elsewhere or is no mark."""
    ticked = [name for name, tick in ticks.items() if tick == "ticked"]
    clear = {boxes[name][0] for name in ticked}
    return {
        name
        for name in ticked
        if any(_goes_on(page, boxes[name][0], each) for each in boxes[name][1])
        or _is_bent(page, *boxes[name], clear)
    }


def _goes_on(page: PenInk, frame: Frame, piece: Mask) -> bool:
    """Whether a piece of ink in a box is of a stroke that goes on beyond it."""
    width = pen_width(piece)
    return any(_is_from_elsewhere(page, frame, number, width) for number in _of(page.region, frame, piece))


def _is_from_elsewhere(page: PenInk, frame: Frame, number: int, width: float) -> bool:
    others = _others(page, frame, number)
    if len(others) >= MANY or (len(others) == 1 and _gap(frame, others[0]) > WIDE):
        return True
    dots = _own_beyond(page, frame, number)
    far, aside = _farthest(dots, frame)
    length = len(dots) / max(width, 1.0)
    return far > FAR or aside > ASIDE or length > (TAIL_LONG if far > STRAIGHT * length else LONG)


def _others(page: PenInk, frame: Frame, number: int) -> list[Frame]:
    """The other boxes in which a region has ink."""
    return [each for each in page.boxes.get(number, ()) if each is not frame]


def _own_beyond(page: PenInk, frame: Frame, number: int) -> Numbers:
    """A region's dots beyond all boxes, without those that are another box's by their place."""
    dots = page.beyond(number)
    if not (others := _others(page, frame, number)):
        return dots
    of_others = np.logical_or.reduce([_is_near(dots, other, TAIL) for other in others])
    return np.asarray(dots[_is_near(dots, frame, TIP) | ~of_others])


def _is_bent(page: PenInk, frame: Frame, pieces: Sequence[Mask], clear: AbstractSet[Frame]) -> bool:
    """Whether ink in a box and what of it is beyond are more than two straight strokes: a ring, a letter.

    Where it is in a box too that is not clear, it is judged more strictly: a ring may be in both.
    """
    own = [piece for piece in pieces if not is_at_rim(piece)]
    numbers = {number for piece in own for number in _of(page.region, frame, piece)}
    beyond = [_own_beyond(page, frame, number) for number in numbers]
    is_shared = any(other not in clear for number in numbers for other in _others(page, frame, number))
    if not is_shared and not any(len(dots) for dots in beyond):
        return False
    corner = np.array([frame.left + INSET, frame.top + INSET])
    within = [np.argwhere(piece)[:, ::-1] + corner for piece in own]
    width = pen_width(np.logical_or.reduce(own))
    return left_over(np.vstack(within + beyond), width) > (BENT_SHARED if is_shared else BENT)


def _is_near(dots: Numbers, frame: Frame, by: int) -> Mask:
    """Which dots are within a frame, or so many dots beyond it."""
    low, high = (frame.left - by, frame.top - by), (frame.right + by, frame.bottom + by)
    return np.asarray(((dots >= low) & (dots <= high)).all(axis=1))


def _farthest(dots: Numbers, frame: Frame) -> tuple[int, int]:
    """How many dots beyond a frame something reaches, and how many to the left of it or below."""
    if not len(dots):
        return 0, 0
    (left, top), (right, bottom) = dots.min(axis=0), dots.max(axis=0)
    aside = max(frame.left - int(left), int(bottom) - frame.bottom, 0)
    return max(aside, frame.top - int(top), int(right) - frame.right), aside


def _gap(one: Frame, other: Frame) -> int:
    """Dots between two frames, along the side where they are farther apart."""
    aside = max(one.left - other.right, other.left - one.right)
    return max(aside, one.top - other.bottom, other.top - one.bottom)

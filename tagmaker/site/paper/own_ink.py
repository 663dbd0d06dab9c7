"""Ink of pens on a whole page, and how much of what is in a box goes on beyond it.

Takes a page's darkness, where its print is, and its frames as found. A mark of a box ends in it or near it:
what hangs together with the ink in a box and goes on beyond it for longer, or comes back to it, is a stroke
that comes from elsewhere, or a word.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.frames import Frame
from tagmaker.site.paper.readings import Tick
from tagmaker.site.paper.regions import regions, widened
from tagmaker.site.paper.strokes import is_at_rim, pen_width
from tagmaker.site.paper.through import BLUR, NEAR_PRINT, PageStrokes
from tagmaker.site.paper.ticks import INK, INSET

__all__ = ["PenInk", "doubted", "pen_ink"]

Bytes = NDArray[np.uint8]
Mask = NDArray[np.bool_]
Numbers = NDArray[np.int64]
Offset = Callable[[float, float], NDArray[np.float64]]
BLOCK = 8 * DOTS  # dots: print is off its place by the same in a block
BLACK = 128  # of 255: what is darker on the empty page is black
SOLID = round(0.8 * DOTS)  # dots to each side, that are black in what is solid
BRIDGED = 7  # dots along print by which ink is taken to go on from each side
LONG = 4.2 * DOTS  # dots of strokes beyond their box; of 3,500 clear marks 2 in 1,000 have more than 3 mm
TAIL_LONG = 6.0 * DOTS  # dots of a tail that goes straight away from its box
STRAIGHT = 0.65  # of its length that a straight tail reaches beyond the box
FAR, ASIDE = 5.0 * DOTS, 3.0 * DOTS  # dots beyond its box that it may reach, and to the left or below
STRAY, STRAY_NEAR = (
    0.5 * DOTS**2,
    3 * DOTS,
)  # dots of ink near a box, and how near, that make its mark one of a word
WITHIN = 0.3  # of a region's ink in fields to write in: it belongs there
LOOP = 1.5 * DOTS  # dots beyond the frame: a stroke that comes back to its box from there is no tick's tip
AROUND = 5 * DOTS  # dots around a frame in which strokes that come back are looked for
MANY = 4  # other boxes in which a stroke is: it passes through
CHAIN = 3  # boxes with ink that hangs together, of which half are doubtful: all are
TAIL, TIP = round(2.5 * DOTS), round(1.2 * DOTS)  # dots beyond another box, and its own, that are that box's
JOINED = 6  # dots from each side over which a stroke that a frame's line cuts is one
WIDE = round(4.0 * DOTS)  # dots between frames of boxes whose marks never touch
TIGHT = round(2.5 * DOTS)  # dots between frames of boxes whose marks may touch
NOWHERE = (1 << 30, 1 << 30, -1, -1)  # the reach of what has no dots
EDGE = 3  # dots beyond a frame's line that are its ink and its blur


class PenInk(Struct, frozen=True):
    """Which dots are a pen's ink, which of them are beyond all boxes, and the region of each dot.

    `stray` is what is no mark of any box and in no field to write in. By region: `size` is the number of its
    dots beyond all boxes, `reach` its left, top, right and bottom there, `boxes` those with ink of it.
    """

    ink: Mask
    beyond: Mask
    stray: Mask
    region: Numbers
    size: Numbers
    reach: Numbers
    boxes: Mapping[int, Sequence[Frame]]


def pen_ink(
    page: PageStrokes,
    empty: Bytes,
    off: Offset,
    boxes: Iterable[tuple[Frame, Sequence[Mask]]],
    texts: Iterable[Frame],
) -> PenInk:
    """The ink of pens on a page, print left out.

    `boxes` are frames with the pieces of ink in them, `texts` the frames of fields to write in.
    """
    boxes = list(boxes)
    black = float(np.median([frame.black for frame, _ in boxes]))
    lines = page.lines
    printed, near, solid = _moved(
        [page.printed, page.near, widened(_solid(empty), BLUR + 1)], off, lines.shape
    )
    ink = (lines > INK * black) & ~printed
    ink &= ~near | (lines > INK * black * NEAR_PRINT)
    region = regions(_bridged(ink, near) | solid)
    beyond, written = ink.copy(), np.zeros(lines.shape, bool)
    for frame, _ in boxes:
        beyond[_widened(frame, EDGE)] = False
    for frame in texts:
        written[_widened(frame, 0)] = True
    held = _held(region, boxes)
    total, within = (np.bincount(region[each], minlength=region.max() + 1) for each in (ink, ink & written))
    is_stray = within < WITHIN * total
    is_stray[[0, *held]] = False
    stray = beyond & ~written & is_stray[region]
    return PenInk(ink, beyond, stray, region, *_beyond(region, beyond), held)


def _beyond(region: Numbers, beyond: Mask) -> tuple[Numbers, Numbers]:
    """Each region's dots beyond all boxes: how many, and the left, top, right and bottom of them."""
    ys, xs = np.nonzero(beyond)
    own, count = region[ys, xs], int(region.max()) + 1
    reach = np.array([np.full(count, NOWHERE[side]) for side in range(4)])
    np.minimum.at(reach[0], own, xs)
    np.minimum.at(reach[1], own, ys)
    np.maximum.at(reach[2], own, xs)
    np.maximum.at(reach[3], own, ys)
    return np.bincount(own, minlength=count), reach


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
    for top in range(0, high, BLOCK):
        for left in range(0, wide, BLOCK):
            rows, columns = np.arange(top, min(high, top + BLOCK)), np.arange(left, min(wide, left + BLOCK))
            x, y = (round(float(each)) for each in off(float(columns.mean()), float(rows.mean())))
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
    """The boxes that are ticked by their own ink, but whose ink comes from elsewhere.

    Strokes in three boxes or more are one stroke where half of the boxes are doubtful; in ON and OFF of a
    switch they always are.
    """
    doubtful = {name for name, tick in ticks.items() if tick == "unclear"}
    for name in [name for name, tick in ticks.items() if tick == "ticked"]:
        frame, pieces = boxes[name]
        if _has_strays(page, frame, pieces) or any(_goes_on(page, frame, piece) for piece in pieces):
            doubtful.add(name)
    names = {id(frame): name for name, (frame, _) in boxes.items()}
    for held in page.boxes.values():
        chain = {names[id(frame)] for frame in held}
        if len(chain) >= CHAIN and 2 * len(chain & doubtful) >= len(chain):
            doubtful |= chain
        pairs = {name for name in chain if f"{name}/off" in chain}
        doubtful |= pairs | {f"{name}/off" for name in pairs}
    return doubtful


def _goes_on(page: PenInk, frame: Frame, piece: Mask) -> bool:
    """Whether a piece of ink in a box is of a stroke that goes on beyond it."""
    width = pen_width(piece)
    return any(_is_from_elsewhere(page, frame, number, width) for number in _of(page.region, frame, piece))


def _is_from_elsewhere(page: PenInk, frame: Frame, number: int, width: float) -> bool:
    others = [each for each in page.boxes.get(number, ()) if each is not frame]
    if len(others) >= MANY or (len(others) == 1 and _gap(frame, others[0]) > WIDE):
        return True
    size, reach = page.size[number], page.reach[:, number]
    if others:
        size, reach = _without(page, frame, number, others)
    far, aside = _farthest(reach, frame)
    length = float(size) / max(width, 1.0)
    if far > FAR or aside > ASIDE or length > (TAIL_LONG if far > STRAIGHT * length else LONG):
        return True
    return _comes_back(page, frame, number, others)


def _has_strays(page: PenInk, frame: Frame, pieces: Iterable[Mask]) -> bool:
    """Whether there is ink beside a box that is of no mark: what is in the box may be a letter of a word."""
    own = [number for piece in pieces for number in _of(page.region, frame, piece)]
    near = page.region[_widened(frame, STRAY_NEAR)][page.stray[_widened(frame, STRAY_NEAR)]]
    return int((~np.isin(near, own)).sum()) > STRAY


def _without(page: PenInk, frame: Frame, number: int, others: Iterable[Frame]) -> tuple[int, Numbers]:
    """A region's dots beyond all boxes and their reach, those left out that are near another box of it."""
    own = page.beyond & (page.region == number)
    keep = own[_widened(frame, TIP)].copy()
    for other in others:
        own[_widened(other, TAIL)] = False
    own[_widened(frame, TIP)] = keep
    ys, xs = np.nonzero(own)
    if not len(ys):
        return 0, np.array(NOWHERE)
    return len(ys), np.array([xs.min(), ys.min(), xs.max(), ys.max()])


def _farthest(reach: Numbers, frame: Frame) -> tuple[int, int]:
    """How many dots beyond a frame something reaches, and how many to the left of it or below."""
    left, top, right, bottom = (int(side) for side in reach)
    if right < 0:
        return 0, 0
    aside = max(frame.left - left, bottom - frame.bottom, 0)
    return max(aside, frame.top - top, right - frame.right), aside


def _comes_back(page: PenInk, frame: Frame, number: int, others: Iterable[Frame]) -> bool:
    """Whether a stroke leaves a box and comes back to it at another place."""
    top, left = max(0, frame.top - AROUND), max(0, frame.left - AROUND)
    window = np.s_[top : frame.bottom + AROUND + 1, left : frame.right + AROUND + 1]
    own = page.ink[window] & (page.region[window] == number)
    for other in others:
        if _gap(frame, other) < TIGHT:
            rows, columns = _widened(other, EDGE)
            own[_from(rows, top), _from(columns, left)] = False
    box = np.s_[
        frame.top - EDGE - top : frame.bottom + EDGE + 1 - top,
        frame.left - EDGE - left : frame.right + EDGE + 1 - left,
    ]
    own[box] = False
    ring = _ring(own.shape, box)
    found = regions(widened(own, JOINED))
    distance = _distance(own.shape, box)
    for each in range(1, int(found.max()) + 1):
        part = found == each
        if part.any() and distance[part].max() > LOOP and _stretches(part[ring[:, 0], ring[:, 1]]) > 1:
            return True
    return False


def _gap(one: Frame, other: Frame) -> int:
    """Dots between two frames, along the side where they are farther apart."""
    aside = max(one.left - other.right, other.left - one.right)
    return max(aside, one.top - other.bottom, other.top - one.bottom)


def _from(part: slice, start: int) -> slice:
    return slice(max(0, part.start - start), max(0, part.stop - start))


def _ring(shape: tuple[int, ...], box: tuple[slice, slice]) -> Numbers:
    """The dots around a rectangle, in order."""
    top, bottom, left, right = box[0].start - 1, box[0].stop, box[1].start - 1, box[1].stop
    points = [
        *((top, x) for x in range(left, right)),
        *((y, right) for y in range(top, bottom)),
        *((bottom, x) for x in range(right, left, -1)),
        *((y, left) for y in range(bottom, top, -1)),
    ]
    return np.array(points).clip(0, [shape[0] - 1, shape[1] - 1])


def _distance(shape: tuple[int, ...], box: tuple[slice, slice]) -> Numbers:
    """How far dots are from a rectangle, along the side that is more."""
    y, x = np.indices(shape)
    down = np.maximum(box[0].start - y, y - box[0].stop + 1).clip(0)
    aside = np.maximum(box[1].start - x, x - box[1].stop + 1).clip(0)
    return np.asarray(np.maximum(down, aside))


def _stretches(flags: Mask) -> int:
    """In how many stretches flags are set, round a ring; gaps of less than `EDGE` aside."""
    at = np.flatnonzero(flags)
    if not len(at):
        return 0
    gaps = np.diff(np.append(at, at[0] + len(flags)))
    return max(1, int((gaps > EDGE).sum()))

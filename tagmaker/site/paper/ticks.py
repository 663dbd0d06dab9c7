"""Whether a box is ticked, blank or unclear: whatever could be two things is unclear.

Takes the darkness of a page and its frames as found; gives a reading for each box. A box counts as ticked
where one or two strokes cross most of it in dark ink, as blank where there is nothing within, a neighbour's
stroke at its rim aside, or where it is filled whole, which takes a mark back.
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tagmaker.site.paper.darkness import Darkness
from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.frames import Frame
from tagmaker.site.paper.readings import Tick
from tagmaker.site.paper.strokes import Strokes, figures, is_at_rim, is_open_aside, pieces

__all__ = ["INSET", "Inside", "has_traces", "inside_of", "judged"]

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]
INSET = round(0.55 * DOTS)
"""Dots from the middle of a frame's line to what counts as inside, beyond its ink and its blur."""
INK = 0.2  # of the printed frame's darkness, from which on a dot is ink
CORE = 0.2  # of the side, around the core
REACH = 0.62  # of the side, that a tick reaches at least
SLIM = 0.3  # of the side, that it is wide and high at least: no dash, no line that is only upright
LENGTH, LENGTH_MOST = 0.75, 2.9  # of the side: a tick's strokes together
DARK = 0.34  # of the printed frame's darkness: less is too faint
WIDTH_MOST = 1.8  # mm, of a pen
REST_MOST = 0.05  # of the ink, that two strokes may leave over
LEVEL_MOST = 0.8  # of a level line through the box: nobody ticks so, and so a mark is crossed out
GROUNDS_MOST = 4  # areas of white that a cross leaves
COVERED_MOST = 0.78  # of the inside
TRACE = 0.07  # of the printed frame's darkness: so dark that a blank box is not
TRACES = 0.3  # mm² of traces in one piece in the core of a blank box, at most
PATCH = 0.88  # of the paper's brightness around a box: less where no stroke is, is filled, or in shadow
PATCHES = 0.3  # mm² of that, at most
FILLED = 0.9  # of the inside that is as dark as its middle: filled whole


class Inside(Struct, frozen=True):
    """The inside of a box: its darkness, its pieces of ink, how black print is, and how it is filled.

    `patches` is the area in mm² that is dark and no stroke, `filled` the share of the inside that is as dark
    as what is filled.
    """

    lines: Floats
    pieces: tuple[Mask, ...]
    black: float
    patches: float
    filled: float


def inside_of(dark: Darkness, frame: Frame, inset: int = INSET) -> Inside:
    """The inside of a box as found on a page, so many dots within the lines of its frame."""
    within = np.s_[frame.top + inset : frame.bottom - inset + 1, frame.left + inset : frame.right - inset + 1]
    lines, areas = dark.lines[within], dark.areas[within]
    bright = (1 - areas) / (1 - lines).clip(0.05)
    is_stroke = lines > INK * frame.black
    patches = (bright < PATCH * _paper_around(dark, frame)) & ~is_stroke
    level = float(np.median(areas[patches])) if patches.any() else 1.0
    return Inside(
        lines,
        tuple(pieces(is_stroke)),
        frame.black,
        float(patches.sum()) / DOTS**2,
        float((areas > 0.75 * level).mean()),
    )


def _paper_around(dark: Darkness, frame: Frame) -> float:
    """How bright the paper around a box is, strokes aside: where a shadow's edge is, in the shadow."""
    sides = (
        np.s_[max(0, frame.top - DOTS) : frame.top, frame.left : frame.right],
        np.s_[frame.bottom : frame.bottom + DOTS, frame.left : frame.right],
        np.s_[frame.top : frame.bottom, max(0, frame.left - DOTS) : frame.left],
        np.s_[frame.top : frame.bottom, frame.right : frame.right + DOTS],
    )
    bright = [((1 - dark.areas[side]) / (1 - dark.lines[side]).clip(0.05)).ravel() for side in sides]
    return float(np.percentile(np.concatenate(bright), 15))


def judged(inside: Inside, shared: frozenset[int] = frozenset()) -> Tick:
    """A box's reading; `shared` are its pieces, by number, that go on in another box."""
    if inside.patches > PATCHES:
        return "blank" if inside.filled > FILLED else "unclear"
    own = [each for number, each in enumerate(inside.pieces) if number not in shared and not is_at_rim(each)]
    if not own:
        return "unclear" if shared or has_traces(inside) else "blank"
    ink = np.logical_or.reduce(own)
    if is_open_aside(ink):
        return "unclear"
    return "ticked" if _is_tick(figures(inside.lines, ink, inside.black)) else "unclear"


def has_traces(inside: Inside, least: float = TRACES) -> bool:
    """Whether there is anything in the core: faint ink, or dots of it, at least so many mm² in one piece."""
    by, bx = (round(CORE * side) for side in inside.lines.shape)
    core = inside.lines[by:-by, bx:-bx]
    return next(pieces(core > TRACE * inside.black, least), None) is not None


def _is_tick(ink: Strokes) -> bool:
    is_large = ink.reach >= REACH and ink.slim >= SLIM
    is_stroke = is_large and LENGTH <= ink.length <= LENGTH_MOST and ink.width <= WIDTH_MOST
    is_plain = (
        ink.rest <= REST_MOST and ink.level <= LEVEL_MOST and ink.grounds <= GROUNDS_MOST and not ink.holes
    )
    return is_stroke and is_plain and ink.covered <= COVERED_MOST and ink.dark >= DARK

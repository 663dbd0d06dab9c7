"""Ink beside boxes that are blank: a mark that missed its box may be meant for it, so the box is unclear.

Takes a page's darkness, its frames as found, and the page as it was printed, empty: ink that is neither
printed nor part of a mark or a word in some field is beside the boxes that it is near.
"""

from collections.abc import Iterable, Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from tagmaker.revisions.form_pages import FieldPlace
from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.frames import Frame
from tagmaker.site.paper.regions import widened
from tagmaker.site.paper.strokes import pieces
from tagmaker.site.paper.ticks import INK, INSET

__all__ = ["marked_beside", "printed_dots"]

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]
Mask = NDArray[np.bool_]
AROUND = round(6.2 * DOTS)  # dots around a frame that are looked at: a stroke's other parts may be there
BESIDE = round(3.0 * DOTS)  # dots around a frame that count as beside it
PRINTED = 215  # of 255: what is darker on the empty page is printed
SPREAD = round(0.5 * DOTS)  # dots by which print may be off or blurred
JOINED = round(0.8 * DOTS)  # dots from each side over which a stroke that print cuts is one
TOUCHES = 6  # dots of a stroke that are beside a box, at least
STROKE = 0.7  # mm², the least ink that may be a mark
WITHIN = 0.3  # of a piece's ink in fields: it is part of what is marked or written there


def marked_beside(
    lines: Floats,
    frames: Mapping[str, Frame],
    places: Mapping[str, FieldPlace],
    empty: Bytes,
    blank: Iterable[str],
) -> Iterator[str]:
    """Those of the blank boxes beside which there is ink that nothing explains."""
    fields = np.zeros(lines.shape, bool)
    for frame in frames.values():
        if frame.is_found:
            fields[frame.top + INSET : frame.bottom - INSET, frame.left + INSET : frame.right - INSET] = True
    printed = printed_dots(empty, SPREAD)
    for name in blank:
        frame, place = frames[name], places[name]
        black = INK * frame.black
        here = _around(frame.left, frame.top, frame)
        there = _around(round(place.x_mm * DOTS), round(place.y_mm * DOTS), frame)
        if here is None or there is None or lines[here].shape != printed[there].shape:
            continue
        ink = (lines[here] > black) & ~printed[there]
        own = np.zeros_like(ink)
        own[AROUND + INSET : -AROUND - INSET, AROUND + INSET : -AROUND - INSET] = True
        if _has_stray(ink, fields[here] & ~own):
            yield name


def printed_dots(empty: Bytes, spread: int) -> Mask:
    """Where an empty page is printed, and so many dots around it: print may be off, and is blurred."""
    return widened(empty < PRINTED, spread)


def _around(left: int, top: int, frame: Frame) -> tuple[slice, slice] | None:
    """A frame's surroundings where its corner is there; None where they are not all on the page."""
    high, wide = frame.bottom - frame.top + 1, frame.right - frame.left + 1
    if left < AROUND or top < AROUND:
        return None
    return np.s_[top - AROUND : top + high + AROUND, left - AROUND : left + wide + AROUND]


def _has_stray(ink: Mask, fields: Mask) -> bool:
    """Whether a piece of ink, cut where it crosses print, is a stroke and not part of what is in fields."""
    least, edge = STROKE * DOTS**2, AROUND - BESIDE
    beside = np.zeros_like(ink)
    beside[edge:-edge, edge:-edge] = True
    if not (ink & beside).any():
        return False
    for piece in pieces(widened(ink, JOINED)):
        own = piece & ink
        is_stroke, is_beside = (own & ~fields).sum() >= least, (own & beside & ~fields).sum() >= TOUCHES
        if is_stroke and is_beside and (own & fields).sum() < WITHIN * own.sum():
            return True
    return False

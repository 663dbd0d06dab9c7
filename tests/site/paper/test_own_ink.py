"""Ink of a mark in a box and beyond it: which is of no mark, and where a stroke goes on."""

import cv2
import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from tagmaker.revisions.form_pages import FieldPlace
from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.frames import Frame
from tagmaker.site.paper.own_ink import doubted, pen_ink
from tagmaker.site.paper.readings import Tick
from tagmaker.site.paper.strokes import pieces
from tagmaker.site.paper.through import PageStrokes, passes_through
from tagmaker.site.paper.ticks import INSET

SIDE, SIZE = 44, 400  # dots of a box and of the page
BOX = Frame(180, 180, 180 + SIDE, 180 + SIDE, 1.0, is_found=True)
BESIDE = Frame(BOX.right + 8, 180, BOX.right + 8 + SIDE, 180 + SIDE, 1.0, is_found=True)
TICKS: tuple[Tick, ...] = ("ticked", "unclear")
Picture = NDArray[np.uint8]
Masks = tuple[NDArray[np.bool_], ...]


def drawn(*strokes: list[tuple[int, int]]) -> Picture:
    """Strokes of a pen of 0.9 mm on an empty page."""
    page = np.zeros((SIZE, SIZE), np.uint8)
    for points in strokes:
        cv2.polylines(page, [np.array(points, np.int32)], isClosed=False, color=1, thickness=7)
    return page


def within(page: Picture, box: Frame = BOX) -> Masks:
    """The pieces of ink inside a box."""
    rows, columns = (
        slice(first + INSET, last - INSET + 1)
        for first, last in ((box.top, box.bottom), (box.left, box.right))
    )
    return tuple(pieces(page[rows, columns] > 0))


def is_doubted(page: Picture, beside: Tick) -> bool:
    """Whether a box that is ticked by its own ink is not, with a box beside it."""

    def off(x: ArrayLike, _y: ArrayLike) -> NDArray[np.float64]:
        return np.zeros((*np.shape(x), 2))

    none = np.zeros((SIZE, SIZE), bool)
    inks = PageStrokes(page.astype(np.float32), none, none)
    boxes = {"box": (BOX, within(page)), "beside": (BESIDE, within(page, BESIDE))}
    ink = pen_ink(inks, np.full((SIZE, SIZE), 255, np.uint8), off, list(boxes.values()))
    return "box" in doubted(ink, boxes, {"box": "ticked", "beside": beside})


def test_a_mark_that_goes_a_little_beyond_its_box_is_its_own() -> None:
    """A tick, and a cross that ends at the box beside it, whatever that has."""
    assert not is_doubted(drawn([(186, 200), (198, 216), (236, 166)]), "blank")
    for beside in TICKS:
        assert not is_doubted(drawn([(180, 180), (238, 224)], [(182, 222), (234, 176)]), beside)


@pytest.mark.parametrize("radius", [22, 26, 30])
def test_a_ring_of_which_a_box_holds_two_straight_strokes_is_none(radius: int) -> None:
    """5 to 8 mm wide, round the white between two boxes: its ink is bent, and in a box that is not clear."""
    page = drawn()
    cv2.circle(page, ((BOX.right + BESIDE.left) // 2, 202), radius, 1, 9)
    assert is_doubted(page, "unclear")


def test_a_stroke_is_followed_straight_on_where_print_hides_a_side_of_it() -> None:
    """What is seen of it there has another middle: its direction stays that of its whole parts."""
    page = drawn([(202, 202), (134, 20)])
    printed = np.zeros((SIZE, SIZE), bool)
    printed[177:183] = printed[136:168] = True
    printed[168:177, :190] = True
    place = FieldPlace(BOX.left / DOTS, BOX.top / DOTS, SIDE / DOTS, SIDE / DOTS)
    assert passes_through(PageStrokes(page.astype(np.float32), printed, printed), BOX, place, within(page))

"""A page in a photo or scan, straightened: found by its code and its four position marks.

Takes a grey picture and the corners of a code; gives the page as an upright picture of a known number of dots
a millimetre. The code shows roughly where the page is and which way up; the marks, solid squares with white
around them, show it exactly. A page of which one mark is hidden is not read: three leave the tilt unknown.
"""

from collections.abc import Iterator, Sequence
from itertools import product
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tagmaker.revisions.form_pages import FieldPlace
from tagmaker.tags.walk_code import MARK, MARK_CLEAR, MARK_EDGE

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["DOTS", "Corners", "flattened"]

DOTS = 8
"""Dots a millimetre of a straightened page: as a scan at 200 dots an inch."""
Corners = Sequence[tuple[float, float]]
"""Top left, top right, bottom right, bottom left, as the page is read."""
Floats = NDArray[np.float64]
SEARCHED = 3.0  # dots a millimetre in which marks are looked for
DISC, RING = (
    1.7,
    4.2,
)  # mm from a mark's middle: all dark up to the first, all white on a circle at the second
RING_POINTS = 20
SIZES = (1.15, 1.0, 0.87, 0.76)
"""How large a mark may be, by that of the code: tilt makes what is far away smaller."""
DARK_SHARE = 0.62  # of the least bright point of the ring, below which a mark's middle is dark
NEAR, FAR = 0.6, 1.6  # by how much tilt may change a distance that was measured by the code
SIDEWAYS = 0.28  # of a distance: how far off its direction a mark may be
CODE_OFF = 1.3  # mm: how far off its place a code may be found on the straightened page
CANDIDATES = 6  # for each mark, the nearest to where it is expected
SMALL_SIDE = 24  # pixels; a code that is smaller in the picture cannot be of a page that is read


def flattened(
    picture: "Image", code: Corners, place: FieldPlace, size_mm: tuple[float, float]
) -> "Image | None":
    """The page straightened; None where its marks are not found. `code` are the corners in pixels."""
    rough = _rough_scale(code, place)
    if rough * min(place.width_mm, place.height_mm) < SMALL_SIDE:
        return None
    shrink = max(1, int(rough / SEARCHED))
    small = picture.reduce(shrink) if shrink > 1 else picture
    grey = np.asarray(small)
    found = np.vstack([_marks(grey, rough / shrink * size) for size in SIZES]) * shrink
    marks = _chosen(found, code, place, size_mm)
    if marks is None:
        return None
    grey = np.asarray(picture)
    centres = np.array([_centre(grey, mark, rough) for mark in marks])
    from PIL.Image import Resampling, Transform  # noqa: PLC0415 — heavy, needed for pictures only

    to_picture = _projection(_mark_middles(size_mm) * DOTS, centres)
    wide, high = (round(side * DOTS) for side in size_mm)
    shift = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])  # Pillow samples at the middles of dots
    matrix = shift @ to_picture @ np.linalg.inv(shift)
    return picture.transform(
        (wide, high),
        Transform.PERSPECTIVE,
        [float(each) for each in (matrix / matrix[2, 2]).ravel()[:8]],
        resample=Resampling.BILINEAR,
        fillcolor=255,
    )


def _rough_scale(code: Corners, place: FieldPlace) -> float:
    """Pixels a millimetre at the code."""
    points = np.array(code)
    sides = np.hypot(*(points - np.roll(points, 1, axis=0)).T)
    return float(sides.mean() * 2 / (place.width_mm + place.height_mm))


def _mark_middles(size_mm: tuple[float, float]) -> Floats:
    """The middles of a page's marks in mm, from the top left clockwise."""
    near = MARK_EDGE + MARK / 2
    right, bottom = size_mm[0] - near, size_mm[1] - near
    return np.array([(near, near), (right, near), (right, bottom), (near, bottom)])


# --- candidates ---------------------------------------------------------------------------------------------


def _marks(grey: NDArray[np.uint8], scale: float) -> Floats:
    """The middles of what may be marks, in pixels: a dark disc with a white ring around it."""
    reach = int(RING * scale) + 2
    high, wide = grey.shape
    if min(high, wide) <= 2 * reach:
        return np.empty((0, 2))

    def shifted(x: float, y: float) -> NDArray[np.uint8]:
        dx, dy = round(x * scale) + reach, round(y * scale) + reach
        return grey[dy : high - 2 * reach + dy, dx : wide - 2 * reach + dx]

    inner = shifted(0, 0).copy()
    for x, y in _circle(DISC, 8):
        np.maximum(inner, shifted(x, y), out=inner)
    for x, y in _circle(DISC / 2, 4):
        np.maximum(inner, shifted(x, y), out=inner)
    outer = shifted(*next(_circle(RING, RING_POINTS))).copy()
    for x, y in _circle(RING, RING_POINTS):
        np.minimum(outer, shifted(x, y), out=outer)
    return _middles(inner < DARK_SHARE * outer, reach)


def _circle(radius: float, count: int) -> Iterator[tuple[float, float]]:
    for angle in np.linspace(0, 2 * np.pi, count, endpoint=False):
        yield float(radius * np.cos(angle)), float(radius * np.sin(angle))


def _middles(hits: NDArray[np.bool_], reach: int) -> Floats:
    """The middle of each group of hits; hits within a mark's reach of each other are one group."""
    ys, xs = np.nonzero(hits)
    left = np.column_stack([xs, ys]).astype(float)
    middles: list[Floats] = []
    while len(left):
        near = np.hypot(*(left - left[0]).T) < reach
        middles.append(left[near].mean(axis=0))
        left = left[~near]
    return np.array(middles).reshape(-1, 2) + reach


def _centre(grey: NDArray[np.uint8], mark: Floats, scale: float) -> Floats:
    """A mark's middle by the weight of its darkness, in the white around it."""
    reach = round((MARK / 2 + MARK_CLEAR * 0.5) * scale)
    middle = mark
    for _ in range(2):
        x, y = (int(side) for side in np.round(middle))
        part = grey[max(0, y - reach) : y + reach + 1, max(0, x - reach) : x + reach + 1].astype(float)
        white, black = np.percentile(part, 85), np.percentile(part, 10)
        weight = ((white - part) / max(white - black, 1.0) - 0.3).clip(0, 0.4)
        rows, columns = np.indices(part.shape)
        offset = np.array([max(0, x - reach), max(0, y - reach)])
        middle = offset + np.array([(columns * weight).sum(), (rows * weight).sum()]) / weight.sum()
    return np.asarray(middle)


# --- which four ---------------------------------------------------------------------------------------------


def _chosen(found: Floats, code: Corners, place: FieldPlace, size_mm: tuple[float, float]) -> Floats | None:
    """The four marks of the page to which the code belongs: with them the code is where it was printed."""
    corners = _corners_of(place)
    rough = _projection(corners, np.array(code), affine=True)
    middle = np.array(code).mean(axis=0)
    expected = _projected(rough, _mark_middles(size_mm))
    choices = [_near(found, middle, each) for each in expected]
    best, least = None, CODE_OFF
    for four in product(*choices):
        marks = np.array(four)
        if not _is_convex(marks):
            continue
        back = _projection(marks, _mark_middles(size_mm))
        off = float(np.hypot(*(_projected(back, np.array(code)) - corners).T).max())
        if off < least:
            best, least = marks, off
    return best


def _corners_of(place: FieldPlace) -> Floats:
    left, top = place.x_mm, place.y_mm
    right, bottom = left + place.width_mm, top + place.height_mm
    return np.array([(left, top), (right, top), (right, bottom), (left, bottom)])


def _near(found: Floats, middle: Floats, expected: Floats) -> Floats:
    """The candidates in about the direction and distance from the code at which a mark is expected."""
    if not len(found):
        return found
    way = expected - middle
    length = float(np.hypot(*way))
    along = (found - middle) @ way / length
    beside = np.abs((found - middle) @ np.array([-way[1], way[0]])) / length
    fits = (along > NEAR * length) & (along < FAR * length) & (beside < SIDEWAYS * length)
    fitting = found[fits]
    nearest = np.argsort(np.hypot(*(fitting - expected).T))[:CANDIDATES]
    return np.asarray(fitting[nearest])


def _is_convex(marks: Floats) -> bool:
    """Whether four points are the corners of a page seen from the front, clockwise."""
    sides = np.roll(marks, -1, axis=0) - marks
    after = np.roll(sides, -1, axis=0)
    return bool((sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0] > 0).all())


def _projection(start: Floats, end: Floats, *, affine: bool = False) -> Floats:
    """The projection (3 × 3) that takes four points to four others, or the nearest affine one."""
    rows: list[list[float]] = []
    for (x, y), (u, v) in zip(start, end, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y])
    matrix, right = np.array(rows), end.ravel()
    used = matrix[:, :6] if affine else matrix
    solved = np.linalg.lstsq(used, right, rcond=None)[0]
    return np.asarray(np.append(solved, [0, 0, 1] if affine else [1]).reshape(3, 3))


def _projected(projection: Floats, points: Floats) -> Floats:
    taken = np.column_stack([points, np.ones(len(points))]) @ projection.T
    return np.asarray(taken[:, :2] / taken[:, 2:])

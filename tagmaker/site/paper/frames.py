"""Where each field's printed frame is on a straightened page: paper that is not flat moves it by millimetres.

Takes the darkness of a page and its fields as printed; gives each field's frame as found, in dots. How far
frames are off is a smooth function of their place, so that each is looked for near where its neighbours say.
"""

from collections.abc import Callable, Mapping

import numpy as np
from msgspec import Struct
from numpy.typing import ArrayLike, NDArray

from tagmaker.revisions.form_pages import FieldPlace
from tagmaker.site.paper.flatten import DOTS

__all__ = ["FOUND_SHARE", "Frame", "Offset", "frames", "offsets_at"]

Floats = NDArray[np.float32]
Offsets = NDArray[np.float64]
Offset = Callable[[ArrayLike, ArrayLike], Offsets]
"""How far print is off (x, y) at places of a page (their x and y), all in dots."""
FIRST, LAST = 2.5, 1.0  # mm: how far from where it is expected a frame is looked for, first and at last
ROUNDS = 3
FARTHEST = 8.0  # mm, off its place by any curl or fold
SURE = 0.45  # of the edges' mean darkness: a frame that is at least so clear shows how far others are off
BEND = 0.8  # mm off the smooth function, above which a frame is taken for another
FOUND_SHARE = 0.9
"""Of a page's frames that must be found: else it is not the page that was printed."""
LEAST = 0.3  # of the darkness of a page's frames: with less on one of its edges a frame is not found
BLACK = 0.2  # darkness of a page's frames below which it is blurred or pale beyond reading


class Frame(Struct, frozen=True):
    """A frame as found: its left, top, right and bottom lines in dots, how dark they are, and if found."""

    left: int
    top: int
    right: int
    bottom: int
    black: float
    is_found: bool


def frames(lines: Floats, fields: Mapping[str, FieldPlace]) -> dict[str, Frame]:
    """Every field's frame by its name."""
    places = np.array([(f.x_mm, f.y_mm, f.width_mm, f.height_mm) for f in fields.values()]) * DOTS
    middles = places[:, :2] + places[:, 2:] / 2
    sums = _sums(lines)
    expected = np.zeros((len(places), 2))
    for _ in range(ROUNDS):
        found, scores = _searched(sums, places, expected, round(FIRST * DOTS))
        expected = _smooth(middles, found, scores, lines.shape)
    found, scores = _searched(sums, places, expected, round(LAST * DOTS))
    black = float(np.median(scores))
    return {
        name: _frame(place, offset, float(score), black)
        for name, place, offset, score in zip(fields, places, found, scores, strict=True)
    }


def _frame(place: Offsets, offset: Offsets, score: float, black: float) -> Frame:
    left, top = np.round(place[:2] + offset).astype(int)
    right, bottom = np.round(place[:2] + place[2:] + offset).astype(int)
    is_found = black > BLACK and score > LEAST * black
    return Frame(int(left), int(top), int(right), int(bottom), score, is_found)


class _Sums(Struct, frozen=True):
    """Running sums of the darkness along rows and along columns, with white all around the page."""

    margin: int
    along_rows: Floats
    along_columns: Floats


def _sums(lines: Floats) -> _Sums:
    margin = round(2 * FIRST * DOTS) + 2
    wide = np.pad(lines, margin)
    return _Sums(
        margin,
        np.pad(np.cumsum(wide, axis=1, dtype=np.float32), ((0, 0), (1, 0))),
        np.pad(np.cumsum(wide, axis=0, dtype=np.float32), ((1, 0), (0, 0))),
    )


def _searched(sums: _Sums, places: Offsets, expected: Offsets, reach: int) -> tuple[Offsets, Offsets]:
    """For each frame how far it is off (x, y) and the darkness of the least dark of its four lines."""
    offsets, scores = np.zeros_like(expected), np.zeros(len(places))
    for at, (place, guess) in enumerate(zip(places, expected, strict=True)):
        score = _lines_at(sums, place, guess, reach)
        row, column = np.unravel_index(int(score.argmax()), score.shape)
        offsets[at] = np.round(guess) + np.array([column - reach, row - reach])
        scores[at] = score[row, column]
    return offsets, scores


def _lines_at(sums: _Sums, place: Offsets, guess: Offsets, reach: int) -> Floats:
    """The mean darkness of the least dark line of a frame, for every offset within reach: rows are y."""
    limit = sums.margin - reach - 1
    high, wide = (side - 2 * sums.margin for side in sums.along_columns.shape)
    at = np.concatenate([place[:2], place[:2] + place[2:]]) + np.tile(np.round(guess), 2)
    x, y, right, bottom = np.round(at).astype(int).clip(-limit, [wide + limit, high + limit] * 2)
    first = sums.margin - reach
    span = 2 * reach + 1

    def part(of: Floats, row: int, column: int) -> Floats:
        return of[row + first : row + first + span, column + first : column + first + span]

    rows, columns = sums.along_rows, sums.along_columns
    level = [part(rows, row, right) - part(rows, row, x) for row in (y, bottom)]
    upright = [part(columns, bottom, column) - part(columns, y, column) for column in (x, right)]
    least = np.minimum(np.minimum(*level) / max(1, right - x), np.minimum(*upright) / max(1, bottom - y))
    return np.asarray(least, dtype=np.float32)


def _smooth(middles: Offsets, found: Offsets, scores: Offsets, shape: tuple[int, ...]) -> Offsets:
    """How far each frame is off by a cubic function of its place that most clear frames agree on."""
    terms = _terms(middles, shape)
    black = np.median(scores)
    used = scores > max(BLACK, SURE * black)
    smooth = np.zeros_like(found)
    for _ in range(4):
        if used.sum() < 2 * terms.shape[1]:
            return smooth
        solved = np.linalg.lstsq(terms[used], found[used], rcond=None)[0]
        smooth = (terms @ solved).clip(-FARTHEST * DOTS, FARTHEST * DOTS)
        off = np.hypot(*(found - smooth).T)
        used = (scores > max(BLACK, SURE * black)) & (off < max(BEND * DOTS, float(np.median(off[used]))))
    return smooth


def offsets_at(
    found: Mapping[str, Frame], fields: Mapping[str, FieldPlace], shape: tuple[int, ...]
) -> Offset | None:
    """How far print is off at places of the page, by the frames; None with too few."""
    known = [(frame, fields[name]) for name, frame in found.items() if frame.is_found]
    places = np.array([(f.x_mm, f.y_mm, f.width_mm, f.height_mm) for _, f in known]).reshape(-1, 4) * DOTS
    off = np.array([(frame.left, frame.top) for frame, _ in known]).reshape(-1, 2) - np.round(places[:, :2])
    terms = _terms(places[:, :2] + places[:, 2:] / 2, shape)
    if len(known) < 2 * terms.shape[1]:
        return None
    solved = np.linalg.lstsq(terms, off, rcond=None)[0]

    def at(x: ArrayLike, y: ArrayLike) -> Offsets:
        places = np.stack(np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float)), axis=-1)
        return np.asarray((_terms(places.reshape(-1, 2), shape) @ solved).reshape(places.shape))

    return at


def _terms(middles: Offsets, shape: tuple[int, ...]) -> Offsets:
    """The terms of a cubic in x and y, both from -1 to 1."""
    x, y = (middles / (shape[1], shape[0]) * 2 - 1).T
    powers = [(i, j) for i in range(4) for j in range(4 - i)]
    return np.column_stack([x**i * y**j for i, j in powers])

"""Rows of a page whose print is another one's: a strip of another sheet that is glued on, or lies there.

Takes a page's darkness, its frames as found, and the page as it was printed, empty. The words beside each row
of boxes are looked for where they were printed, and compared sign by sign (normalized cross-correlation). A
sign that is not like its print is another one, but where a pen went over it: then its ink is there, and more
ink goes on above or below it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np
from msgspec import Struct
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from tagmaker.revisions.form_pages import FieldPlace
from tagmaker.site.paper.flatten import DOTS
from tagmaker.site.paper.frames import Frame, Offset, offsets_at

__all__ = ["overlaid"]

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]
Mask = NDArray[np.bool_]
Off = tuple[int, int]
ALIKE = 0.67  # of 1: the least likeness of a sign on 12 clear pages was 0.72, of other signs 0.66 at most
INKED = 0.8  # of a sign's ink that is there where a pen went over it, but not where another sign is printed
PRINTED = 128  # of 255: what is darker on the empty page is ink
REACH = 8.0  # mm above and below a row in which print belongs to it, at most
FAR = 55.0  # mm along a row beyond which frames do not show how far print is off
FRAME = 0.6  # mm around fields that is their frames'
RULE = 0.25  # of the page's width, above which a line of ink is a rule
WORD_GAP, LINE_GAP = round(0.9 * DOTS), 2  # dots of white between words, and between lines of text
WORD_LONGEST = 60 * DOTS
SIGN_WIDE, SIGN_HIGH = 3, 10  # dots, below which a sign is a point or a dash
WORD_LOOK, SIGN_LOOK = ((2, 4), (1, 1)), ((2, 2), (1, 1))
"""Steps in dots, and how far: a word off its place, a sign off its word; then around the best of those."""
SIGN_FAR_LOOK = ((1, 4),)
"""Every dot, before a sign counts as another one: a coarse look may take the wrong side of a thin stroke."""
BEYOND = 3  # dots above and below a sign in which a pen that went over it shows
PAD = 2  # dots of white around a sign that belong to its picture


class _Word(Struct, frozen=True):
    """A word on the empty page: its rectangle in dots."""

    top: int
    bottom: int
    left: int
    right: int


def overlaid(
    lines: Floats,
    frames: Mapping[str, Frame],
    places: Mapping[str, FieldPlace],
    empty: Bytes,
    ticks: Iterable[str],
) -> Iterator[str]:
    """The boxes in rows beside which another print lies; rows of which no box was found are left out."""
    off = offsets_at(frames, places, lines.shape)
    if off is None:
        return
    ink = empty < PRINTED
    _clear(ink, places.values())
    rows: list[tuple[list[str], list[tuple[_Word, Off]]]] = []
    for names, top, bottom in _rows({name: places[name] for name in ticks if frames[name].is_found}):
        middles = [(places[name].x_mm + places[name].width_mm / 2) * DOTS for name in names]
        words = [
            (word, _place(lines, ink, word, off))
            for word in _words(ink[top:bottom], top)
            if min(abs((word.left + word.right) / 2 - middle) for middle in middles) < FAR * DOTS
        ]
        rows.append((names, words))
    every = [_darkness(lines, ink, word, there) for _, words in rows for word, there in words]
    black = float(np.median(every)) if every else 0.0
    for names, words in rows:
        if any(_is_another(lines, ink, word, there, black) for word, there in words):
            yield from names


def _clear(ink: Mask, places: Iterable[FieldPlace]) -> None:
    """Take fields with their frames out of the ink."""
    for place in places:
        rows = _span(place.y_mm - FRAME, place.y_mm + place.height_mm + FRAME)
        ink[rows, _span(place.x_mm - FRAME, place.x_mm + place.width_mm + FRAME)] = False


def _span(start: float, end: float) -> slice:
    return slice(max(0, int(start * DOTS)), int(end * DOTS) + 1)


def _rows(places: Mapping[str, FieldPlace]) -> Iterator[tuple[list[str], int, int]]:
    """Boxes side by side, with the band of the page (in dots) whose print is theirs."""
    by_top: dict[float, list[str]] = {}
    for name, place in places.items():
        by_top.setdefault(round(place.y_mm, 1), []).append(name)
    tops = sorted(by_top)
    ends = {top: top + max(places[name].height_mm for name in by_top[top]) for top in tops}
    for number, top in enumerate(tops):
        above = (top - ends[tops[number - 1]]) / 2 if number else REACH
        below = (tops[number + 1] - ends[top]) / 2 if number + 1 < len(tops) else REACH
        band = _span(top - min(REACH, max(0, above)), ends[top] + min(REACH, max(0, below)))
        yield by_top[top], band.start, band.stop


def _words(band: Mask, top: int) -> Iterator[_Word]:
    """The words in a band of ink, line by line; rules and frames that are as long as a line left out."""
    band = band.copy()
    band[band.sum(axis=1) > RULE * band.shape[1]] = False
    for first, last in _runs(np.asarray(band.any(axis=1)), LINE_GAP):
        if last - first < SIGN_HIGH or first == 0 or last == len(band):  # a line that the band cuts
            continue
        for left, right in _runs(np.asarray(band[first:last].any(axis=0)), WORD_GAP):
            if right - left < WORD_LONGEST:
                yield _Word(top + first, top + last, left, right)


def _runs(flags: Mask, gap: int) -> Iterator[tuple[int, int]]:
    """Where flags are set, from and to: runs that are no farther apart than a gap are one."""
    at = np.flatnonzero(flags)
    cuts = np.flatnonzero(np.diff(at) > max(1, gap))
    for first, last in zip(np.append(0, cuts + 1), np.append(cuts, len(at) - 1), strict=True):
        if len(at):
            yield int(at[first]), int(at[last]) + 1


def _place(lines: Floats, ink: Mask, word: _Word, off: Offset) -> Off:
    """How far off its print a word is (x, y), in dots."""
    x, y = off((word.left + word.right) / 2, (word.top + word.bottom) / 2)
    return _best(lines, ink, word, (round(x), round(y)), WORD_LOOK)[1]


def _darkness(lines: Floats, ink: Mask, word: _Word, off: Off) -> float:
    """How dark the ink of a word or sign is where it should be; 0 beyond the page."""
    own = ink[word.top : word.bottom, word.left : word.right]
    top, left = max(0, word.top + off[1]), max(0, word.left + off[0])
    found = lines[top : top + own.shape[0], left : left + own.shape[1]]
    return float(found[own].mean()) if found.shape == own.shape else 0.0


def _is_another(lines: Floats, ink: Mask, word: _Word, there: Off, black: float) -> bool:
    """Whether any sign of a word is another one than was printed; `black` is the page's ink."""
    return any(_is_other_sign(lines, ink, sign, there, black) for sign in _signs(ink, word))


def _signs(ink: Mask, word: _Word) -> Iterator[_Word]:
    """The signs of a word that are larger than a point or a dash."""
    part = ink[word.top : word.bottom, word.left : word.right]
    for left, right in _runs(np.asarray(part.any(axis=0)), 1):
        rows = np.flatnonzero(part[:, left:right].any(axis=1))
        high = int(rows[-1]) + 1 - int(rows[0])
        if right - left >= SIGN_WIDE and high > SIGN_HIGH:
            top = word.top + int(rows[0])
            yield _Word(top, top + high, word.left + left, word.left + right)


def _is_other_sign(lines: Floats, ink: Mask, sign: _Word, there: Off, black: float) -> bool:
    likeness, off = _best(lines, ink, sign, there, SIGN_LOOK)
    if likeness < ALIKE:
        likeness, off = _best(lines, ink, sign, there, SIGN_FAR_LOOK)
    if likeness >= ALIKE:
        return False
    is_inked = _darkness(lines, ink, sign, off) >= INKED * black
    return not (is_inked and _has_pen(lines, ink, sign, off, black))


def _has_pen(lines: Floats, ink: Mask, sign: _Word, off: Off, black: float) -> bool:
    """Whether ink goes on above or below a sign, where the paper is white: a pen's does, print's does not."""
    columns = slice(sign.left - PAD, sign.right + PAD)
    for start in (sign.top - PAD - BEYOND, sign.bottom + PAD):
        rows = slice(start, start + BEYOND)
        found = lines[_moved(rows, off[1]), _moved(columns, off[0])]
        if not ink[rows, columns].any() and (found > black / 2).any():
            return True
    return False


def _moved(part: slice, by: int) -> slice:
    return slice(max(0, part.start + by), max(0, part.stop + by))


def _best(
    lines: Floats, ink: Mask, word: _Word, around: Off, look: Sequence[tuple[int, int]]
) -> tuple[float, Off]:
    """How alike a part of the page is to its print where it is most alike, and how far off that is (x, y)."""
    part = (slice(word.top - PAD, word.bottom + PAD), slice(word.left - PAD, word.right + PAD))
    printed = _blurred(ink, part)
    if printed is None:
        return 1.0, around
    printed = printed - printed.mean()
    best, place = -1.0, around
    for step, far in look:
        found, off = _likest(lines, part, place, range(-far, far + 1, step), printed)
        if found > best:
            best, place = found, off
    return best, place


def _likest(
    lines: Floats, part: tuple[slice, slice], around: Off, steps: range, printed: Floats
) -> tuple[float, Off]:
    """The greatest likeness to print (less its mean) among places around one; -1 if none is on the page."""
    high, wide = printed.shape
    tops = [top for step in steps if 0 <= (top := part[0].start + around[1] + step) <= len(lines) - high]
    lefts = [
        left for step in steps if 0 <= (left := part[1].start + around[0] + step) <= lines.shape[1] - wide
    ]
    if not tops or not lefts:
        return -1.0, around
    windows = sliding_window_view(lines, printed.shape)[np.ix_(tops, lefts)]
    found = windows - windows.mean(axis=(2, 3), keepdims=True)
    both = np.sqrt(np.einsum("abij,abij->ab", found, found) * (printed**2).sum())
    likeness = np.einsum("abij,ij->ab", found, printed) / np.where(both > 0, both, np.inf)
    row, column = np.unravel_index(int(likeness.argmax()), likeness.shape)
    return float(likeness[row, column]), (lefts[column] - part[1].start, tops[row] - part[0].start)


def _blurred(ink: Mask, part: tuple[slice, slice]) -> Floats | None:
    """A part of the print as a camera shows it: a mean of neighbours, twice; None at the page's edge."""
    rows, columns = part
    if rows.start < 2 or columns.start < 2 or rows.stop + 2 > ink.shape[0] or columns.stop + 2 > ink.shape[1]:
        return None
    wide = ink[rows.start - 2 : rows.stop + 2, columns.start - 2 : columns.stop + 2].astype(np.float32)
    for _ in range(2):
        three = wide[:-2] + wide[1:-1] + wide[2:]
        wide = (three[:, :-2] + three[:, 1:-1] + three[:, 2:]) / np.float32(9)
    return wide

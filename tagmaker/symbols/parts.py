"""The parts of a picture in which a code can be: those where neighbouring greys differ.

Takes a grey picture; gives pieces of it, in which what is even is painted over. A code is half dark and half
light, wherever it is cut: what is even in a picture a quarter as large holds none. A reader takes most of its
time for the noise of even walls and ceilings, and is spared these; it still sees every code at full size.
"""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from tagmaker.symbols.greys import piece

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["Part", "uneven_parts"]

SHRINK = 4
CELL = 8  # pixels of the shrunk picture; a cell is even or uneven
CELL_PX = SHRINK * CELL
UNEVEN = 6
"""Greys by which a pixel of the shrunk picture differs from those beside and below it, both added, on average
in a cell: noise of 7 greys a pixel makes 4, and the faintest code that is read, of 24 greys, 8."""
AROUND = 2  # cells around an uneven one that are kept with it: a code's quiet zone
PAINT = 128


class Part(Struct, frozen=True):
    """A piece of a picture, and where its top left is in the whole, in pixels."""

    picture: "Image"
    x: int
    y: int


def uneven_parts(picture: "Image") -> Iterator[Part]:
    """The parts of a grey picture where neighbours differ, each painted over where they do not."""
    if min(picture.size) <= CELL_PX:
        yield Part(picture, 0, 0)
        return
    marked = _marked(picture)
    if marked.getextrema()[0]:  # all of it
        yield Part(picture, 0, 0)
        return
    for left, top, right, bottom in _pieces(marked, (0, 0, *marked.size)):
        pixels = (
            left * CELL_PX,
            top * CELL_PX,
            picture.width if right == marked.width else right * CELL_PX,
            picture.height if bottom == marked.height else bottom * CELL_PX,
        )
        part = piece(picture, pixels)
        _paint(part, marked.crop((left, top, right, bottom)))
        yield Part(part, *pixels[:2])


def _marked(picture: "Image") -> "Image":
    """A picture with a pixel a cell: not 0 where the cell or one around it is uneven."""
    from PIL import ImageChops, ImageFilter  # noqa: PLC0415 — heavy, needed for pictures only

    small = picture.reduce(SHRINK)
    wide, high = small.width - 1, small.height - 1
    here = small.crop((0, 0, wide, high))
    beside = ImageChops.difference(here, small.crop((1, 0, wide + 1, high)))
    below = ImageChops.difference(here, small.crop((0, 1, wide, high + 1)))
    cells = ImageChops.add(beside, below).reduce(CELL)
    return cells.point(lambda grey: 255 * (grey > UNEVEN)).filter(ImageFilter.MaxFilter(2 * AROUND + 1))


Cells = tuple[int, int, int, int]
"""Left, top, right and bottom in cells, right and bottom outside."""


def _pieces(marked: "Image", box: Cells) -> Iterator[Cells]:
    """A box cut along its empty rows and columns, until no piece has any."""
    columns, rows = marked.crop(box).getprojection()
    left, top = box[:2]
    across, down = list(_runs(columns)), list(_runs(rows))
    boxes = [(left + x, top + y, left + to_x, top + to_y) for y, to_y in down for x, to_x in across]
    if boxes == [box]:
        yield box
        return
    for each in boxes:
        yield from _pieces(marked, each)


def _paint(part: "Image", marked: "Image") -> None:
    """Paint over what is even, row by row of cells."""
    cells = marked.tobytes()
    for row in range(marked.height):
        places = cells[row * marked.width : (row + 1) * marked.width]
        top = row * CELL_PX
        bottom = part.height if row == marked.height - 1 else top + CELL_PX
        for begin, end in _runs([not place for place in places]):
            right = part.width if end == marked.width else end * CELL_PX
            part.paste(PAINT, (begin * CELL_PX, top, right, bottom))


def _runs(filled: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Beginning and end of each run of filled places."""
    begin = None
    for at, each in enumerate([*filled, 0]):
        if each and begin is None:
            begin = at
        elif not each and begin is not None:
            yield begin, at
            begin = None

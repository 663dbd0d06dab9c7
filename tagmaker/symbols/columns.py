"""The columns of a picture as rows: bars that run along a picture's width are read from them.

Takes a grey picture; gives pictures of a turned one, a row for several columns. A reader that turns a picture
by itself walks down each column through all of the memory, which took a third of its time. The mean of
neighbouring columns has less noise than each of them, and bars are as sharp in it.
"""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["Columns", "columns"]

LINES = 500
"""Rows into which a wide picture is gathered: the reader looks at each of them, up to 1,023."""
LEAST = 3  # columns to a row, in a narrow picture
COARSE = 3  # rows to a pixel in the second look, for large bars in strong noise
COARSE_FROM = 500  # pixels of the longer side from which there is one: so does the reader with rows


class Columns(Struct, frozen=True):
    """A picture turned left by a quarter: a row is so many columns of the whole, a pixel so many rows."""

    picture: "Image"
    columns: int
    rows: int

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Where in the whole picture a place of the turned one is, in pixels."""
        return (self.picture.height - y - 0.5) * self.columns, (x + 0.5) * self.rows - 0.5


def columns(picture: "Image") -> Iterator[Columns]:
    """A picture's columns, the mean of each few; of a large picture once more with the mean of its rows."""
    from PIL import Image  # noqa: PLC0415 — heavy, needed for pictures only

    few = max(LEAST, math.ceil(picture.width / LINES))
    turned = picture.reduce((few, 1)).transpose(Image.Transpose.ROTATE_90)
    yield Columns(turned, few, 1)
    if max(picture.size) > COARSE_FROM:
        yield Columns(turned.reduce((COARSE, 1)), few, COARSE)

"""Grey pictures whose pixels lie in one piece of memory, which a reader of codes takes as it is.

Takes a size, or a picture; gives a picture in memory of its own, to decode a photo into or to paint on. Its
memory is given to the reader; any other picture is copied first. That copy, and the small pages in which
systems give out memory, took a seventh of the time of a photo.
"""

import mmap
from contextlib import suppress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["grey_picture", "greys", "piece", "quarter_turned"]

LARGE_PAGE = 2 << 20
"""Bytes of a large page of memory, where there are any."""
STRIP_ROWS = 128
HELD = "held_greys"  # a picture's attribute: its pixels as Pillow has them, and the same as memory


def grey_picture(size: tuple[int, int]) -> "Image":
    """A black picture of this size, in memory of its own."""
    from PIL import Image  # noqa: PLC0415 — heavy, needed for pictures only

    width, height = size
    memory = _memory(width * height)
    picture = Image.frombuffer("L", size, memory, "raw", "L", 0, 1)  # type: ignore[arg-type]  # any buffer
    picture.readonly = 0  # else Pillow takes the memory for somebody's, and copies it before it writes
    dots = memoryview(memory)[: width * height].cast("B", (height, width))
    picture.__dict__[HELD] = picture.im, dots
    return picture


def piece(picture: "Image", box: tuple[int, int, int, int]) -> "Image":
    """A copy of a part of a grey picture: left, top, right and bottom in its pixels."""
    left, top, right, bottom = box
    part = grey_picture((right - left, bottom - top))
    part.paste(picture, (-left, -top))
    return part


def quarter_turned(picture: "Image", *, to_right: bool) -> "Image":
    """A grey picture turned by a quarter, by strips: the whole would leave the processor's cache."""
    from PIL import Image  # noqa: PLC0415 — as above

    turn = Image.Transpose.ROTATE_270 if to_right else Image.Transpose.ROTATE_90
    width, height = picture.size
    turned = grey_picture((height, width))
    for top in range(0, height, STRIP_ROWS):
        foot = min(height, top + STRIP_ROWS)
        strip = piece(picture, (0, top, width, foot)).transpose(turn)
        turned.paste(strip, (height - foot if to_right else top, 0))
    return turned


def greys(picture: "Image") -> memoryview:
    """A grey picture's pixels by rows, copied only where they lie in no memory of their own."""
    pixels, dots = picture.__dict__.get(HELD, (None, None))
    if isinstance(dots, memoryview) and pixels is picture.im:  # else it was turned, or copied, since
        return dots
    return greys(piece(picture, (0, 0, *picture.size)))


def _memory(size: int) -> mmap.mmap | bytearray:
    """So many bytes or more, all zero, in large pages where there are any."""
    if size >= LARGE_PAGE and hasattr(mmap, "MADV_HUGEPAGE"):
        with suppress(OSError):  # a system that knows the word, and was built without them
            whole = -(-size // LARGE_PAGE) * LARGE_PAGE
            memory = mmap.mmap(-1, whole, flags=mmap.MAP_PRIVATE | mmap.MAP_ANONYMOUS)
            memory.madvise(mmap.MADV_HUGEPAGE)
            return memory
    return bytearray(size)

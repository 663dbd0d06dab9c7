"""Marks drawn and looked at again: pages as pictures at 300 dpi, and what lies where in millimetres."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import pypdfium2
from PIL import Image, ImageChops

from tagmaker.draw.marks import Mark, Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.typeset.fonts import all_faces

WIDTH, HEIGHT = 101.6, 60.96  # 1200 x 720 pixels exactly
DPI = 300
PIXEL = 25.4 / DPI
NEAR = 2 * PIXEL
"""An edge falls anywhere within a pixel, and the half-inked one beside it may count or not."""


def pdf(*marks: Mark) -> bytes:
    """One page of 4 x 2.4 in with these marks."""
    return draw_pdf("Title", "Author", [Page(WIDTH, HEIGHT, marks)], all_faces())


def picture(*marks: Mark) -> Image.Image:
    """The page as printed at 300 dpi, in greys."""
    with opened(pdf(*marks)) as document:
        image: Image.Image = document[0].render(scale=DPI / 72, grayscale=True).to_pil()
        return image


@contextmanager
def opened(content: bytes) -> Iterator[pypdfium2.PdfDocument]:
    """A PDF as pdfium has it."""
    document = pypdfium2.PdfDocument(content)
    try:
        yield document
    finally:
        document.close()


def inked(image: Image.Image, darkness: int = 128) -> tuple[float, float, float, float] | None:
    """Left, top, right and bottom, in mm, of all that is at least so dark (255 is black)."""
    dark = ImageChops.invert(image).point([0 if level < darkness else 255 for level in range(256)])
    box = dark.getbbox()
    return (box[0] * PIXEL, box[1] * PIXEL, box[2] * PIXEL, box[3] * PIXEL) if box else None


def grey_at(image: Image.Image, x: float, y: float) -> int:
    """The grey at a place in mm, 0 black and 255 white."""
    return int(str(image.getpixel((int(x / PIXEL), int(y / PIXEL)))))


def is_dark(image: Image.Image, x: float, y: float) -> bool:
    """Whether there is ink at a place in mm."""
    return grey_at(image, x, y) < 128


def letters(rows: Iterable[Iterable[bool]]) -> list[str]:
    """A grid of dark and light as letters: # and a point."""
    return ["".join("#" if dark else "." for dark in row) for row in rows]

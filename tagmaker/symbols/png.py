"""Finished pages as PNG pictures, made from the paper's own bytes so that the two cannot differ."""

import io
from collections.abc import Iterator
from pathlib import Path

from tagmaker.symbols.read import page_pictures

__all__ = ["page_pngs"]

BLACK_BELOW = 128


def page_pngs(pdf: bytes | Path, dpi: float, *, one_bit: bool) -> Iterator[bytes]:
    """Each page of a PDF at so many dots an inch, grey or in the one bit of a thermal printer."""
    from PIL.PngImagePlugin import PngInfo  # noqa: PLC0415 — heavy, and few sets have pictures

    for picture in page_pictures(pdf, dpi):
        shown = picture.point(lambda grey: 255 * (grey >= BLACK_BELOW), mode="1") if one_bit else picture
        out, about = io.BytesIO(), PngInfo()
        about.add_text("Software", "tagmaker")  # by this a later run knows it as its own, and may replace it
        shown.save(out, "PNG", dpi=(dpi, dpi), pnginfo=about)
        yield out.getvalue()

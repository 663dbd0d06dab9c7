"""Finished pages as a phone would see them, in files of the kinds that phones write."""

import io
from pathlib import Path

import numpy as np
import pypdfium2
from PIL import Image

from tests.bench.placard_damage import frame

PX_MM = 8  # a phone of 12 megapixels at 0.35 m


def page_picture(pdf: Path, number: int = 1, px_mm: float = PX_MM) -> Image.Image:
    """A page of a finished PDF in grey, so many pixels a millimetre."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        picture: Image.Image = document[number - 1].render(scale=px_mm * 25.4 / 72, grayscale=True).to_pil()
    finally:
        document.close()
    return picture


def taken(picture: Image.Image, degrees: float, seed: int = 1) -> Image.Image:
    """A photo of a page: turned by so much, in perspective, blurred, unevenly lit, with noise, in colour."""
    table = picture.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=110)
    return frame(table, np.random.default_rng(seed)).convert("RGB")


def saved(picture: Image.Image, path: Path, orientation: int = 1) -> Path:
    """The picture in a file of the kind that its name says, its orientation noted as a camera does."""
    kind = {".png": "PNG", ".bmp": "BMP", ".webp": "WEBP"}.get(path.suffix.lower(), "JPEG")
    notes = Image.Exif()
    notes[0x0112] = orientation  # the tag Orientation of Exif
    out = io.BytesIO()
    picture.save(out, kind, exif=notes, quality=75)
    path.write_bytes(out.getvalue())
    return path

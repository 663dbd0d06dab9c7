"""Finished pages to pictures, and pictures to the texts of the codes in them."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["Found", "open_picture", "page_pictures", "read_codes"]

POINTS_AN_INCH = 72
MM_AN_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Found:
    """A decoded symbol: its text, kind ("qr", "code128"), and its box in mm from the picture's top left."""

    text: str
    kind: str
    x: float
    y: float
    width: float
    height: float


def page_pictures(pdf: bytes, dpi: float) -> "Iterator[Image]":
    """Each page of a PDF as a grey picture."""
    import pypdfium2  # noqa: PLC0415 — heavy, needed for proofs only

    document = pypdfium2.PdfDocument(pdf)
    try:
        for page in document:
            yield page.render(scale=dpi / POINTS_AN_INCH, grayscale=True).to_pil()
    finally:
        document.close()


def open_picture(path: Path) -> "Image":
    """A photo in grey, upright as its camera held it."""
    from PIL import Image, ImageOps  # noqa: PLC0415 — heavy, needed for photos only

    with Image.open(path) as picture:
        return ImageOps.exif_transpose(picture).convert("L")


def read_codes(picture: "Image", dpi: float) -> list[Found]:
    """Every QR code and Code 128 in a picture, by zxing-cpp, which shares no code with the encoders."""
    import zxingcpp  # noqa: PLC0415 — heavy, needed for proofs only

    formats = (zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.Code128)
    return [_found(code, MM_AN_INCH / dpi) for code in zxingcpp.read_barcodes(picture, formats=formats)]


def _found(code: object, mm: float) -> Found:
    place = code.position  # type: ignore[attr-defined]
    corners = [place.top_left, place.top_right, place.bottom_left, place.bottom_right]
    xs, ys = [corner.x for corner in corners], [corner.y for corner in corners]
    kind = "qr" if "QR" in str(code.format) else "code128"  # type: ignore[attr-defined]
    return Found(
        code.text,  # type: ignore[attr-defined]
        kind,
        min(xs) * mm,
        min(ys) * mm,
        (max(xs) - min(xs)) * mm,
        (max(ys) - min(ys)) * mm,
    )

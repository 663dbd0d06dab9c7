"""Finished pages to pictures, and pictures to the texts of the codes in them.

Takes PDF bytes or a photo's; gives texts with their places. Reader (zxing-cpp) and renderer (pdfium) share no
code with what drew and encoded, so that a proof is no comparison of a mistake with itself. Both let other
threads run while they work.
"""

import io
import math
import threading
import warnings
from collections.abc import Callable, Collection, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from msgspec import Struct

from tagmaker.symbols.columns import columns
from tagmaker.symbols.encode import SymbolKind
from tagmaker.symbols.greys import grey_picture, greys, quarter_turned
from tagmaker.symbols.parts import Part, uneven_parts

if TYPE_CHECKING:
    import zxingcpp
    from PIL.Image import Image
    from PIL.ImageFile import ImageFile
    from pypdfium2 import PdfPage

__all__ = [
    "MM_AN_INCH",
    "PDFIUM",
    "PIXELS_AT_MOST",
    "POINTS_AN_INCH",
    "Decoded",
    "Picture",
    "Place",
    "open_picture",
    "page_pictures",
    "read_alone",
    "read_codes",
    "read_print",
    "to_whole_dots",
]

Picture: TypeAlias = "Image"
"""A grey picture, for those who hand it on."""
Place: TypeAlias = tuple[float, float, float, float]
"""Left, top, width and height in mm from a page's top left corner."""
Point: TypeAlias = tuple[float, float]
"""Across and down, in mm."""
POINTS_AN_INCH = 72
PDFIUM = threading.Lock()
"""Held while pdfium works: it is made for one thread at a time."""
MM_AN_INCH = 25.4
PIXELS_AT_MOST = 200_000_000
PHOTO_PIXELS_AT_MOST = 110_000_000  # of the phones whose sensors have 108 million
DECODED_AT_ONCE = 1 << 24
"""Bytes of a file: most photos have fewer."""
QUARTER_TURNS = {6: True, 8: False}
"""Whether a photo is turned to the right, by its note of how its camera was held (Exif, Orientation)."""
PICTURES = (
    "JPEG",
    "PNG",
    "BMP",
    "WEBP",
)  # whatever a file is called: for other kinds Pillow may start other programs


class Decoded(Struct, frozen=True):
    """A decoded symbol: its text, kind ("qr", "code128"), and its box in mm from the picture's top left.

    `corners` are those of the symbol itself, however it is turned: top left, top right, bottom right, bottom
    left.
    """

    text: str
    kind: SymbolKind
    x: float
    y: float
    width: float
    height: float
    corners: tuple[tuple[float, float], ...] = ()


def page_pictures(
    pdf: bytes | Path, dpi: float, pages_at_most: int | None = None, only: Collection[int] | None = None
) -> "Iterator[Image]":
    """Each page of a PDF, or those of these numbers (from 1) by number, as a grey picture, dot for dot.

    A page that ends within a dot is filled up in white.
    """
    import pypdfium2  # noqa: PLC0415 — heavy, needed for proofs only

    with PDFIUM:
        document = pypdfium2.PdfDocument(pdf)
    try:
        if pages_at_most is not None and len(document) > pages_at_most:
            raise ValueError(f"it has more than {pages_at_most:,} pages")
        for number in sorted(only) if only is not None else range(1, len(document) + 1):
            if number > len(document):
                break
            with PDFIUM:
                picture = _picture(document[number - 1], dpi / POINTS_AN_INCH)
            yield picture
    finally:
        with PDFIUM:
            document.close()


def _picture(page: "PdfPage", dots_a_point: float) -> "Image":
    """A page as a grey picture; closed, or its glyphs and paths are kept until the document's end."""
    width, height = (points * dots_a_point for points in page.get_size())
    if width * height > PIXELS_AT_MOST:
        raise ValueError("a page is too large")
    to_whole_dots(page, dots_a_point)
    picture: Image = page.render(scale=dots_a_point, grayscale=True).to_pil()
    page.close()
    return picture


def to_whole_dots(page: "PdfPage", dots_a_point: float) -> None:
    """Widen a page at its right and foot to whole dots: pdfium would stretch it, and bars off their dots."""
    left, bottom, right, top = page.get_mediabox()
    wide, high = (_whole(points * dots_a_point) / dots_a_point for points in (right - left, top - bottom))
    page.set_mediabox(left, top - high, left + wide, top)


def _whole(dots: float) -> float:
    """The next whole number of dots, less what rounding might add to it."""
    return math.ceil(dots - 0.01) - 0.001


def open_picture(content: bytes) -> "Image":
    """A photo in grey, upright as its camera held it."""
    from PIL import Image, UnidentifiedImageError  # noqa: PLC0415 — heavy, needed for photos only

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of broken notes in a photo, which are no part of its picture
        try:
            with Image.open(io.BytesIO(content), formats=PICTURES) as picture:
                layers = 2 if picture.has_transparency_data else 1
                if layers * picture.width * picture.height > PHOTO_PIXELS_AT_MOST:
                    raise ValueError("it has too many pixels")
                picture.draft("L", picture.size)  # of a JPEG its grey alone
                return _opened(picture)
        except UnidentifiedImageError as reason:  # its text names an object in memory, not the file
            raise ValueError("it is not a photo of a known kind, or damaged") from reason
        except Image.DecompressionBombError as reason:
            raise ValueError("it has too many pixels") from reason


def _opened(picture: "ImageFile") -> "Image":
    """An open picture in grey, as its camera held it; one of greys is decoded into memory of its own."""
    from PIL import ExifTags, ImageOps  # noqa: PLC0415 — heavy, needed for photos only

    if picture.mode != "L" or picture.has_transparency_data:
        ImageOps.exif_transpose(picture, in_place=True)
        return _grey(picture)
    grey = grey_picture(picture.size)
    picture.im = grey.im
    picture.decodermaxblock = DECODED_AT_ONCE
    picture.load()
    turn = picture.getexif().get(ExifTags.Base.Orientation)
    if turn in QUARTER_TURNS:
        return quarter_turned(grey, to_right=QUARTER_TURNS[turn])
    ImageOps.exif_transpose(picture, in_place=True)
    return grey if grey.im is picture.im else picture


def _grey(picture: "Image") -> "Image":
    """A picture in grey, on white paper where it is transparent; one that is grey already is not copied."""
    from PIL import Image  # noqa: PLC0415 — heavy, needed for photos only

    if picture.mode.startswith("I"):  # 16 bits, which "L" would cut at 255
        return picture.convert("I").point(lambda grey: grey * (1 / 257)).convert("L")
    if not picture.has_transparency_data:
        return picture if picture.mode == "L" else picture.convert("L")
    paper = Image.new("RGBA", picture.size, "white")
    return Image.alpha_composite(paper, picture.convert("RGBA")).convert("L")


def read_codes(picture: "Image", dpi: float) -> list[Decoded]:
    """Every QR code and Code 128 in a grey picture, by zxing-cpp, which shares no code with the encoders.

    Codes in light on dark, which nobody prints, are looked for where there is nothing else.
    """
    found = [code for part in uneven_parts(picture) for code in _in_part(part, dpi)]
    return found or [code for part in uneven_parts(picture) for code in _light_on_dark(part, dpi)]


def _places(part: "Part", dpi: float) -> Callable[[float, float], Point]:
    """What gives the place in mm of a pixel of a part."""
    mm = MM_AN_INCH / dpi
    return lambda x, y: ((part.x + x) * mm, (part.y + y) * mm)


def _light_on_dark(part: "Part", dpi: float) -> list[Decoded]:
    """The QR codes of a part in which nothing was read; bars are read in dark on light alone."""
    return _read(part.picture, ("qr",), _places(part, dpi), try_rotate=False, try_invert=True)


def _in_part(part: "Part", dpi: float) -> list[Decoded]:
    """The codes of a part in dark on light; bars along its rows and columns."""
    place = _places(part, dpi)
    found = _read(part.picture, ("qr", "code128"), place, try_rotate=False, try_invert=False)
    for turned in columns(part.picture):
        found += [
            code
            for code in _read(
                turned.picture,
                ("code128",),
                lambda x, y: place(*turned.place(x, y)),  # noqa: B023 — called at once
                try_rotate=False,
                try_downscale=False,
                try_invert=False,
            )
            if not any(_is_one(code, other) for other in found)
        ]
    return found


def _is_one(code: Decoded, other: Decoded) -> bool:
    """Whether two codes are one that was read twice: of one text, and one over the other."""
    return (
        code.text == other.text
        and code.x <= other.x + other.width
        and other.x <= code.x + code.width
        and code.y <= other.y + other.height
        and other.y <= code.y + code.height
    )


def read_print(
    dots: "Image | memoryview", dpi: float, kinds: Iterable[SymbolKind], corner: tuple[int, int] = (0, 0)
) -> list[Decoded]:
    """The codes of these kinds on a finished page: upright, dark on light, at the size at which they print.

    `dots` are grey, by rows, and begin at this corner of the page, in dots. Looking for what cannot be there
    takes four times as long, and now and then bars are seen in a QR code.
    """
    mm = MM_AN_INCH / dpi

    def place(x: float, y: float) -> Point:
        return (corner[0] + x) * mm, (corner[1] + y) * mm

    return _read(dots, kinds, place, try_rotate=False, try_downscale=False, try_invert=False)


def read_alone(dots: memoryview, dpi: float, corner: tuple[int, int]) -> list[Decoded]:
    """The upright QR code in dots of a finished page in which nothing else is; none where anything is.

    It is not looked for, and one threshold divides what is dark from what is light: a third of the time.
    """
    import zxingcpp  # noqa: PLC0415 — heavy, needed for proofs only

    codes = zxingcpp.read_barcodes(
        dots,
        formats=zxingcpp.BarcodeFormat.QRCode,
        is_pure=True,
        binarizer=zxingcpp.Binarizer.GlobalHistogram,
        try_rotate=False,
        try_downscale=False,
        try_invert=False,
    )
    mm = MM_AN_INCH / dpi
    return [_upright(code, corner, mm) for code in codes if code.valid]


def _upright(code: "zxingcpp.Barcode", corner: tuple[int, int], mm: float) -> Decoded:
    """A code whose sides lie along rows and columns; its place in mm, so many a dot."""
    first, last = code.position.top_left, code.position.bottom_right
    x, y, wide, high = corner[0] + first.x, corner[1] + first.y, last.x - first.x, last.y - first.y
    return Decoded(code.text, "qr", x * mm, y * mm, wide * mm, high * mm)


def _read(
    dots: "Image | memoryview",
    kinds: Iterable[SymbolKind],
    place: Callable[[float, float], Point],
    **how: bool,
) -> list[Decoded]:
    """The codes of these kinds, searched for in these ways; `place` gives the mm of a pixel."""
    import zxingcpp  # noqa: PLC0415 — heavy, needed for proofs only

    known: dict[SymbolKind, object] = {
        "qr": zxingcpp.BarcodeFormat.QRCode,
        "code128": zxingcpp.BarcodeFormat.Code128,
    }
    grey = dots if isinstance(dots, memoryview) else greys(dots)
    codes = zxingcpp.read_barcodes(grey, formats=tuple(known[kind] for kind in kinds), **how)
    return [_found(code, place) for code in codes]


def _found(code: object, place: Callable[[float, float], Point]) -> Decoded:
    """A code of the reader's, with its place in mm."""
    at = code.position  # type: ignore[attr-defined]
    corners = tuple(
        place(corner.x, corner.y) for corner in (at.top_left, at.top_right, at.bottom_right, at.bottom_left)
    )
    xs, ys = zip(*corners, strict=True)
    kind: SymbolKind = "qr" if "QR" in str(code.format) else "code128"  # type: ignore[attr-defined]
    return Decoded(
        code.text,  # type: ignore[attr-defined]
        kind,
        min(xs),
        min(ys),
        max(xs) - min(xs),
        max(ys) - min(ys),
        corners,
    )

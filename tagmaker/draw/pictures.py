"""Pictures on a page: the packed rows of a PNG file are what a PDF's image holds, so none is unpacked.

Takes the bytes of a PNG; gives its size, and the image as an object. Greys and colours of 1 or 8 bits without
an alpha channel are enough: the pictures are this program's own.
"""

import struct
from collections.abc import Iterator

from msgspec import Struct

from tagmaker.draw.objects import Objects

__all__ = ["add_picture", "picture_size"]

HEAD = b"\x89PNG\r\n\x1a\n"
COLOURS = {0: ("DeviceGray", 1), 2: ("DeviceRGB", 3)}
"""By the colour type of PNG, the colour space of PDF and its channels (ISO/IEC 15948, 11.2.2 [memory])."""


class _Png(Struct, frozen=True):
    """What a PNG holds: its size in dots, its bits and colour type, its packed rows."""

    width: int
    height: int
    bits: int
    colour: int
    rows: bytes


def picture_size(png: bytes) -> tuple[int, int]:
    """Width and height in dots; ValueError where the bytes are no picture that can be put on a page."""
    found = _read(png)
    return found.width, found.height


def add_picture(objects: Objects, png: bytes) -> int:
    """A picture as an image; its number."""
    found = _read(png)
    space, channels = COLOURS[found.colour]
    rows = f"/Predictor 15 /Colors {channels} /BitsPerComponent {found.bits} /Columns {found.width}"
    head = (
        f"/Type /XObject /Subtype /Image /Width {found.width} /Height {found.height} /ColorSpace /{space}"
        f" /BitsPerComponent {found.bits} /Filter /FlateDecode /DecodeParms << {rows} >>"
    )
    return objects.stream(head, found.rows)


def _read(png: bytes) -> _Png:
    chunks = list(_chunks(png))
    if not chunks or chunks[0][0] != b"IHDR" or len(chunks[0][1]) != 13:
        raise ValueError("it is not a PNG")
    width, height, bits, colour, *ways = struct.unpack(">IIBBBBB", chunks[0][1])
    if colour not in COLOURS or bits not in {1, 8} or any(ways):
        raise ValueError("a PNG of another kind")
    return _Png(width, height, bits, colour, b"".join(data for kind, data in chunks if kind == b"IDAT"))


def _chunks(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    """The parts of the file, each with its kind; one that is cut off ends them."""
    at = len(HEAD) if png.startswith(HEAD) else len(png)
    while at + 8 <= len(png):
        size, kind = struct.unpack_from(">I4s", png, at)
        yield kind, png[at + 8 : at + 8 + size]
        at += size + 12

"""Photos of a terminal with its tags, as a phone has them: several codes, in perspective, with noise."""

import io
import struct

import numpy as np
from PIL import Image, ImageDraw

from tagmaker.symbols.encode import qr
from tests.bench.placard_damage import frame

__all__ = ["noted", "tags_photo"]

MODULE_PX = 9
GAP_PX = 120


def tags_photo(
    *codes: str, seed: int = 1, size: tuple[int, int] = (3000, 2000), plain: bool = False, quality: int = 80
) -> bytes:
    """A JPEG of so many pixels with these codes on labels beside each other."""
    picture = Image.new("L", size, 120)
    pen = ImageDraw.Draw(picture)
    x, y = GAP_PX, GAP_PX
    for code in codes:
        symbol = qr(code)
        side = (symbol.columns + 8) * MODULE_PX
        if x + side + GAP_PX > size[0]:
            x, y = GAP_PX, y + side + GAP_PX
        pen.rectangle((x, y, x + side, y + side + 60), fill=245)
        for column, row, wide, high in symbol.runs:
            left, top = x + (column + 4) * MODULE_PX, y + (row + 4) * MODULE_PX
            pen.rectangle((left, top, left + wide * MODULE_PX - 1, top + high * MODULE_PX - 1), fill=20)
        x += side + GAP_PX
    photo = picture if plain else frame(picture, np.random.default_rng(seed))
    out = io.BytesIO()
    photo.convert("RGB").save(out, "JPEG", quality=quality)
    return out.getvalue()


def noted(date: str, zone: str, photo: bytes = b"\xff\xd8\xff\xd9", order: str = "<") -> bytes:
    """A JPEG with its camera's notes of when it was taken; without a text the note is left out.

    Laid out from Exif 2.32: a TIFF block with one directory, whose one entry is the Exif directory's place.
    """
    texts = [(tag, text.encode() + b"\0") for tag, text in ((0x9003, date), (0x9011, zone)) if text]
    place, entries, values = 26 + 2 + 12 * len(texts) + 4, b"", b""
    for tag, text in texts:
        at = struct.pack(f"{order}I", place + len(values)) if len(text) > 4 else text.ljust(4, b"\0")
        entries += struct.pack(f"{order}HHI", tag, 2, len(text)) + at
        values += text if len(text) > 4 else b""
    head = (b"II" if order == "<" else b"MM") + struct.pack(f"{order}HI", 42, 8)
    first = struct.pack(f"{order}HHHII", 1, 0x8769, 4, 1, 26) + bytes(4)
    block = head + first + struct.pack(f"{order}H", len(texts)) + entries + bytes(4) + values
    notes = b"Exif\0\0" + block
    return photo[:2] + b"\xff\xe1" + struct.pack(">H", len(notes) + 2) + notes + photo[2:]

"""Photos of a terminal with its tags, as a phone has them: several codes, in perspective, with noise."""

import io

import numpy as np
from PIL import Image, ImageDraw

from tagmaker.symbols.encode import qr
from tests.bench.placard_damage import frame

__all__ = ["tags_photo"]

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

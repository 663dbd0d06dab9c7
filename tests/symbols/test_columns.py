"""Bars that run along a photo's height: read from the mean of columns, at their place in the photo."""

import random

import pytest
from PIL import Image

from tagmaker.symbols.columns import COARSE, COARSE_FROM, LEAST, LINES, columns
from tagmaker.symbols.encode import code128, qr
from tagmaker.symbols.read import Decoded, read_codes
from tests.symbols.pictures import picture

PIXELS = 25.4  # an inch: places in mm are places in pixels
NOISE = 0.28  # of the photo; the reader by itself sees nothing from there on


def on_paper(label: Image.Image, x: int, y: int, size: tuple[int, int] = (900, 900)) -> Image.Image:
    """A white photo with a label at this place."""
    photo = Image.new("L", size, 255)
    photo.paste(label, (x, y))
    return photo


def places(codes: list[Decoded]) -> list[tuple[str, float, float, float, float]]:
    """Text and box of each code."""
    return [(code.text, code.x, code.y, code.width, code.height) for code in codes]


def test_a_row_is_the_mean_of_a_few_columns() -> None:
    """The last columns come first; a wide picture has more of them to a row, a narrow one at least three."""
    dark_left = Image.new("L", (LEAST * 100, 80), 200)
    dark_left.paste(20, (0, 0, LEAST, 80))
    (turned,) = columns(dark_left)
    assert turned.picture.size == (80, 100)
    assert [turned.picture.getpixel((40, row)) for row in (0, 98, 99)] == [200, 200, 20]
    wide = next(columns(Image.new("L", (4000, 100))))
    assert (wide.columns, wide.picture.height) == (4000 // LINES, LINES)


def test_a_large_picture_has_a_second_look_of_fewer_pixels() -> None:
    """As high as the first, its rows a third as long."""
    first, second = columns(Image.new("L", (600, COARSE_FROM + 1)))
    assert second.picture.height == first.picture.height
    assert second.picture.width == -(-first.picture.width // COARSE)
    assert len(list(columns(Image.new("L", (COARSE_FROM, COARSE_FROM))))) == 1


@pytest.mark.parametrize("turn", [Image.Transpose.ROTATE_90, Image.Transpose.ROTATE_270])
def test_bars_on_their_side_are_found_where_they_are(turn: Image.Transpose) -> None:
    """Read from top to foot or from foot to top; their corners are in the order of the code itself."""
    label = picture(code128("BB-1/A/LIQ")).transpose(turn)
    quiet, x, y = 40, 300, 100
    (code,) = read_codes(on_paper(label, x, y), PIXELS)
    assert (code.text, code.kind) == ("BB-1/A/LIQ", "code128")
    assert x + quiet - 4 <= code.x <= code.x + code.width <= x + label.width - quiet + 4
    assert code.width > 60
    assert (code.y, code.y + code.height) == pytest.approx((y + quiet, y + label.height - quiet), abs=5)
    begins_at_top = turn is Image.Transpose.ROTATE_270
    assert (code.corners[0][1] < code.corners[1][1]) == begins_at_top


def test_bars_along_both_ways_are_one_code() -> None:
    """At an angle a code is met by rows and by columns; two of one text beside each other are two."""
    tall = picture(code128("A1")).resize((268, 400))
    turned = tall.rotate(40, Image.Resampling.BICUBIC, expand=True, fillcolor=255)
    (code,) = read_codes(on_paper(turned, 100, 100), PIXELS)
    assert code.text == "A1"
    pair = on_paper(tall.transpose(Image.Transpose.ROTATE_90), 50, 50)
    pair.paste(tall.transpose(Image.Transpose.ROTATE_90), (450, 500))
    assert [code.text for code in read_codes(pair, PIXELS)] == ["A1", "A1"]


def test_bars_on_their_side_are_read_in_strong_noise() -> None:
    """The mean of columns has less of it than any one."""
    label = picture(code128("BB-1/A/LIQ")).transpose(Image.Transpose.ROTATE_90)
    grain = Image.frombytes("L", (900, 900), random.Random(3).randbytes(900 * 900))  # noqa: S311 — no secret
    photo = Image.blend(on_paper(label, 300, 100), grain, NOISE)
    assert [code.text for code in read_codes(photo, PIXELS)] == ["BB-1/A/LIQ"]


def test_a_qr_code_is_read_however_it_is_turned() -> None:
    """By the rows alone: none is looked for in the columns."""
    label = picture(qr("BB-1/A/LIQ"))
    whole = places(read_codes(on_paper(label, 100, 100), PIXELS))
    assert [text for text, *_ in whole] == ["BB-1/A/LIQ"]
    for angle in (30, 90, 200):
        turned = label.rotate(angle, Image.Resampling.BICUBIC, expand=True, fillcolor=255)
        assert [code.text for code in read_codes(on_paper(turned, 100, 100), PIXELS)] == ["BB-1/A/LIQ"]

"""Where in a picture codes can be: what is even is not read, and no code is lost by that."""

import io
import random

import pytest
from PIL import Image, ImageDraw, ImageOps

from tagmaker.symbols.encode import SymbolKind, code128, qr
from tagmaker.symbols.parts import uneven_parts
from tagmaker.symbols.read import open_picture, read_codes
from tests.symbols.pictures import picture

PIXELS = 25.4  # an inch: places in mm are places in pixels
SIZE = (1600, 1200)
WALL = 140


def wall(*things: tuple[Image.Image, int, int], noise: float = 7.0) -> Image.Image:
    """A photo of things on an even wall, with a sensor's noise."""
    photo = Image.new("L", SIZE, WALL)
    for each, x, y in things:
        photo.paste(each, (x, y))
    if not noise:
        return photo
    grain = Image.effect_noise(SIZE, noise)  # of a middle grey of 128
    return Image.blend(photo, grain, 0.5).point(lambda grey: max(0, min(255, 2 * grey - 128)))


def label(
    text: str, kind: SymbolKind = "qr", *, share: float = 1.0, dark: int = 20, light: int = 240
) -> Image.Image:
    """A label with a code, its pixels this share of four a module, in these greys."""
    drawn = picture(qr(text) if kind == "qr" else code128(text))
    small = drawn.resize([round(share * side) for side in drawn.size], Image.Resampling.BOX)
    return small.point(lambda grey: dark + grey * (light - dark) // 255)


def texts(photo: Image.Image) -> list[str]:
    """What is read in it, sorted."""
    return sorted(code.text for code in read_codes(photo, PIXELS))


def area(photo: Image.Image) -> float:
    """The share of a picture that is read."""
    return sum(each.picture.width * each.picture.height for each in uneven_parts(photo)) / (SIZE[0] * SIZE[1])


def test_a_wall_alone_has_no_part() -> None:
    """Noise is not what a code looks like."""
    assert area(wall()) == 0


def test_the_parts_are_little_more_than_the_labels() -> None:
    """Each label by itself, and what is between them not."""
    photo = wall((label("A/1"), 200, 200), (label("A/2"), 1200, 900))
    assert len(list(uneven_parts(photo))) == 2
    assert area(photo) < 0.1


def test_codes_have_their_places_in_the_whole_picture() -> None:
    """As if the whole had been read: rows of codes are told by their places."""
    photo = wall((label("A/1"), 200, 200), (label("A/2", "code128"), 900, 800), noise=0)
    found = {code.text: (round(code.x), round(code.y)) for code in read_codes(photo, PIXELS)}
    quiet = 4 * 4
    assert found["A/1"] == pytest.approx((200 + quiet, 200 + quiet), abs=2)
    assert found["A/2"][0] == pytest.approx(900 + 10 * 4, abs=4)
    assert 800 <= found["A/2"][1] < 800 + 80


def test_what_is_even_within_a_frame_is_painted_over() -> None:
    """A duct's edges around everything make one part of it, and its noise is still not read."""
    photo = wall((label("A/1"), 200, 200))
    ImageDraw.Draw(photo).rectangle((10, 10, SIZE[0] - 10, SIZE[1] - 10), outline=255, width=6)
    (part,) = uneven_parts(photo)
    painted = part.picture.histogram()[128]
    assert painted > 0.7 * SIZE[0] * SIZE[1]
    assert texts(photo) == ["A/1"]


@pytest.mark.parametrize(("share", "dark", "light"), [(0.75, 105, 140), (1.0, 120, 150), (2.5, 20, 60)])
def test_a_faint_or_small_code_is_read(share: float, dark: int, light: int) -> None:
    """In deep shade, in little noise: whatever the reader sees in the whole picture."""
    assert texts(wall((label("BB-1/A/TRM", share=share, dark=dark, light=light), 333, 517), noise=2)) == [
        "BB-1/A/TRM"
    ]


def test_a_code_as_large_as_the_picture_is_not_cut() -> None:
    """Modules larger than several cells: their insides are even."""
    code = label("BB-1/A/TRM", share=10)
    assert texts(wall((code, 200, 10), noise=0)) == ["BB-1/A/TRM"]


def test_codes_wherever_they_lie_are_read() -> None:
    """At any place beside the cells, at the edges too."""
    dice = random.Random(3)  # noqa: S311 — places in a picture
    for _ in range(6):
        code = label("BB-1/A/GAS", share=0.8)
        x, y = dice.randrange(SIZE[0] - code.width + 1), dice.choice([0, SIZE[1] - code.height])
        assert texts(wall((code, x, y), noise=0)) == ["BB-1/A/GAS"]


def test_light_on_dark_is_looked_for_where_nothing_else_is() -> None:
    """A screen in a dark room."""
    dark = ImageOps.invert(label("A/1"))
    assert texts(wall((dark, 100, 100))) == ["A/1"]
    assert texts(wall((dark, 100, 100), (label("A/2"), 900, 100))) == ["A/2"]


def test_a_picture_of_few_pixels_is_one_part() -> None:
    """Too small to be cut."""
    tiny = Image.new("L", (30, 400), 255)
    assert [each.picture.size for each in uneven_parts(tiny)] == [(30, 400)]


def test_of_a_coloured_photo_the_grey_is_read_upright() -> None:
    """As its camera held it, whatever colours it has."""
    colours = Image.merge("RGB", [label("A/1"), label("A/1", light=200), label("A/1", light=90)])
    for turned, note in ((colours, 1), (colours.transpose(Image.Transpose.ROTATE_90), 6)):
        notes, out = Image.Exif(), io.BytesIO()
        notes[0x0112] = note
        turned.save(out, "JPEG", exif=notes, quality=95)
        grey = open_picture(out.getvalue())
        assert (grey.mode, grey.size) == ("L", colours.size)
        (code,) = read_codes(grey, PIXELS)
        assert code.text == "A/1"
        assert code.corners[0] < code.corners[2]


def test_a_picture_that_is_full_of_edges_is_handed_on_as_it_is() -> None:
    """Nothing is to be painted over, and nothing copied."""
    full = Image.effect_noise(SIZE, 200)
    (part,) = uneven_parts(full)
    assert part.picture is full

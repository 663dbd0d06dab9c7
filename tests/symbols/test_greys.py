"""Pictures in memory of their own: the pixels that Pillow decodes, and a reader is given no others."""

import io
import mmap
import random

import pytest
from PIL import Image, ImageOps

from tagmaker.symbols.greys import LARGE_PAGE, STRIP_ROWS, grey_picture, greys, piece, quarter_turned
from tagmaker.symbols.read import open_picture

ODD = (3 * STRIP_ROWS + 37, 2 * STRIP_ROWS + 11)  # no whole strips, and no whole words a row
LARGE = (LARGE_PAGE // 1000, 1001)
ORIENTATION = 0x0112


def grain(size: tuple[int, int]) -> Image.Image:
    """A grey picture in which no pixel is like its neighbours."""
    seeded = random.Random(sum(size))  # noqa: S311 — pixels
    return Image.frombytes("L", size, seeded.randbytes(size[0] * size[1]))


def photo(picture: Image.Image, kind: str = "JPEG", turn: int = 1) -> bytes:
    """A file of a picture, with the note of how its camera was held."""
    out, notes = io.BytesIO(), Image.Exif()
    notes[ORIENTATION] = turn
    picture.save(out, kind, exif=notes)
    return out.getvalue()


def by_pillow(content: bytes) -> Image.Image:
    """A photo in grey, upright, without memory of its own."""
    with Image.open(io.BytesIO(content)) as opened:
        opened.draft("L", opened.size)
        return ImageOps.exif_transpose(opened).convert("L")


@pytest.mark.parametrize("size", [(5, 3), LARGE])
def test_a_reader_is_given_the_pictures_own_pixels(size: tuple[int, int]) -> None:
    """What is painted is seen without a copy, in small pages of memory and in large ones."""
    picture = grey_picture(size)
    dots = greys(picture)
    assert (dots.shape, dots[0, 0]) == ((size[1], size[0]), 0)
    picture.paste(200, (size[0] - 1, size[1] - 1, *size))
    assert (dots[size[1] - 1, size[0] - 1], picture.getextrema()) == (200, (0, 200))


@pytest.mark.parametrize("offer", ["none", "refused"])
def test_without_large_pages_there_is_memory_all_the_same(
    offer: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A system that does not know of them, and one that has none."""
    if offer == "none":
        monkeypatch.delattr(mmap, "MADV_HUGEPAGE")
    else:
        monkeypatch.setattr(mmap, "MADV_HUGEPAGE", 99)
    picture = piece(grain(LARGE), (0, 0, *LARGE))
    assert bytes(greys(picture)) == grain(LARGE).tobytes()


def test_a_picture_that_was_changed_gives_what_it_is_now() -> None:
    """One that was turned or copied does not give the memory of what it was."""
    picture = piece(grain(ODD), (0, 0, *ODD))
    picture.im = picture.im.transpose(Image.Transpose.ROTATE_180)
    assert bytes(greys(picture)) == grain(ODD).transpose(Image.Transpose.ROTATE_180).tobytes()
    copied = piece(grain(ODD), (0, 0, *ODD)).copy()
    copied.paste(7, (0, 0, *ODD))
    assert bytes(greys(copied)) == bytes([7]) * ODD[0] * ODD[1]


def test_a_piece_is_that_part_and_painting_it_leaves_the_whole() -> None:
    """At the corners and in the middle."""
    whole = grain(ODD)
    for box in ((0, 0, 40, 30), (13, 17, 200, 99), (ODD[0] - 5, ODD[1] - 7, *ODD)):
        part = piece(whole, box)
        assert bytes(greys(part)) == whole.crop(box).tobytes()
        part.paste(0, (0, 0, *part.size))
    assert whole.tobytes() == grain(ODD).tobytes()


@pytest.mark.parametrize("size", [ODD, (2, 4 * STRIP_ROWS), (7, 1)])
def test_strips_turn_a_picture_as_the_whole_is_turned(size: tuple[int, int]) -> None:
    """To the right and to the left, whatever is left of the last strip."""
    turns = {True: Image.Transpose.ROTATE_270, False: Image.Transpose.ROTATE_90}
    for to_right, turn in turns.items():
        turned = quarter_turned(grain(size), to_right=to_right)
        assert (turned.size, turned.tobytes()) == (size[::-1], grain(size).transpose(turn).tobytes())


@pytest.mark.parametrize("turn", range(1, 9))
def test_a_photo_is_decoded_as_pillow_decodes_it_however_it_was_held(turn: int) -> None:
    """In colour and in grey."""
    colours = Image.merge("RGB", [grain(ODD), grain(ODD).transpose(Image.Transpose.ROTATE_180), grain(ODD)])
    for picture in (colours, grain(ODD)):
        content = photo(picture, turn=turn)
        opened, expected = open_picture(content), by_pillow(content)
        assert (opened.mode, opened.size) == ("L", expected.size)
        assert opened.tobytes() == bytes(greys(opened)) == expected.tobytes()


def test_other_files_of_greys_are_decoded_as_pillow_decodes_them() -> None:
    """A PNG, a BMP, a JPEG of several pictures as some phones write; see-through greys lie on white."""
    for kind in ("PNG", "BMP", "MPO"):
        content = photo(grain(ODD), kind)
        assert bytes(greys(open_picture(content))) == by_pillow(content).tobytes(), kind
    out = io.BytesIO()
    Image.new("L", ODD, 9).save(out, "PNG", transparency=9)
    assert open_picture(out.getvalue()).getextrema() == (255, 255)


def test_a_photo_that_ends_early_is_refused() -> None:
    """Half of it would be read as black."""
    whole = photo(grain(ODD))
    with pytest.raises(OSError, match="truncated"):
        open_picture(whole[: len(whole) // 2])

"""Pictures on a page: upright, at their place, each dot as it was, and once in the file."""

import io

import pikepdf
import pytest
from PIL import Image

from tagmaker.draw.marks import Group, Page, Picture
from tagmaker.draw.pdf import draw_pdf
from tagmaker.draw.pictures import picture_size
from tagmaker.typeset.fonts import all_faces
from tests.draw.sheets import NEAR, inked, picture

WIDE, HIGH = 6, 4


def png(mode: str = "L") -> bytes:
    """A white picture whose upper left dot is black."""
    whites: dict[str, int | tuple[int, ...]] = {"L": 255, "1": 1, "RGB": (255,) * 3, "RGBA": (255,) * 4}
    shown = Image.new(mode, (WIDE, HIGH), whites[mode])
    shown.putpixel((0, 0), (0, 0, 0, 255)[: len(shown.getbands())] if mode.startswith("RGB") else 0)
    out = io.BytesIO()
    shown.save(out, "PNG")
    return out.getvalue()


def drawn(*marks: Picture | Group) -> bytes:
    """A page with these."""
    return draw_pdf("t", "", [Page(60, 40, marks), Page(60, 40, marks)], all_faces())


@pytest.mark.parametrize("mode", ["L", "1", "RGB"])
def test_it_is_upright_where_it_is_put(mode: str) -> None:
    """Its black dot is the upper left sixth and fourth of its rectangle; the rest is white."""
    dark = inked(picture(Group(10, 5, (Picture(2, 3, 24, 12, png(mode)),))))
    assert dark == pytest.approx((12, 8, 16, 11), abs=NEAR)


def test_one_picture_on_two_pages_is_in_the_file_once() -> None:
    """As one object that both pages name."""
    with pikepdf.open(io.BytesIO(drawn(Picture(2, 3, 24, 12, png())))) as pdf:
        streams = (each for each in pdf.objects if isinstance(each, pikepdf.Stream))
        images = [each for each in streams if each.get("/Subtype") == "/Image"]
        assert len(images) == 1
        assert (int(images[0].Width), int(images[0].Height)) == (WIDE, HIGH)


def test_its_size_is_known_and_another_kind_is_a_bug() -> None:
    """Alpha, or no PNG at all: nothing of it is drawn."""
    assert picture_size(png()) == (WIDE, HIGH)
    for bad in (png("RGBA"), b"", b"GIF89a", png()[:20]):
        with pytest.raises(ValueError, match="PNG"):
            picture_size(bad)

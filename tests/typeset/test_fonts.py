"""The typeface's measures, held against pdfium's reading of a finished PDF; signs that are kept apart."""

import contextlib
import ctypes
import importlib.util
import itertools
from collections.abc import Iterator
from functools import cache

import pypdfium2
import pytest
from fontTools.ttLib import TTFont
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageChops

from tagmaker.draw.marks import Page, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.symbols.read import page_pictures
from tagmaker.typeset.fonts import (
    BOLD,
    FLAT,
    OVERSHOOT,
    PLAIN,
    SLASHED_ZERO,
    all_faces,
    face,
    font_folder,
    glyph_numbers,
    reach,
)
from tests.records import replace

NAMES = (PLAIN, BOLD)
MM = 72 / 25.4  # points a millimetre
WIDE, HIGH, BASE = 600.0, 40.0, 25.0  # a page with room for every sample, in mm
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
COMMON = f"{LETTERS}{LETTERS.lower()}0123456789 -+/.,:;·–()äéñß&'"
SIZES = st.floats(1.5, 14.0)
ALIKE = "Il1O0"
LIGATURES = "ﬁﬂ"  # pdfium reads them as the letters that they join
LEAST_DOTS = 12  # rows of dots of a capital of 1.5 mm at 203 dpi (8 dots/mm)


def pdf_of(text: str, name: str, size: float) -> bytes:
    """A page with one line of text at the left edge."""
    return draw_pdf("test", "", [Page(WIDE, HIGH, (Text(0.0, BASE, text, name, size),))], all_faces())


@contextlib.contextmanager
def read_back(pdf: bytes) -> Iterator[pypdfium2.PdfTextPage]:
    """The text of the first page as pdfium finds it."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        yield document[0].get_textpage()
    finally:
        document.close()


def boxes_of(pdf: bytes, count: int) -> list[tuple[float, float, float, float]]:
    """Pdfium's boxes of ink of so many characters: left, bottom, right, top in mm."""
    with read_back(pdf) as text:
        boxes = [text.get_charbox(index) for index in range(count)]
    return [(left / MM, bottom / MM, right / MM, top / MM) for left, bottom, right, top in boxes]


def starts_of(pdf: bytes, count: int) -> list[float]:
    """Where pdfium has the origin of each of so many characters, in mm from the left."""
    x, y = ctypes.c_double(), ctypes.c_double()
    starts: list[float] = []
    with read_back(pdf) as text:
        for index in range(count):
            pypdfium2.raw.FPDFText_GetCharOrigin(text, index, x, y)
            starts.append(x.value / MM)
    return starts


@cache
def glyph(character: str, name: str, dots: int) -> Image.Image:
    """A character as pdfium draws it, its capitals so many dots high, black on white."""
    size = face(name).size_for_caps(10.0)
    mark = Text(10.0, 20.0, character, name, size, "center")
    pdf = draw_pdf("test", "", [Page(20.0, 25.0, (mark,))], all_faces())
    return next(iter(page_pictures(pdf, dots / 10.0 * 25.4)))


def ink(picture: Image.Image) -> float:
    """How much black is in a picture."""
    return sum((255 - grey) / 255 * count for grey, count in enumerate(picture.histogram()))


def difference(one: Image.Image, other: Image.Image) -> float:
    """How much ink differs, as a share of the lighter picture's, where one lies best on the other."""
    most = one.width // 12
    apart = (ImageChops.difference(one, ImageChops.offset(other, by, 0)) for by in range(-most, most + 1))
    return min(ink(ImageChops.invert(each)) for each in apart) / min(ink(one), ink(other))


def strokes(picture: Image.Image) -> int:
    """How many strokes stand one below the other in the middle of a picture's ink."""
    left, _, right, _ = ImageChops.invert(picture).getbbox() or (0, 0, 0, 0)
    column = [picture.getpixel(((left + right) // 2, y)) == 0 for y in range(picture.height)]
    return sum(below and not above for above, below in itertools.pairwise(column))


# --- widths -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
@given(text=st.text(alphabet=COMMON, max_size=40).filter(lambda text: "  " not in text), size=SIZES)
@example(text=COMMON, size=4.0)
@settings(max_examples=40, deadline=None)
def test_each_character_stands_where_pdfium_says(name: str, text: str, size: float) -> None:
    """A character begins where the advances before it end, in the finished PDF too: nothing is kerned."""
    line = f"|{text}|"  # to pdfium a space at an end is no text, and two are one
    ours = [face(name).width(line[:count], size) for count in range(len(line))]
    assert ours == pytest.approx(starts_of(pdf_of(line, name, size), len(line)), abs=0.01)


@pytest.mark.parametrize("name", NAMES)
def test_ink_stays_within_the_advance(name: str) -> None:
    """No sign reaches beyond its width by more than a hair: fitted text cannot touch its frame."""
    signs, size = COMMON.replace(" ", ""), 10.0
    pdf = pdf_of(signs, name, size)
    over = [
        max(start - left, right - start - face(name).width(sign, size))
        for sign, start, (left, _, right, _) in zip(
            signs, starts_of(pdf, len(signs)), boxes_of(pdf, len(signs)), strict=True
        )
    ]
    assert max(over) < 0.03 * size


@pytest.mark.parametrize("name", NAMES)
def test_measures_are_those_of_another_reader(name: str) -> None:
    """Of every character, exactly: its advance, its highest and lowest point, as fontTools has them."""
    with TTFont(face(name).file.path) as font:
        units, capital = font["head"].unitsPerEm, font["OS/2"].sCapHeight
        glyphs = {chr(code): glyph for code, glyph in font.getBestCmap().items()} | {"0": SLASHED_ZERO}
        advances = {sign: font["hmtx"][glyph][0] / units for sign, glyph in glyphs.items() if sign >= " "}
        outlines = {sign: font["glyf"][glyph] for sign, glyph in glyphs.items()}
        heights = {
            sign: (max(1.0, each.yMax / capital) - 1, max(0.0, -each.yMin / capital))
            for sign, each in outlines.items()
            if each.numberOfContours
        }
        assert face(name).file.glyphs == (("0", font.getGlyphID(SLASHED_ZERO)),)
        assert (face(name).cap_height, face(name).descent) == (capital / units, -font["hhea"].descent / units)
    assert face(name).advances == advances
    assert {sign: reach(name, sign) for sign in heights if sign not in FLAT} == {
        sign: tuple(length if length > OVERSHOOT else 0.0 for length in both)
        for sign, both in heights.items()
        if sign not in FLAT
    }


def test_a_typeface_without_a_slashed_zero_is_not_printed_with(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plain nought would read as the letter O."""
    monkeypatch.setattr("tagmaker.typeset.fonts.SLASHED_ZERO", "no-such-zero")
    with pytest.raises(ValueError, match="not in list"):
        glyph_numbers.__wrapped__(PLAIN)


# --- heights ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_capitals_are_as_high_as_asked(name: str) -> None:
    """At the size for capitals of 7 mm, pdfium measures flat capitals of 7 mm on the baseline."""
    flat = "EFHIKLMNTXZ"
    boxes = boxes_of(pdf_of(flat, name, face(name).size_for_caps(7.0)), len(flat))
    assert [top - bottom for _, bottom, _, top in boxes] == pytest.approx([7.0] * len(flat), abs=0.02)
    assert [bottom for _, bottom, _, _ in boxes] == pytest.approx([HIGH - BASE] * len(flat), abs=0.02)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_hangs_below_the_descent(name: str) -> None:
    """Room for the descent is room for every letter."""
    size = 10.0
    letters = COMMON.replace(" ", "")
    boxes = boxes_of(pdf_of(letters, name, size), len(letters))
    lowest = min(bottom for _, bottom, _, _ in boxes)
    assert lowest >= HIGH - BASE - face(name).descent * size


# --- characters ---------------------------------------------------------------------------------------------


def test_faces_by_name() -> None:
    """There are two faces, and a third is a bug."""
    assert [file.name for file in all_faces()] == [PLAIN, BOLD]
    with pytest.raises(KeyError):
        face("italic")


def test_widths_stay_the_same_however_many_are_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Those that are kept are let go at a bound, and worked out anew: the sum of the advances."""
    monkeypatch.setattr("tagmaker.typeset.fonts.MEASURED", 3)
    own = replace(face(PLAIN))
    pairs = list(itertools.product("MIl1", repeat=2))
    texts = ["".join(pair) for pair in pairs]
    expected = [own.advances[one] + own.advances[other] for one, other in pairs]
    assert [own.width(text, 1.0) for text in texts] == expected
    assert [own.width(text, 1.0) for text in texts] == expected


@pytest.mark.parametrize("name", NAMES)
def test_missing_characters(name: str) -> None:
    """Each character that the face lacks is named once; control signs count as lacking."""
    assert face(name).missing(COMMON) == ""
    assert face(name).missing("A廊B下廊\x00\r\t") == "廊下\x00\r\t"


@pytest.mark.parametrize("name", NAMES)
def test_every_character_of_the_face_reads_back(name: str) -> None:
    """What the face has stands in the PDF as text: a search finds it, a screen reader says it."""
    signs = "".join(each for each in face(name).advances if each.isalnum() and each not in LIGATURES)
    with read_back(pdf_of(signs, name, 1.0)) as text:
        assert text.get_text_range() == signs


# --- characters that must not look alike --------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("one", "other"), list(itertools.combinations(ALIKE, 2)))
def test_look_alikes_are_different_pictures(one: str, other: str, name: str) -> None:
    """I, l, 1, O and 0 differ by a good part of their ink, large and at the least size at 203 dpi."""
    assert difference(glyph(one, name, 120), glyph(other, name, 120)) > 0.25
    assert difference(glyph(one, name, LEAST_DOTS), glyph(other, name, LEAST_DOTS)) > 0.25


@pytest.mark.parametrize("name", NAMES)
def test_letters_and_digits_are_all_different_pictures(name: str) -> None:
    """No two of the signs of a tag look the same."""
    signs = f"{LETTERS}{LETTERS.lower()}0123456789-"
    pictures = {glyph(sign, name, 40).tobytes() for sign in signs}
    assert len(pictures) == len(signs)


@pytest.mark.parametrize("name", NAMES)
def test_zero_is_slashed(name: str) -> None:
    """Down its middle an O has two strokes, a nought three."""
    assert [strokes(glyph(sign, name, 120)) for sign in "O0"] == [2, 3]


def test_typeface_is_there() -> None:
    """The package of the typeface holds its TrueType files."""
    assert {path.suffix for path in font_folder().glob("IBMPlexSansCondensed-*")} == {".ttf"}


def test_typeface_that_is_not_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without its package the program says what to install."""
    monkeypatch.setattr(importlib.util, "find_spec", lambda _name: None)
    with pytest.raises(ModuleNotFoundError, match="fontpkg-ibm-plex-sans-condensed"):
        font_folder()

"""Marks to ink: every mark lands where it says, and text is drawn with embedded faces only."""

import io
import itertools
import unicodedata

import pikepdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageChops

from tagmaker.draw.marks import Bars, Line, Page, Polygon, Rect, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.typeset.fonts import BOLD, PLAIN, all_faces, face
from tests.draw.sheets import (
    HEIGHT,
    NEAR,
    PIXEL,
    WIDTH,
    grey_at,
    inked,
    is_dark,
    letters,
    opened,
    pdf,
    picture,
)

LOOK_ALIKES = "I l 1 | O 0 o B 8 S 5 G 6 Z 2"
SEEN = sorted(sign for sign in face(BOLD).advances if sign < "ɐ" and unicodedata.category(sign)[0] in "LNPS")
"""The face's letters, digits and signs of Latin script; what only makes room is not read back."""
GRIDS = st.integers(1, 8).flatmap(
    lambda columns: st.lists(
        st.lists(st.booleans(), min_size=columns, max_size=columns), min_size=1, max_size=8
    )
)


# --- shapes -------------------------------------------------------------------------------------------------


@settings(max_examples=30, deadline=None)
@given(st.floats(1, 60), st.floats(1, 30), st.floats(1, 38), st.floats(1, 28))
def test_a_filled_rectangle_covers_its_place(x: float, y: float, width: float, height: float) -> None:
    """Millimetres from the top left corner, y downwards."""
    expected = (x, y, x + width, y + height)
    assert expected == pytest.approx(inked(picture(Rect(x, y, width, height, fill=0.0))), abs=NEAR)


def test_an_outline_is_centred_on_its_edge_and_empty_within() -> None:
    """Half the line lies outside, half inside."""
    image = picture(Rect(20.0, 10.0, 40.0, 30.0, line=2.0))
    assert inked(image) == pytest.approx((19.0, 9.0, 61.0, 41.0), abs=NEAR)
    assert [is_dark(image, x, 25.0) for x in (20.7, 21.3, 58.7, 59.3)] == [True, False, False, True]


def test_a_rectangle_may_be_filled_and_outlined_in_two_greys() -> None:
    """The fill's grey within, the outline's at the edge."""
    image = picture(Rect(20.0, 10.0, 40.0, 30.0, fill=0.8, line=2.0, ink=0.2))
    assert grey_at(image, 40.0, 25.0) == pytest.approx(0.8 * 255, abs=2)
    assert grey_at(image, 20.0, 25.0) == pytest.approx(0.2 * 255, abs=2)


def test_a_rounded_rectangle_leaves_its_corners_bare() -> None:
    """Bare at the corner, inked at the middle of each side."""
    image = picture(Rect(20.0, 10.0, 40.0, 30.0, fill=0.0, radius=8.0))
    assert not is_dark(image, 20.5, 10.5)
    assert [is_dark(image, 40.0, 10.5), is_dark(image, 20.5, 25.0)] == [True, True]
    assert inked(image) == pytest.approx((20.0, 10.0, 60.0, 40.0), abs=NEAR)


def test_neither_fill_nor_line_is_no_ink() -> None:
    """A rectangle of nothing prints nothing."""
    assert inked(picture(Rect(20.0, 10.0, 40.0, 30.0))) is None


def test_a_line_has_its_width_and_its_ends() -> None:
    """1 mm wide, cut square at its ends."""
    assert inked(picture(Line(10.0, 20.0, 90.0, 20.0, width=1.0))) == pytest.approx(
        (10.0, 19.5, 90.0, 20.5), abs=NEAR
    )


def test_a_slanted_line_runs_between_its_ends() -> None:
    """From the top left to the bottom right, nowhere else."""
    image = picture(Line(10.0, 10.0, 50.0, 50.0, width=0.5))
    assert [is_dark(image, at, at) for at in (12.0, 30.0, 48.0)] == [True, True, True]
    assert not is_dark(image, 48.0, 12.0)


@pytest.mark.parametrize(
    "mark", [Line(10, 20, 30, 20, 1.0, dash=(3, 2)), Rect(10, 20, 70, 9, None, 1.0, dash=(3, 2))]
)
def test_dashes_are_so_long_and_so_far_apart(mark: Line | Rect) -> None:
    """3 mm of ink and 2 mm of none, along a line and along an outline's first side."""
    image = picture(mark)
    y = 20.0 if isinstance(mark, Line) else 29.0
    assert [is_dark(image, x, y) for x in (11.5, 14.0, 16.5, 19.0)] == [True, False, True, False]


def test_a_solid_line_after_a_dashed_one_is_solid() -> None:
    """One mark's dashes do not leak into the next."""
    image = picture(Line(10, 10, 90, 10, 1.0, dash=(3, 2)), Line(10, 20, 90, 20, 1.0))
    assert all(is_dark(image, x, 20.0) for x in range(11, 90))


def test_a_polygon_is_filled_to_its_edges() -> None:
    """A triangle: ink within, none beside its slope, its points where they were given."""
    image = picture(Polygon(((20.0, 10.0), (60.0, 10.0), (20.0, 50.0))))
    assert inked(image) == pytest.approx((20.0, 10.0, 60.0, 50.0), abs=5 * NEAR)
    assert [is_dark(image, *place) for place in ((25, 15), (38, 30), (42, 30), (55, 45))] == [
        True,
        True,
        False,
        False,
    ]


def test_a_polygon_has_its_grey() -> None:
    """Half ink is half grey."""
    image = picture(Polygon(((20.0, 10.0), (60.0, 10.0), (60.0, 50.0), (20.0, 50.0)), fill=0.5))
    assert grey_at(image, 40.0, 30.0) == pytest.approx(127, abs=2)


def test_marks_are_drawn_in_order() -> None:
    """White on black shows, black on white hides it."""
    image = picture(Rect(10, 10, 40, 40, fill=0.0), Rect(20, 20, 20, 20, fill=1.0))
    assert [is_dark(image, 15, 30), is_dark(image, 30, 30)] == [True, False]


# --- symbols ------------------------------------------------------------------------------------------------


@settings(max_examples=30, deadline=None)
@given(GRIDS)
def test_bars_come_back_cell_by_cell(grid: list[list[bool]]) -> None:
    """Every dark cell of a symbol is dark at its middle, every light one is light."""
    runs = tuple((x, y, 1, 1) for y, row in enumerate(grid) for x, dark in enumerate(row) if dark)
    image = picture(Bars(7.3, 4.1, 0.9, 1.7, runs, ""))
    seen = [
        [is_dark(image, 7.3 + (x + 0.5) * 0.9, 4.1 + (y + 0.5) * 1.7) for x in range(len(grid[0]))]
        for y in range(len(grid))
    ]
    assert letters(grid) == letters(seen)


def test_runs_of_several_cells_are_drawn_whole() -> None:
    """Runs wider and higher than a cell, as a picture."""
    image = picture(Bars(10.0, 10.0, 2.0, 3.0, ((0, 0, 4, 1), (0, 1, 1, 3), (3, 2, 1, 1)), ""))
    seen = [[is_dark(image, 11.0 + 2 * x, 11.5 + 3 * y) for x in range(5)] for y in range(5)]
    assert letters(seen) == [
        "####.",
        "#....",
        "#..#.",
        "#....",
        ".....",
    ]


def test_no_hairline_shows_between_a_symbols_cells() -> None:
    """A block of runs whose edges fall within pixels is black throughout."""
    runs = tuple((column, row, 1, 1) for row in range(20) for column in range(20))
    image = picture(Bars(10.03, 10.07, 0.337, 0.337, runs, ""))
    inside = image.crop((int(10.2 / PIXEL), int(10.2 / PIXEL), int(16.6 / PIXEL), int(16.6 / PIXEL)))
    assert max(inside.tobytes()) <= 8  # of 255


# --- text ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [PLAIN, BOLD])
def test_capitals_stand_on_their_baseline_at_their_height(name: str) -> None:
    """An H of 20 mm em: its foot at y, its head a capital's height above."""
    box = inked(picture(Text(20.0, 40.0, "H", name, 20.0)))
    assert box is not None
    assert (box[1], box[3]) == pytest.approx((40.0 - 20.0 * face(name).cap_height, 40.0), abs=NEAR)


def test_text_is_set_by_its_left_end_its_middle_or_its_right_end() -> None:
    """The same word at the same x, three ways: moved by half its width each time."""
    width = face(BOLD).width("HIH", 8.0)
    left, middle, right = (
        inked(picture(Text(50.0, 30.0, "HIH", BOLD, 8.0, align))) for align in ("left", "center", "right")
    )
    assert left
    assert middle
    assert right
    assert (left[0] - middle[0], middle[0] - right[0]) == pytest.approx((width / 2, width / 2), abs=NEAR)
    assert left[0] >= 50.0 - NEAR
    assert right[2] <= 50.0 + NEAR


def test_text_may_be_white_on_black() -> None:
    """Ink 1 leaves the paper's white."""
    image = picture(Rect(10, 10, 80, 40, fill=0.0), Text(50.0, 45.0, "I", BOLD, 40.0, "center", ink=1.0))
    assert grey_at(image, 50.0, 30.0) == 255


def read_back(*marks: Text) -> list[str]:
    """The lines of text that pdfium reads from the page."""
    with opened(pdf(*marks)) as document:
        text = str(document[0].get_textpage().get_text_range())
    return text.split("\r\n")


@pytest.mark.parametrize("name", [PLAIN, BOLD])
def test_text_reads_back_as_it_was_drawn(name: str) -> None:
    """Look-alikes, printable ASCII and a few letters beyond it, the slashed zero as a zero."""
    lines = (LOOK_ALIKES, "".join(map(chr, range(33, 127))), "Außen – Küche × 2″ “å”")
    marks = (Text(2.0, 10.0 + 12 * number, line, name, 2.0) for number, line in enumerate(lines))
    assert list(lines) == read_back(*marks)


@settings(max_examples=30, deadline=None)
@given(st.text(SEEN, min_size=1, max_size=20))
def test_any_text_that_the_face_has_reads_back(text: str) -> None:
    """Nothing that the face has is dropped or changed on the way to paper."""
    assert read_back(Text(2.0, 20.0, text, BOLD, 3.0)) == [text]


def test_two_faces_on_a_page_keep_their_texts_apart() -> None:
    """Plain above, bold below."""
    assert read_back(Text(2.0, 10.0, "one 10", PLAIN, 4.0), Text(2.0, 30.0, "two 20", BOLD, 4.0)) == [
        "one 10",
        "two 20",
    ]


@pytest.mark.parametrize("group", ["Il1|", "O0"])
def test_look_alikes_look_different(group: str) -> None:
    """I, l and 1, O and 0, set 4 mm high, differ in many pixels: a letter misread is a wrong port."""
    shapes = {sign: picture(Text(50.0, 30.0, sign, BOLD, 6.0, "center")) for sign in group}
    for one, other in itertools.combinations(group, 2):
        differences = ImageChops.difference(shapes[one], shapes[other]).histogram()
        assert sum(differences[128:]) > 100, (one, other)


# --- the document -------------------------------------------------------------------------------------------


def test_every_face_is_embedded() -> None:
    """Each text is drawn with a subset of a face that the document carries."""
    content = pdf(Text(2.0, 10.0, "one", PLAIN, 4.0), Text(2.0, 30.0, "two", BOLD, 4.0))
    with opened(content) as document:
        texts = [each for each in document[0].get_objects() if isinstance(each, pypdfium2.PdfTextObj)]
        assert [text.get_font().is_embedded for text in texts] == [True, True]


def test_no_face_is_named_that_is_not_embedded() -> None:
    """The document's font objects are subsets, each with its file; a print shop's checks find no other."""
    content = pdf(Text(2.0, 10.0, "one", PLAIN, 4.0), Text(2.0, 30.0, "two", BOLD, 4.0))
    with pikepdf.open(io.BytesIO(content)) as document:
        fonts = [
            each for each in document.objects if isinstance(each, pikepdf.Dictionary) and "/BaseFont" in each
        ]
        assert [str(font["/BaseFont"])[:8] for font in fonts] == ["/AAAAAA+", "/AAAAAA+"]
        files = [font["/FontDescriptor"]["/FontFile2"].read_bytes() for font in fonts]
    assert len(set(files)) == 2


def test_documents_share_what_was_cut_out_and_not_what_was_not() -> None:
    """The same signs give the same font file, others another; each code means its sign."""
    contents = [pdf(Text(2.0, 10.0, text, PLAIN, 4.0)) for text in ("one", "two", "drei µ")]
    files = []
    for content in contents:
        with pikepdf.open(io.BytesIO(content)) as document:
            (font,) = document.pages[0].Resources.Font.values()
            files.append(font.FontDescriptor.FontFile2.read_bytes())
            table = font.ToUnicode.read_bytes()
            assert int(font.LastChar) - int(font.FirstChar) + 1 == len(font.Widths)
        assert (b"<6F> <006F>" in table, b"<00B5>" in table) == (True, content is contents[2])
    assert files[0] == files[1] != files[2]


def test_a_page_without_text_names_no_face() -> None:
    """Lines and symbols need none."""
    assert b"/BaseFont" not in pdf(Line(0, 0, 10, 10))


def test_pages_keep_their_order_and_each_its_size() -> None:
    """A document may mix papers."""
    sizes = [(215.9, 279.4), (50.8, 25.4), (210.0, 297.0)]
    with opened(draw_pdf("", "", [Page(*size, ()) for size in sizes], all_faces())) as document:
        found = [length * 25.4 / 72 for page in document for length in page.get_size()]
    assert found == pytest.approx([length for size in sizes for length in size], abs=0.001)


def test_the_document_says_what_it_is() -> None:
    """Title, author and the program's name; letters beyond ASCII included."""
    title, author = "ML-24 Bücherei – placards.pdf", "Prüfstelle"
    with opened(draw_pdf(title, author, [Page(WIDTH, HEIGHT, ())], all_faces())) as document:
        found = document.get_metadata_dict()
    assert (title, author, "tagmaker") == tuple(found[key] for key in ("Title", "Author", "Creator"))

"""Finished pages as pictures: dot for dot what the paper's bytes say, grey or in a printer's one bit."""

import io
from collections.abc import Iterable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tagmaker.draw.marks import Bars, Mark, Page, Rect, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.symbols.encode import Symbol, code128, qr
from tagmaker.symbols.png import page_pngs
from tagmaker.symbols.read import read_codes
from tagmaker.typeset.fonts import all_faces

Dots = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
RUNS = ((0, 0, 3, 1), (4, 0, 1, 1), (1, 1, 1, 1), (0, 3, 5, 1))


def pictures(*pages: Page, dots_per_mm: int = 8, one_bit: bool = True) -> list[Image.Image]:
    """The pages' pictures, read back from their PNG bytes."""
    pdf = draw_pdf("", "", pages, all_faces())
    found: list[Image.Image] = [
        Image.open(io.BytesIO(png)) for png in page_pngs(pdf, dots_per_mm * 25.4, one_bit=one_bit)
    ]
    for picture in found:
        picture.load()
    return found


def dots(page: Page, dots_per_mm: int = 8) -> Dots:
    """Which dots of a page's picture are ink."""
    (picture,) = pictures(page, dots_per_mm=dots_per_mm)
    return ~np.asarray(picture)


def bars(symbol: Symbol, x: float, y: float, cell: float, height: float = 0.0) -> Bars:
    """A symbol on a page."""
    return Bars(x, y, cell, height or cell, symbol.runs, symbol.text)


def meant(shape: tuple[int, ...], marks: Iterable[Bars], dots_per_mm: int) -> Dots:
    """The dots that symbols on the dot grid cover, and no other."""
    covered = np.zeros(shape, dtype=np.bool_)
    for mark in marks:
        left, top, wide, high = (
            round(mm * dots_per_mm) for mm in (mark.x, mark.y, mark.cell_width, mark.cell_height)
        )
        for column, row, columns, rows in mark.runs:
            across = slice(left + column * wide, left + (column + columns) * wide)
            covered[top + row * high : top + (row + rows) * high, across] = True
    return covered


# --- sizes --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size_mm", "dots_per_mm", "pixels"),
    [
        ((45.0, 12.0), 12, (540, 144)),  # whole dots, whatever rounding makes of the PDF's points
        ((60.0, 30.0), 8, (480, 240)),
        ((50.8, 25.4), 8, (407, 204)),  # 406.4 x 203.2: the last dot is cut by the paper's edge
        ((50.8, 25.4), 12, (610, 305)),  # 609.6 x 304.8
        ((101.6, 152.4), 8, (813, 1220)),  # 812.8 x 1219.2
    ],
)
def test_a_picture_has_a_page_in_whole_dots(
    size_mm: tuple[float, float], dots_per_mm: int, pixels: tuple[int, int]
) -> None:
    """So many dots as the page begins [computed by hand]."""
    (picture,) = pictures(Page(*size_mm, ()), dots_per_mm=dots_per_mm)
    assert picture.size == pixels


@given(st.floats(5, 120), st.floats(5, 120), st.sampled_from([8, 12, 24]))
@settings(max_examples=40, deadline=None)
def test_a_picture_is_never_smaller_than_its_page(width: float, height: float, dots_per_mm: int) -> None:
    """Nor a whole dot larger."""
    (picture,) = pictures(Page(width, height, ()), dots_per_mm=dots_per_mm)
    for pixels, mm in zip(picture.size, (width, height), strict=True):
        assert -0.02 <= pixels - mm * dots_per_mm < 1.001


def test_each_page_has_its_picture() -> None:
    """In order, each of its own size."""
    pages = [Page(20, 10, ()), Page(10, 30, ()), Page(20, 10, ())]
    assert [picture.size for picture in pictures(*pages)] == [(160, 80), (80, 240), (160, 80)]


@pytest.mark.parametrize("dots_per_mm", [8, 12, 24])
def test_a_picture_says_how_large_it_is(dots_per_mm: int) -> None:
    """Dots an inch stand in the file, so that it prints at its size (PNG counts them by the metre)."""
    (picture,) = pictures(Page(20, 10, ()), dots_per_mm=dots_per_mm)
    assert picture.info["dpi"] == pytest.approx((dots_per_mm * 25.4,) * 2, abs=0.02)


# --- ink ----------------------------------------------------------------------------------------------------


def test_one_bit_is_black_and_white() -> None:
    """A thermal printer has no grey; a screen has."""
    page = Page(20, 10, (Text(2, 8, "Grey", "plain", 6.0), Rect(15, 1, 3, 3, fill=0.4)))
    (printer,), (screen,) = pictures(page), pictures(page, one_bit=False)
    assert (printer.mode, screen.mode) == ("1", "L")
    assert len(np.unique(np.asarray(screen))) > 2


@pytest.mark.parametrize(("fill", "is_ink"), [(0.0, True), (0.45, True), (0.55, False), (1.0, False)])
def test_half_grey_is_the_limit_of_ink(fill: float, is_ink: bool) -> None:  # noqa: FBT001 — a case's column
    """What is darker than half is a dot."""
    found = dots(Page(4, 4, (Rect(1, 1, 2, 2, fill=fill),)))
    assert bool(found[12, 12]) == is_ink
    assert not found[2, 2]


@pytest.mark.parametrize("dots_per_mm", [8, 12])
@pytest.mark.parametrize("size_mm", [(50.8, 25.4), (60.0, 25.4), (101.6, 38.1), (45.0, 12.5)])
def test_modules_are_whole_dots(size_mm: tuple[float, float], dots_per_mm: int) -> None:
    """A code of 4 dots a module at the right edge covers exactly its own dots.

    So it does where the page ends within a dot: no page is stretched to its picture.
    """
    cell = 4 / dots_per_mm
    symbol = qr("BB-1/C/LIQ")
    x = int((size_mm[0] - symbol.columns * cell - 0.5) * dots_per_mm) / dots_per_mm
    mark = bars(symbol, x, 0.5, cell)
    found = dots(Page(*size_mm, (mark,)), dots_per_mm)
    assert np.array_equal(meant(found.shape, [mark], dots_per_mm), found)


def test_bars_are_whole_dots() -> None:
    """Bars of 2 dots at 203 dpi, 90 mm long: every one of them covers its own dots."""
    mark = bars(code128("BB-1/C/COM/FC-1"), 5.0, 1.0, 0.25, 10.0)
    found = dots(Page(90.0, 12.0, (mark,)))
    assert np.array_equal(meant(found.shape, [mark], 8), found)


@given(st.integers(0, 100), st.integers(0, 60), st.integers(2, 7), st.sampled_from([8, 12]))
@settings(max_examples=40, deadline=None)
def test_marks_on_the_dot_grid_are_on_it_anywhere(left: int, top: int, cell: int, dots_per_mm: int) -> None:
    """Wherever on the page, however large its cells."""
    mark = Bars(left / dots_per_mm, top / dots_per_mm, cell / dots_per_mm, cell / dots_per_mm, RUNS, "")
    found = dots(Page(50.8, 25.4, (mark,)), dots_per_mm)
    assert np.array_equal(meant(found.shape, [mark], dots_per_mm), found)


# --- paper and preview --------------------------------------------------------------------------------------


def test_paper_and_picture_say_the_same() -> None:
    """The codes of the picture are those of the page's marks, where they lie."""
    marks: tuple[Mark, ...] = (
        bars(qr("BB-1/C/LIQ"), 5.0, 5.0, 0.5),
        bars(qr("BB-1/C/GAS"), 30.0, 5.0, 0.5),
    )
    (picture,) = pictures(Page(50.8, 25.4, marks))
    found = sorted(read_codes(picture.convert("L"), 203.2), key=lambda code: code.x)
    assert [code.text for code in found] == ["BB-1/C/LIQ", "BB-1/C/GAS"]
    assert [code.x for code in found] == pytest.approx([5.0, 30.0], abs=0.2)


def test_the_same_pages_give_the_same_pictures() -> None:
    """Byte for byte."""
    pdf = draw_pdf("", "", [Page(20, 10, (Text(2, 8, "Abc", "bold", 5.0),))], all_faces())
    assert list(page_pngs(pdf, 203.2, one_bit=True)) == list(page_pngs(pdf, 203.2, one_bit=True))

"""Pages to pictures, pictures to texts: read where they were drawn."""

import io

import pytest
from PIL import Image

from tagmaker.draw.marks import Bars, Mark, Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.symbols.encode import Symbol, SymbolKind, code128, qr
from tagmaker.symbols.read import Decoded, open_picture, page_pictures, read_codes, read_print
from tagmaker.typeset.fonts import all_faces

DPI = 300
NEAR_MM = 0.2  # two pixels at 300 dpi
LETTER = (215.9, 279.4)


def bars(symbol: Symbol, x: float, y: float, cell: float, height: float = 0.0) -> Bars:
    """A symbol on a page."""
    return Bars(x, y, cell, height or cell, symbol.runs, symbol.text)


def found_on(*marks: Mark, dpi: float = DPI) -> list[Decoded]:
    """The codes of a letter page with these marks, from left to right."""
    pdf = draw_pdf("", "", [Page(*LETTER, marks)], all_faces())
    (picture,) = page_pictures(pdf, dpi)
    return sorted(read_codes(picture, dpi), key=lambda found: found.x)


def test_codes_are_found_where_they_were_drawn() -> None:
    """A QR code and a Code 128 of one page, each with its text, kind and place in millimetres."""
    square, strip = qr("BB-1/A/LIQ"), code128("BB-1/A/GAS")
    found = found_on(bars(square, 20.0, 30.0, 0.5), bars(strip, 100.0, 200.0, 0.3, 12.0))
    assert [(each.text, each.kind) for each in found] == [("BB-1/A/LIQ", "qr"), ("BB-1/A/GAS", "code128")]
    side = 0.5 * square.columns
    assert (found[0].x, found[0].y) == pytest.approx((20.0, 30.0), abs=NEAR_MM)
    assert (found[0].width, found[0].height) == pytest.approx((side, side), abs=NEAR_MM)
    assert (found[1].x, found[1].width) == pytest.approx((100.0, 0.3 * strip.columns), abs=NEAR_MM)
    assert 200.0 - NEAR_MM <= found[1].y <= found[1].y + found[1].height <= 212.0


def test_places_do_not_hang_on_the_resolution() -> None:
    """The same page at 200 dpi gives the same millimetres."""
    mark = bars(qr("BB-1/A/LIQ"), 20.0, 30.0, 0.6)
    (fine,), (coarse,) = found_on(mark), found_on(mark, dpi=200)
    assert fine.text == coarse.text
    assert (fine.x, fine.y) == pytest.approx((coarse.x, coarse.y), abs=NEAR_MM)


def test_a_page_without_codes_has_none() -> None:
    """Bare paper says nothing."""
    assert found_on() == []


def test_a_code_that_lost_too_much_is_not_guessed_at() -> None:
    """Half a symbol is no symbol."""
    symbol = qr("BB-1/A/LIQ")
    half = tuple(run for run in symbol.runs if run[1] < symbol.rows // 2)
    assert found_on(Bars(20.0, 30.0, 0.6, 0.6, half, symbol.text)) == []


def test_pictures_are_grey_and_of_the_pages_sizes() -> None:
    """One picture a page, in order, so many pixels an inch."""
    pages = [Page(*LETTER, ()), Page(50.8, 25.4, ())]
    pictures: list[Image.Image] = list(page_pictures(draw_pdf("", "", pages, all_faces()), DPI))
    assert [(each.mode, round(each.width, -1), round(each.height, -1)) for each in pictures] == [
        ("L", 2550, 3300),
        ("L", 600, 300),
    ]


@pytest.mark.parametrize(
    ("kinds", "expected"), [(["qr"], ["QR"]), (["code128"], ["BARS"]), (["qr", "code128"], ["QR", "BARS"])]
)
def test_a_finished_page_is_read_for_the_kinds_that_it_may_have(
    kinds: list[SymbolKind], expected: list[str]
) -> None:
    """No other kind is looked for: among thousands of QR codes one is taken for two letters of bars."""
    marks = (bars(qr("QR"), 20.0, 30.0, 0.34), bars(code128("BARS"), 100.0, 200.0, 0.25, 6.0))
    (picture,) = page_pictures(draw_pdf("", "", [Page(*LETTER, marks)], all_faces()), DPI)
    assert expected == [found.text for found in sorted(read_print(picture, DPI, kinds), key=lambda f: f.x)]


def test_sixteen_bits_of_grey_are_scaled_to_eight() -> None:
    """Every grey as it was: cut at 255 all but black would be white, and a faint code gone."""
    grey = Image.linear_gradient("L")
    deep, kept = grey.convert("I").point(lambda each: each * 257).convert("I;16"), io.BytesIO()
    deep.save(kept, "PNG")
    assert open_picture(kept.getvalue()).tobytes() == grey.tobytes()

"""Heights of letters against published figures, and printed letters measured in the finished PDF."""

import pytest

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.reading import Sight, reading_rules
from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Page
from tagmaker.sheets.label import fit_label
from tagmaker.typeset.fonts import BOLD, PLAIN, face
from tests.measured import SMALL, all_tags
from tests.sheets.printed import outlines, printed_pages
from tests.strategies import label_stocks, words

INCH = 25.4
NUREG = [
    (710, 16, 3.30),
    (710, 20, 4.13),
    (1524, 16, 7.09),
    (1524, 20, 8.87),
]
"""Viewing distance in mm, minutes of arc, height in mm: h = 6.283 x D x M / 21600, NUREG-0700 [read]; the
figures [computed]."""
A13 = [
    (0.75, 1.25, 0.5),
    (1.5, 2.0, 0.75),
    (2.5, 6.0, 1.25),
    (8.0, 10.0, 2.5),
]
"""Outside diameter over the covering from, to, and letter height, in inches: ASME A13.1 [read, in a summary].
Over 10 in: 3-1/2 in. Below 3/4 in: a tag."""
GAPS = [
    (1.25, 1.5, 0.75),
    (2.0, 2.5, 1.25),
    (6.0, 8.0, 2.5),
]
"""Between the table's rows, and the letter that is taken: the larger, this project's choice."""


def letter_in(diameter_in: float) -> float:
    """The letters of a band for a diameter, in inches."""
    return band_rules().letter_mm(diameter_in * INCH) / INCH


# --- NUREG-0700 ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("distance_mm", "minutes", "height_mm"), NUREG)
def test_character_heights(distance_mm: int, minutes: int, height_mm: float) -> None:
    """At 710 mm 3.30 and 4.13 mm, at 1524 mm 7.09 and 8.87 mm: NUREG-0700's formula [read]."""
    assert round(Sight("sign", distance_mm / 1000, minutes).caps, 2) == height_mm


@pytest.mark.parametrize(("distance_mm", "minutes", "height_mm"), NUREG)
def test_reading_distances(distance_mm: int, minutes: int, height_mm: float) -> None:
    """The other way round: such letters read from there, to the figures' rounding."""
    assert Sight("sign", 0.0, minutes).reads_from(height_mm) * 1000 == pytest.approx(distance_mm, rel=0.002)


def test_the_floor_is_not_below_the_published_one() -> None:
    """At least 16 minutes, 20 to 22 preferred: NUREG-0700 [read]."""
    assert all(16 <= sight.minutes <= 22 for sight in reading_rules().texts.values())


@pytest.mark.parametrize("metres", [0.5, 0.7, 1.5, 2.5])
def test_the_floor_is_near_another_rule(metres: float) -> None:
    """Height = distance / 200, FAA [2nd], is 17.2 minutes: within a tenth of the floor of 16."""
    assert Sight("sign", metres, 16).caps == pytest.approx(metres * 1000 / 200, rel=0.1)


# --- ASME A13.1 ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("first", "last", "letter"), A13)
def test_letters_of_bands(first: float, last: float, letter: float) -> None:
    """At both ends of each of the table's rows, and between: ASME A13.1 [read, in a summary]."""
    assert [letter_in(inches) for inches in (first, (first + last) / 2, last)] == pytest.approx([letter] * 3)


def test_letters_of_the_largest_pipes() -> None:
    """Over 10 in, 3-1/2 in: ASME A13.1 [read, in a summary]."""
    assert [letter_in(inches) for inches in (10.01, 20, 60)] == pytest.approx([3.5] * 3)


@pytest.mark.parametrize(("after", "before", "letter"), GAPS)
def test_between_the_tables_rows_the_larger_letter_is_taken(
    after: float, before: float, letter: float
) -> None:
    """This project's own choice, for the summary's table says nothing there: never the smaller letter."""
    assert [letter_in(inches) for inches in (after + 0.001, (after + before) / 2, before)] == pytest.approx(
        [letter] * 3
    )


@pytest.mark.parametrize("inches", [0.25, 0.5, 0.74])
def test_thin_pipes_have_the_least_letters(inches: float) -> None:
    """Below 3/4 in the summary asks for a tag; a band there has the least letters, 1/2 in [memory: IMC]."""
    assert letter_in(inches) == pytest.approx(0.5)


# --- what is printed ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [PLAIN, BOLD])
def test_capital_height_is_the_fonts_own(name: str) -> None:
    """The height that is reckoned with is that of the outline of H, from the font's glyphs."""
    _, top, foot = outlines(name)["H"]
    assert (face(name).cap_height, foot) == pytest.approx((top, 0.0), abs=0.002)


@pytest.mark.parametrize("stock", label_stocks(), ids=lambda stock: stock.name)
def test_a_labels_letter_is_as_high_as_it_is_told_to_be(stock: Stock) -> None:
    """The smallest copy of the port's letter, measured in the PDF by pdfium, is as high as is judged."""
    tag = next(tag for tag in all_tags(SMALL.record()) if tag.code == "BB-1/B/TRM")
    label, problems = fit_label(tag, stock, words())
    assert problems == ()
    assert label
    (texts,) = printed_pages([Page(*stock.label, label.marks)])
    letters = [text.capital_mm for text in texts if text.text == "B" and text.capital_mm]
    assert min(letters) == pytest.approx(label.letter_caps, abs=0.05)

"""What a tag goes round: the tube over its insulation, the bare tube before brazing, the cable's jacket."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.job.model import UnitRow
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import OutsideDiameter, PortKind
from tagmaker.tags.outside_diameter import outside_diameter, over
from tagmaker.units import Length
from tests.measured import length, measured_row, sized
from tests.strategies import first_box, one_box, words

FULL = {"liquid": "3/8 in", "gas": "7/8 in", "insulation": "3/4 in", "run": "62 ft", "cable": "0.26 in"}


def said(outside: OutsideDiameter | None) -> str:
    """The diameter as people say it; empty where none is known."""
    return outside.text if outside else ""


@pytest.mark.parametrize(
    ("tube", "wall", "inches", "text"),
    [
        ("7/8 in", "3/4 in", 2.375, "2.375 in over insulation"),  # 0.875 + 2 x 0.75
        ("1/4 in", "3/8 in", 1.0, "1 in over insulation"),  # 0.25 + 2 x 0.375
        ("1-1/8 in", "1 in", 3.125, "3.125 in over insulation"),
        ("2-1/8 in", "2 in", 6.125, "6.125 in over insulation"),
    ],
)
def test_diameter_over_insulation(tube: str, wall: str, inches: float, text: str) -> None:
    """The outside diameter is the tube's and twice the wall, one on either side [computed by hand]."""
    outside = over(length(tube), length(wall))
    assert outside is not None
    assert outside.diameter == pytest.approx(inches * 25.4)
    assert outside.text == text


def test_diameter_over_insulation_in_millimetres() -> None:
    """22 + 2 x 19 = 60 mm [computed by hand]; it is said in the tube's own units."""
    assert over(length("22 mm"), length("19 mm")) == OutsideDiameter(
        60.0, "60 mm over insulation", is_metric=True
    )


def test_tube_and_wall_may_have_units_of_their_own() -> None:
    """A tube of 1/2 in in a wall of 12.7 mm, which is 1/2 in too, is 1.5 in."""
    assert over(length("1/2 in"), length("12.7 mm")) == OutsideDiameter(
        38.1, "1.5 in over insulation", is_metric=False
    )


def test_circumference() -> None:
    """2.375 in is 7.461 in round: pi x 2.375 [computed: 355/113 x 2.375 = 7.4613]."""
    outside = over(length("7/8 in"), length("3/4 in"))
    assert outside is not None
    assert outside.circumference / 25.4 == pytest.approx(355 / 113 * 2.375, abs=1e-5)


def test_bare_tube_is_its_own_diameter() -> None:
    """Before brazing there is no insulation, whatever wall the row gives."""
    assert over(length("7/8 in"), length("3/4 in"), bare=True) == OutsideDiameter(
        22.225, "7/8 in", is_metric=False
    )


def test_wall_is_never_assumed() -> None:
    """A tube without a wall has no diameter over insulation."""
    assert over(length("7/8 in"), None) is None


@given(st.fractions(Fraction(1, 10), 200), st.fractions(Fraction(1, 10), 60))
def test_diameter_is_the_tubes_and_twice_the_wall(tube: Fraction, wall: Fraction) -> None:
    """Whatever they are, circumference included."""
    outside = over(Length(tube, "x mm"), Length(wall, "x mm"))
    assert outside is not None
    assert outside.diameter == pytest.approx(float(tube) + float(wall) + float(wall))
    assert outside.circumference == pytest.approx(math.pi * float(tube + 2 * wall))


@pytest.mark.parametrize(
    ("kind", "bare", "text"),
    [
        ("liquid", False, "1.875 in over insulation"),
        ("gas", False, "2.375 in over insulation"),
        ("liquid", True, "3/8 in"),
        ("gas", True, "7/8 in"),
        ("cable", False, "0.26 in"),
        ("cable", True, "0.26 in"),
        ("terminal", False, ""),
    ],
)
def test_what_each_kind_goes_round(kind: PortKind, bare: bool, text: str) -> None:  # noqa: FBT001 — a case's column
    """Pipes have insulation, bare tubes at the rough-in; cables never have; terminals go round nothing."""
    assert said(outside_diameter(kind, [measured_row(**FULL)], bare=bare)) == text


@pytest.mark.parametrize("missing", ["liquid", "insulation"])
def test_row_that_lacks_a_measure(missing: str) -> None:
    """Without tube or wall the pipe's size is not known."""
    row = measured_row(**{key: text for key, text in FULL.items() if key != missing})
    assert outside_diameter("liquid", [row], bare=False) is None


def test_jacket_is_never_derived() -> None:
    """A row with every other measure and no jacket diameter has a cable of unknown size."""
    row = measured_row(**{key: text for key, text in FULL.items() if key != "cable"})
    assert outside_diameter("cable", [row], bare=False) is None


def rows(*cables: str) -> list[UnitRow]:
    """A row a cable; an empty text for none given."""
    return [measured_row(cable=text) if text else measured_row() for text in cables]


@pytest.mark.parametrize(
    ("cables", "text"),
    [
        (("0.26 in", "0.26 in"), "0.26 in"),
        (("0.26 in", "0.3 in"), ""),
        (("0.26 in", ""), ""),
        ((), ""),
    ],
)
def test_rows_of_a_shared_port_must_agree(cables: tuple[str, ...], text: str) -> None:
    """Where the units on a port give different diameters, or one gives none, nobody picks one."""
    assert said(outside_diameter("cable", rows(*cables), bare=False)) == text


def test_tags_of_a_port_hug_what_its_rows_say() -> None:
    """A spare letter's stubs have no diameter; a pair's second letter has its unit's."""
    job = sized(one_box(("AH-1", "C+D", "72 kBtu/h")), liquid="3/8 in", insulation="3/4 in")
    tags = {tag.code: said(tag.outside) for tag in box_tags(job, first_box(job), words())}
    assert (tags["BB-1/B/LIQ"], tags["BB-1/D/LIQ"]) == ("", "1.875 in over insulation")
    assert (tags["BB-1/C/LIQ/AH-1"], tags["BB-1/C/GAS/AH-1"]) == ("1.875 in over insulation", "")


def test_row_without_measures_has_none() -> None:
    """A row that gives nothing is no error: what hangs on it is a tie-on tag, a flag or a label."""
    bare = measured_row()
    assert [
        outside_diameter(kind, [bare], bare=False) for kind in ("liquid", "gas", "cable", "terminal")
    ] == [None] * 4

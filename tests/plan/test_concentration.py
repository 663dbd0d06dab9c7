"""Refrigerant in the smallest room, against the figures of the code's table as they are known."""

from fractions import Fraction
from pathlib import Path

import pytest

from tagmaker.catalog.amounts import amounts
from tagmaker.measures import Volume
from tagmaker.plan.concentration import Concentration, amount_text, concentration
from tagmaker.plan.systems import plan_systems
from tests.job.reading import good
from tests.plan.test_systems import HEAD, SYSTEM, TWO, unit
from tests.quantities import measure

ROOMS = ("2390 ft3", "67.67784327 m3", "9000 ft3")
"""23.9 lb in 2390 ft3 are 10 lb in 1000 ft3; the second room is as large, in metres [by hand]."""


def found(
    folder: Path, rooms: tuple[str, ...], system: str = SYSTEM, refrigerant: str = "R-32"
) -> Concentration:
    """The concentration of a system of three units with these rooms."""
    places = (("FC-1", "BX-1", "A", "40 ft"), ("FC-3", "BX-1", "B", "20 ft"), ("FC-2", "BX-2", "A", "40 ft"))
    rows = [
        unit(*place) + (f'room_volume = "{room}"\n' if room else "")
        for place, room in zip(places, rooms, strict=True)
    ]
    (planned,) = plan_systems(good(folder, HEAD + system + "".join((*TWO, *rows))))
    return concentration(planned, refrigerant)


@pytest.mark.parametrize(
    ("refrigerant", "pounds", "grams", "known"),
    [
        # International Mechanical Code, Table 1103.1; the first three read, the others from memory
        ("R-32", "4.8", 77, "read"),
        ("R-22", "13", 210, "read"),
        ("R-134a", "13", 210, "read"),
        ("R-410A", "26", 420, "from memory"),
        ("R-454B", "3.1", 49, "from memory"),
    ],
)
def test_the_tables_figures(refrigerant: str, pounds: str, grams: int, known: str) -> None:
    """Each with its standing; its two figures are one, rounded, and the smaller counts."""
    amount = amounts().of[refrigerant]
    assert (amount.pounds, amount.grams, amount.known) == (Fraction(pounds), Fraction(grams), known)
    in_grams = Fraction(pounds) * Fraction("453.59237") / (1000 * Fraction("0.3048") ** 3)
    assert abs(in_grams - grams) / grams < Fraction(2, 100)
    assert amount.grams_m3 == min(in_grams, grams)
    assert amount.doubt == ("" if known == "read" else ", from memory")


def test_all_of_the_charge_in_the_smallest_room(tmp_path: Path) -> None:
    """23.9 lb in 2390 ft3: 10 lb in 1000 ft3, 160.2 g in a cubic metre; more than twice what is allowed."""
    made = found(tmp_path, ROOMS)
    assert made.smallest
    assert made.smallest.tag == "FC-1"
    assert made.grams_m3
    assert amount_text(made.grams_m3, measure(Volume, ROOMS[0])) == "10 lb/1000 ft3"
    assert amount_text(made.grams_m3, measure(Volume, ROOMS[1])) == "160.2 g/m3"
    assert (made.is_over, made.unknown) == (True, ())


@pytest.mark.parametrize(
    ("rooms", "unknown"),
    [
        (("2390 ft3", "", "9000 ft3"), ("the room volume of 1 of 3 units",)),
        (("", "", ""), ("the room volume of 3 of 3 units",)),
    ],
)
def test_a_room_without_a_volume_may_be_the_smallest(
    rooms: tuple[str, ...], unknown: tuple[str, ...], tmp_path: Path
) -> None:
    """Nothing is compared until all are known."""
    made = found(tmp_path, rooms)
    assert (made.unknown, made.grams_m3, made.is_over) == (unknown, None, False)


def test_an_unknown_charge_is_not_compared(tmp_path: Path) -> None:
    """However small the rooms are."""
    made = found(tmp_path, ROOMS, SYSTEM.replace('per_unit = "0.5 lb", ', ""))
    assert (made.unknown, made.is_over) == (("the charge",), False)


def test_an_institution_is_allowed_half(tmp_path: Path) -> None:
    """Where the user says so."""
    whole, half = (found(tmp_path, ROOMS, SYSTEM + line) for line in ("", "institutional = true\n"))
    assert whole.limit
    assert half.limit == whole.limit / 2


def test_a_refrigerant_that_the_table_lacks(tmp_path: Path) -> None:
    """Its amount is known, and compared with nothing."""
    made = found(tmp_path, ROOMS, refrigerant="R-1234yf")
    assert made.grams_m3
    assert (made.limit, made.amount, made.is_over) == (None, None, False)

"""Masses, pressures, temperatures, times and volumes: exact, never mixed, their units never guessed."""

from fractions import Fraction

import pint
import pytest

from tagmaker.measures import (
    Mass,
    MassPerLength,
    Measure,
    Pressure,
    Temperature,
    TemperatureStep,
    Time,
    Vacuum,
    Volume,
)
from tagmaker.units import Length, Unreadable, read_length
from tests.tables import table

KINDS: tuple[type[Measure], ...] = (
    Mass, MassPerLength, Pressure, Vacuum, Time, Volume, TemperatureStep, Temperature,
)  # fmt: skip
BASE = {
    Mass: "g", MassPerLength: "g/m", Pressure: "Pa", Vacuum: "Pa", Time: "h", Volume: "m^3",
    TemperatureStep: "delta_degC",
}  # fmt: skip
PINT = {
    "lb/ft": "lb/ft", "oz/ft": "oz/ft", "kg/m": "kg/m", "g/m": "g/m", "micron": "micrometer_Hg",
    "ft3": "ft^3", "m3": "m^3", "F": "delta_degF", "C": "delta_degC", "h": "hour", "min": "minute",
}  # fmt: skip
UNITS = [(kind, unit) for kind in BASE for unit in kind.each]


def reads(kind: type[Measure], text: str) -> Measure:
    """The measure of a text that can be read."""
    read = kind.read(text)
    assert isinstance(read, Measure), read
    return read


def fault(kind: type[Measure], text: str) -> Unreadable:
    """Why a text cannot be read."""
    read = kind.read(text)
    assert isinstance(read, Unreadable), read
    return read


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    """Pint's units, an independent table of factors."""
    return pint.UnitRegistry()


@pytest.mark.parametrize(("kind", "unit"), UNITS, ids=lambda each: getattr(each, "__name__", each))
def test_factors_agree_with_pint(kind: type[Measure], unit: str, registry: pint.UnitRegistry) -> None:
    """Each unit is as many base units as pint says."""
    theirs = registry.Quantity(1, PINT.get(unit, unit)).to(BASE[kind]).magnitude
    assert float(kind.each[unit]) == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kelvins"),
    [("32 F", "273.15"), ("0 C", "273.15"), ("212 F", "373.15"), ("-40 F", "233.15"), ("−40 C", "233.15")],
)
def test_both_scales_of_temperature(text: str, kelvins: str) -> None:
    """Water freezes at 32 °F and boils at 212 °F; the scales meet at 40 below."""
    assert reads(Temperature, text).value == Fraction(kelvins)


def test_a_pound_and_a_foot_are_exact() -> None:
    """1 lb = 453.59237 g, 1 ft = 304.8 mm exactly: 1 lb/ft over 1 m is 453.59237 / 0.3048 g."""
    metre = read_length("1 m")
    assert isinstance(metre, Length)
    charge = reads(MassPerLength, "1 lb/ft")
    assert isinstance(charge, MassPerLength)
    assert charge.of(metre, "g").value == Fraction("453.59237") / Fraction("0.3048")


def test_sums_do_not_drift() -> None:
    """Ten times 0.1 lb are a pound; the sum keeps the first one's unit."""
    total = sum((reads(Mass, "0.1 lb") for _ in range(9)), start=reads(Mass, "0.1 lb"))
    assert (total, total.text()) == (reads(Mass, "1 lb"), "1 lb")


@pytest.mark.parametrize("kind", KINDS, ids=lambda each: each.__name__)
def test_each_word_and_example_is_read(kind: type[Measure]) -> None:
    """Every word of a unit is understood in any case of letters; the example of a hint is one."""
    assert [reads(kind, f"7 {word.upper()}").unit for word in kind.words] == list(kind.words.values())
    assert reads(kind, kind.example).text() == kind.example


@pytest.mark.parametrize("kind", KINDS, ids=lambda each: each.__name__)
def test_a_unit_is_never_guessed(kind: type[Measure]) -> None:
    """A bare number, or one in a unit of another kind, is a problem that names the kind and its units."""
    for text in ("7", "7 furlong"):
        found = fault(kind, text)
        assert (found.code, found.message.startswith(f"{kind.what} '7")) == ("quantity-unit", True)
        assert all(unit in found.hint for unit in kind.each)


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        (Pressure, "550 psia"),
        (Mass, "3 ton"),
        (Vacuum, "29 inHg"),
        (Pressure, "300 micron"),
        (Mass, "1 lb/ft"),
    ],
)
def test_what_could_be_another_quantity_is_refused(kind: type[Measure], text: str) -> None:
    """An absolute pressure is no gauge pressure, nor a vacuum; a mass is no charge per length."""
    assert fault(kind, text).code == "quantity-unit"


@pytest.mark.parametrize(
    ("kind", "text"),
    [(Time, "0 h"), (Volume, "0 m3"), (Mass, "1,234 lb"), (Mass, "-1 lb"), (Pressure, "five psi"),
     (Temperature, "-460 F"), (Temperature, "--7 F"), (Temperature, "- 273.15 C")],
)  # fmt: skip
def test_what_is_no_clear_number(kind: type[Measure], text: str) -> None:
    """A time or a room of nothing, a comma of two meanings, what is colder than cold can be."""
    assert fault(kind, text).code == "quantity-wrong"


@pytest.mark.parametrize(
    ("kind", "text"), [(Mass, "0 lb"), (MassPerLength, "0 lb/ft"), (Pressure, "0 psi"), (Temperature, "0 F")]
)
def test_nothing_is_an_amount(kind: type[Measure], text: str) -> None:
    """A manual may say that a unit adds no charge."""
    assert reads(kind, text).text() == text


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    table(
        """
    1 lb  | g  | 453.592 g
    1 lb  | oz | 16 oz
    2 kg  | lb | 4.409 lb
        """
    ),
)
def test_a_mass_in_another_unit(text: str, unit: str, shown: str) -> None:
    """Rounded to three decimals, on writing alone."""
    assert reads(Mass, text).text(unit) == shown


@pytest.mark.parametrize(("text", "unit", "shown"), [("70 F", "C", "21.1 C"), ("-10 C", "F", "14 F")])
def test_a_temperature_on_the_other_scale(text: str, unit: str, shown: str) -> None:
    """(70 - 32) / 1.8 = 21.1; -10 x 1.8 + 32 = 14."""
    assert reads(Temperature, text).text(unit, 1) == shown


def test_kinds_do_not_mix() -> None:
    """A gauge pressure is no vacuum of as many pascals."""
    pressure, vacuum = reads(Pressure, "1 kPa"), reads(Vacuum, "1000 Pa")
    assert pressure.value == vacuum.value
    assert pressure != vacuum


def test_pounds_and_ounces_are_one_mass() -> None:
    """As scales show it; sixteen ounces, or half a pound with ounces, is a slip."""
    for text in ("16 lb 9.6 oz", "16lb 9.6oz", "16 lbs., 9,6 oz.", "16 Pounds 9.6 Ounces"):
        read = Mass.read(text)
        assert isinstance(read, Mass)
        assert (read.text(), read.value) == ("16.6 lb", Fraction("453.59237") * Fraction("16.6"))
    for text in ("16 lb 16 oz", "16.5 lb 2 oz", "16 lb 9.6", "16 kg 9 oz", "9 oz 16 lb"):
        assert isinstance(Mass.read(text), Unreadable), text

"""Capacities and lengths: exact inside, read without guessing, rounded only on writing."""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tagmaker.units import (
    BTUH_EACH,
    CAPACITY_UNITS,
    CAPACITY_WORDS,
    LENGTH_WORDS,
    MM_EACH,
    Capacity,
    CapacityUnit,
    Length,
    Unreadable,
    length_text,
    number_text,
    read_capacity,
    read_length,
    unit_word,
)
from tests.tables import table

PINT_CAPACITY = {
    "Btu/h": "Btu_it/hour",
    "kBtu/h": "kiloBtu_it/hour",
    "MBH": "kiloBtu_it/hour",
    "ton": "ton_of_refrigeration",
    "kW": "kilowatt",
}
PINT_LENGTH = {"in": "inch", "ft": "foot", "mm": "mm", "cm": "cm", "m": "m"}


def btuh(text: str, column_unit: str = "") -> Fraction:
    """The Btu/h of a text that can be read."""
    read = read_capacity(text, column_unit)
    assert isinstance(read, Capacity), read
    return read.btuh


def length(text: str, column_unit: str = "") -> Length:
    """The length of a text that can be read."""
    read = read_length(text, column_unit)
    assert isinstance(read, Length), read
    return read


def kind_of(read: Capacity | Length | Unreadable) -> str:
    """Why a text could not be read: "unit" or "wrong"."""
    assert isinstance(read, Unreadable), read
    return read.code.partition("-")[2]


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    """Pint's units, an independent table of factors."""
    return pint.UnitRegistry()


# --- factors ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "watts"),
    [
        # NIST SP 811, appendix B.8, seven digits [memory; both figures 2nd]
        ("1 Btu/h", "0.2930711"),
        ("1 ton", "3516.853"),
        # 1000 Btu/h, from the first figure [computed]
        ("1 kBtu/h", "293.0711"),
    ],
)
def test_capacity_factors_agree_with_nist(text: str, watts: str) -> None:
    """In watts, a unit is NIST's figure to the last digit that NIST prints."""
    printed = Fraction(watts)
    last_digit = Fraction(1, 10 ** len(watts.partition(".")[2]))
    assert abs(btuh(text) / btuh("1 kW") * 1000 - printed) <= last_digit / 2


def test_ton_of_refrigeration_is_twelve_thousand_btu_an_hour() -> None:
    """A ton is 12,000 Btu(IT)/h exactly, NIST SP 811 [memory]."""
    assert btuh("1 ton") == 12000


def test_kilowatt_in_btu_an_hour() -> None:
    """1 kW = 3412.142 Btu/h [computed from 1 Btu(IT) = 1055.05585262 J]."""
    assert number_text(btuh("1 kW")) == "3412.142"


def test_inch_is_exact() -> None:
    """1 in = 25.4 mm and 1 ft = 304.8 mm, exactly (international yard and pound agreement) [memory]."""
    assert (length("1 in").mm, length("1 ft").mm) == (Fraction("25.4"), Fraction("304.8"))


@pytest.mark.parametrize("unit", BTUH_EACH)
def test_capacity_factors_agree_with_pint(unit: str, registry: pint.UnitRegistry) -> None:
    """Each capacity unit is as many Btu(IT)/h as pint says."""
    theirs = registry.Quantity(1, PINT_CAPACITY[unit]).to("Btu_it/hour").magnitude
    # pint 0.25 counts its ton in the ISO Btu, which is 1.4e-7 larger than the Btu(IT) [computed]
    assert float(BTUH_EACH[unit]) == pytest.approx(theirs, rel=2e-7 if unit == "ton" else 1e-9)


@pytest.mark.parametrize("unit", MM_EACH)
def test_length_factors_agree_with_pint(unit: str, registry: pint.UnitRegistry) -> None:
    """Each length unit is as many millimetres as pint says."""
    theirs = registry.Quantity(1, PINT_LENGTH[unit]).to("mm").magnitude
    assert float(MM_EACH[unit]) == pytest.approx(theirs, rel=1e-12)


def test_pint_names_other_units_by_the_short_names(registry: pint.UnitRegistry) -> None:
    """Pint's `ton` is a mass and its `Btu` another Btu: the names above are chosen on purpose."""
    assert registry.Quantity(1, "ton").check("[mass]")
    assert registry.Quantity(1, "Btu").to("joule").magnitude != pytest.approx(1055.05585262, rel=1e-9)
    assert registry.Quantity(1, "Btu_it").to("joule").magnitude == pytest.approx(1055.05585262, rel=1e-9)


# --- exactness ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("54000 Btu/h", Fraction(54000)),
        ("123456789.012 Btu/h", Fraction("123456789.012")),
        ("72 kBtu/h", Fraction(72000)),
        ("72 MBH", Fraction(72000)),
        ("4.5 ton", Fraction(54000)),
        (".5 ton", Fraction(6000)),
        ("1/3 ton", Fraction(4000)),
        ("1-1/2 tons", Fraction(18000)),
        ("1 1/2 ton", Fraction(18000)),
        ("0.1 kBtu/h", Fraction(100)),
        ("3.516852842 kW", Fraction("3.516852842") * BTUH_EACH["kW"]),
    ],
)
def test_capacity_is_exact(text: str, expected: Fraction) -> None:
    """A capacity is the fraction that was written, not a float near it."""
    assert btuh(text) == expected


@given(st.lists(st.decimals("0.001", "999", places=3), min_size=1, max_size=12))
@settings(max_examples=60, deadline=None)
def test_sums_do_not_drift(parts: list[Decimal]) -> None:
    """However many capacities are added, the sum is the decimal sum."""
    total = Capacity(Fraction(0))
    for part in parts:
        total += Capacity(btuh(f"{part} kBtu/h"))
    assert total.btuh == sum(map(Fraction, parts)) * 1000


def test_thirds_add_up() -> None:
    """Three thirds of a ton are a ton."""
    third = Capacity(btuh("1/3 ton"))
    assert third + third + third == Capacity(Fraction(12000))


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("3/8 in", "9.525"),
        ("1-1/8 in", "28.575"),
        ("1 1/8 in", "28.575"),
        ('5/16"', "7.9375"),
        ("3/4 ″", "19.05"),
        ("62 ft", "18897.6"),
        ("62'", "18897.6"),
        ("9,52 mm", "9.52"),
        ("2.2 cm", "22"),
        ("18.9 m", "18900"),
    ],
)
def test_length_is_exact(text: str, mm: str) -> None:
    """Fractions of an inch and metric lengths are exact in millimetres."""
    assert length(text).mm == Fraction(mm)


@pytest.mark.parametrize(
    ("text", "column_unit", "shown"),
    table(
        """
    1 1/8 in |    | 1-1/8 in
    3/8"     |    | 3/8 in
    3/8      | in | 3/8 in
    62  feet |    | 62 ft
    9.52     | mm | 9.52 mm
        """
    ),
)
def test_length_keeps_its_own_words(text: str, column_unit: str, shown: str) -> None:
    """A tube is printed by the size that was written, not by its millimetres; space around it is left out."""
    assert [length(each, column_unit).text for each in (text, f" {text} ")] == [shown, shown]


def test_capacities_compare_by_size() -> None:
    """Order does not depend on the unit: 4.5 tons are no more than 54 kBtu/h, 16 kW are more."""
    limit, same = Capacity(btuh("54 kBtu/h"), "kBtu/h"), Capacity(btuh("4.5 ton"), "ton")
    assert (same <= limit, same < limit) == (True, False)
    assert limit < Capacity(btuh("16 kW"), "kW")


def test_capacity_and_length_do_not_mix() -> None:
    """Adding a length to a capacity fails here, and for mypy: the ignore would else be reported as unused."""
    with pytest.raises(AttributeError):
        _ = Capacity(Fraction(1)) + Length(Fraction(1), "1 mm")  # type: ignore[operator]


def test_metric_is_told_apart() -> None:
    """A quantity knows whether it was given in SI units."""
    capacities = [read_capacity(f"1 {unit}") for unit in BTUH_EACH]
    lengths = [length(f"1 {unit}") for unit in MM_EACH]
    assert [each.unit for each in capacities if isinstance(each, Capacity) and each.is_metric] == ["kW"]
    assert [each.text for each in lengths if each.is_metric] == ["1 mm", "1 cm", "1 m"]


# --- reading: units -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["72kBtu/h", "72 KBTU/H", "72 kbtuh", "72  kBtu / h", "72 mbh", "72 Mbh."])
def test_capacity_unit_may_be_written_in_many_ways(text: str) -> None:
    """Case, spaces and a closing full stop do not matter."""
    assert btuh(text) == 72000


@pytest.mark.parametrize(
    "text", ["72", "72 BTU", "72 kW/h", "72 hp", "72 watts", "72 M", "5e3 kW", "7 ft 3 in"]
)
def test_unit_is_never_guessed(text: str) -> None:
    """A bare number, or a unit that is no capacity's, is a problem of units."""
    assert kind_of(read_capacity(text)) == "unit"


@pytest.mark.parametrize("text", ["3/8", "9.52 mil", "12 yd", "5 ft 3 in", "12 kW"])
def test_length_unit_is_never_guessed(text: str) -> None:
    """The same holds for lengths."""
    assert kind_of(read_length(text)) == "unit"


def test_column_gives_its_unit_to_bare_numbers() -> None:
    """A header's unit counts where the cell has none; a cell's own unit goes before it."""
    assert btuh("6", "ton") == 72000
    assert btuh("72 kBtu/h", "ton") == 72000


@pytest.mark.parametrize(("word", "unit"), CAPACITY_WORDS.items())
def test_capacity_words(word: str, unit: str) -> None:
    """Every word of a capacity unit is understood in a cell and in a header."""
    assert unit_word(word.upper(), "capacity") == unit
    assert btuh(f"1 {word}") == BTUH_EACH[unit]


@pytest.mark.parametrize(("word", "unit"), LENGTH_WORDS.items())
def test_length_words(word: str, unit: str) -> None:
    """Every word of a length unit is understood in a cell and in a header."""
    assert unit_word(word, "length") == unit
    assert length(f"1 {word}") == Length(MM_EACH[unit], f"1 {unit}")


def test_words_of_one_kind_are_none_of_the_other() -> None:
    """A capacity column is not headed in inches, nor a length column in tons."""
    assert (unit_word("in", "capacity"), unit_word("ton", "length")) == ("", "")


def test_unknown_unit_is_answered_with_the_known_ones() -> None:
    """The hint shows how to write it and names the units."""
    read = read_capacity("72 hp")
    assert read == Unreadable(
        "capacity-unit",
        "capacity '72 hp' has a unit that is not known, 'hp'",
        'write it like "72 kBtu/h"; known units: Btu/h, kBtu/h, MBH, ton, kW',
    )


# --- reading: numbers ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("54,000 Btu/h", 54000),
        ("1,234.5 Btu/h", Fraction("1234.5")),
        ("12,5 Btu/h", Fraction("12.5")),
        ("4,5 ton", 54000),
        ("1,2345 kBtu/h", Fraction("1234.5")),
    ],
)
def test_comma_that_is_clear(text: str, expected: Fraction) -> None:
    """Thousands of Btu/h, and a decimal comma not followed by three digits, have one meaning only."""
    assert btuh(text) == expected


@pytest.mark.parametrize("text", ["1,234 kW", "54,000 kBtu/h", "1,500 ton", "12,000 MBH", "1,234.5 kW"])
def test_comma_that_can_be_read_in_two_ways(text: str) -> None:
    """1,234 kW may be one or a thousand: it is refused, not guessed."""
    assert kind_of(read_capacity(text)) == "wrong"


def test_points_of_thousands() -> None:
    """24.000 Btu/h are 24,000 for half the world; a thousandth of a port's load is no load. 0.5 is clear."""
    assert kind_of(read_capacity("24.000 Btu/h")) == "wrong"
    assert kind_of(read_capacity("9.000", "Btu/h")) == "wrong"
    assert [btuh(each) for each in ("24.000 kBtu/h", "24000.000 Btu/h", "0.500 Btu/h")] == [24000, 24000, 0.5]


def test_a_fraction_that_lost_its_space() -> None:
    """11/8 in may be 1-3/8 or 1-1/8: refused, and the hint writes it; 9/8 can be one thing only."""
    for text in ("11/8 in", "13/8 in", "1-9/8 in", "1 8/8 in", "10/8 in"):
        assert kind_of(read_length(text)) == "wrong"
    read = read_length("11/8 in")
    assert isinstance(read, Unreadable)
    assert read.hint.endswith('; a whole number stays apart from its fraction: "1-1/8"')
    assert [length(each).mm for each in ("9/8 in", "15/16 in")] == [Fraction("28.575"), Fraction("23.8125")]


def test_comma_in_a_length_is_as_unclear() -> None:
    """1,125 in may be a tube or a run."""
    assert kind_of(read_length("1,125 in")) == "wrong"


@pytest.mark.parametrize(
    "text",
    ["", "kW", "nan kW", "٣ kW", "½ ton", "0 kW", "0.000 ton", "-5 kW", "1..5 kW", "1.2.3 kW", "3/0 ton",
     "0/8 ton", "1/2/3 ton", "1 2 kW", "12,34,567 Btu/h", "1.234,5 kW", "1- 1/2 ton", "1234567890123 Btu/h"],
)  # fmt: skip
def test_what_is_no_clear_number_above_zero(text: str) -> None:
    """Anything but one clear number above zero is a problem of numbers."""
    assert kind_of(read_capacity(text)) == "wrong"


@given(st.text(alphabet="0123456789.,/- '\"inftmkWBu", max_size=14))
@settings(max_examples=100, deadline=None)
def test_no_text_is_a_crash(text: str) -> None:
    """Whatever stands in a cell, it is a quantity above zero or a reason."""
    capacity, measure = read_capacity(text, "kW"), read_length(text, "in")
    assert capacity.btuh > 0 if isinstance(capacity, Capacity) else kind_of(capacity) in {"unit", "wrong"}
    assert measure.mm > 0 if isinstance(measure, Length) else kind_of(measure) in {"unit", "wrong"}


# --- writing ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Fraction(0), "0"),
        (Fraction(100), "100"),
        (Fraction(1, 2), "0.5"),
        (Fraction(1, 3), "0.333"),
        (Fraction(2, 3), "0.667"),
        (Fraction("0.0005"), "0"),
        (Fraction("0.0015"), "0.002"),
        (Fraction("0.0025"), "0.002"),
        (Fraction("-0.0001"), "0"),
        (Fraction("-1.5"), "-1.5"),
        (Fraction("999999999.9996"), "1000000000"),
    ],
)
def test_number_text(value: Fraction, text: str) -> None:
    """Halves go to the even digit, as in IEEE 754; there is no minus before a nought."""
    assert number_text(value) == text


@given(st.fractions(min_value=-(10**9), max_value=10**9, max_denominator=10**6))
@settings(max_examples=100, deadline=None)
def test_number_text_is_short_and_near(value: Fraction) -> None:
    """At most three decimals, no trailing zeros, no exponent, within half a thousandth."""
    text = number_text(value)
    whole, _, decimals = text.partition(".")
    assert len(decimals) <= 3
    assert not decimals.endswith("0")
    assert whole.lstrip("-").isdigit()
    assert abs(Fraction(text) - value) <= Fraction(1, 2000)


@given(st.decimals("-99999999", "99999999", places=3))
@settings(max_examples=100, deadline=None)
def test_number_text_comes_back(value: Decimal) -> None:
    """A number of three decimals is written and read without loss."""
    assert Fraction(number_text(Fraction(value))) == Fraction(value)


@given(st.integers(1, 10**9), st.sampled_from(CAPACITY_UNITS))
@settings(max_examples=60, deadline=None)
def test_capacity_text_comes_back(thousandths: int, unit: CapacityUnit) -> None:
    """What a capacity prints as can be read again, in every unit of print."""
    assume(unit != "Btu/h" or thousandths >= 1_000_000)  # 24.001 Btu/h could be thousands
    printed = Capacity(Fraction(thousandths, 1000) * BTUH_EACH[unit]).text(unit)
    assert btuh(printed) == Fraction(thousandths, 1000) * BTUH_EACH[unit]


def test_capacity_in_the_jobs_unit() -> None:
    """The same load, in each unit in which a job may be printed."""
    load = Capacity(Fraction(54000))
    assert [load.text(unit) for unit in CAPACITY_UNITS] == [
        "54 kBtu/h",
        "54000 Btu/h",
        "4.5 ton",
        "15.826 kW",
    ]


@pytest.mark.parametrize(
    ("mm", "metric", "inches"),
    [
        (12.7, "12.7 mm", "0.5 in"),
        (88.9, "88.9 mm", "3.5 in"),
        (999.9, "999.9 mm", "39.37 in"),
        (1000.0, "1 m", "3.28 ft"),
        (91440.0, "91.44 m", "300 ft"),
    ],
)
def test_a_length_of_the_programs_own_is_in_either_system(mm: float, metric: str, inches: str) -> None:
    """By hand: 12.7 / 25.4 = 0.5 in; 300 x 304.8 mm = 91.44 m; two decimals at most."""
    assert (length_text(mm, is_metric=True), length_text(mm, is_metric=False)) == (metric, inches)

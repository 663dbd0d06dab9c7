"""Capacities and lengths as exact values that cannot be mixed; rounding happens only on writing.

Takes texts as people write them; gives a value, or why the text is no clear quantity. A unit is never
guessed: a bare number without a column's unit is refused, and so is a comma that could be a decimal or a
thousand.

Factors: NIST SP 811 (from memory): 1 Btu(IT) = 1055.05585262 J, 1 ton of refrigeration = 12,000 Btu(IT)/h,
1 in = 25.4 mm.
"""

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Literal, TypeVar

from msgspec import Struct

__all__ = [
    "BTUH_EACH",
    "CAPACITY_UNITS",
    "Capacity",
    "CapacityUnit",
    "Length",
    "LengthUnit",
    "QuantityKind",
    "Unreadable",
    "length_text",
    "number_text",
    "read_capacity",
    "read_length",
    "read_quantity",
]

CapacityUnit = Literal["Btu/h", "kBtu/h", "MBH", "ton", "kW"]
JOULES_A_BTU = Fraction("1055.05585262")
BTUH_EACH = {
    "Btu/h": Fraction(1),
    "kBtu/h": Fraction(1000),
    "MBH": Fraction(1000),
    "ton": Fraction(12000),
    "kW": Fraction(3600 * 1000) / JOULES_A_BTU,
}
CAPACITY_UNITS: tuple[CapacityUnit, ...] = ("kBtu/h", "Btu/h", "ton", "kW")
"""Units in which a job may be printed; MBH is read and printed as kBtu/h."""
CAPACITY_WORDS: dict[str, CapacityUnit] = {
    "btu/h": "Btu/h", "btuh": "Btu/h", "btu/hr": "Btu/h", "kbtu/h": "kBtu/h", "kbtuh": "kBtu/h",
    "kbtu/hr": "kBtu/h", "mbh": "MBH",
    "ton": "ton", "tons": "ton", "kw": "kW",
}  # fmt: skip
LengthUnit = Literal["in", "ft", "mm", "cm", "m"]
MM_EACH = {
    "in": Fraction("25.4"),
    "ft": Fraction("304.8"),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}
LENGTH_WORDS: dict[str, LengthUnit] = {
    "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in", "ft": "ft", "feet": "ft", "foot": "ft",
    "'": "ft", "′": "ft", "mm": "mm", "cm": "cm", "m": "m",
}  # fmt: skip
VOLUME_WORDS = {"ft3": "ft3", "ft³": "ft3", "cuft": "ft3", "cubicfeet": "ft3", "m3": "m3", "m³": "m3"}
WORDS_OF: Mapping[str, Mapping[str, str]] = {
    "text": {}, "capacity": CAPACITY_WORDS, "length": LENGTH_WORDS, "volume": VOLUME_WORDS,
}  # fmt: skip
"""The words of units by the kind of a cell."""
# of both kinds: a value is printed in the system in which it was given
METRIC = {"kW", "mm", "cm", "m"}
LONG_MM = 1000  # from here a length is a distance, not a dimension of a part
Unit = TypeVar("Unit", bound=str)
REMEMBERED = 4096  # texts; a large schedule repeats a few capacities and diameters thousands of times
DIGITS_AT_MOST = 12  # longer numbers are slips of the keyboard, and their arithmetic would only cost time
PLAIN = re.compile(r"\d+(?:\.\d+)?|\.\d+", re.ASCII)
GROUPED = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", re.ASCII)
GROUPED_BY_POINTS = re.compile(r"[1-9]\d{0,2}\.\d{3}", re.ASCII)  # 24.000, as half the world writes thousands
DECIMAL_COMMA = re.compile(r"\d+,\d+", re.ASCII)
VULGAR = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)", re.ASCII)
QUANTITY = re.compile(r"([\d.,/ -]*\d)\s*(.*)", re.ASCII | re.DOTALL)


class Unreadable(Struct, frozen=True):
    """Why a text cannot be believed.

    The fields are those of a `Problem` that has no place yet.
    """

    code: str
    message: str
    hint: str


class Capacity(Struct, frozen=True):
    """A nominal cooling capacity, exact, in Btu(IT)/h, with the unit in which it was given."""

    btuh: Fraction
    unit: CapacityUnit = "Btu/h"

    def __add__(self, other: "Capacity") -> "Capacity":
        return Capacity(self.btuh + other.btuh, self.unit)

    def __lt__(self, other: "Capacity") -> bool:
        return self.btuh < other.btuh

    def __le__(self, other: "Capacity") -> bool:
        return self.btuh <= other.btuh

    @property
    def is_metric(self) -> bool:
        """Whether it was given in SI units."""
        return self.unit in METRIC

    def number(self, unit: CapacityUnit) -> str:
        """Its number in a unit, at most three decimals."""
        return _number_in(self.btuh, unit)

    def text(self, unit: CapacityUnit) -> str:
        """Its number and unit, as printed."""
        return f"{self.number(unit)} {unit}"


class Length(Struct, frozen=True):
    """A length or diameter, exact, in millimetres, with the text that gave it ("3/8 in")."""

    mm: Fraction
    text: str

    @property
    def is_metric(self) -> bool:
        """Whether it was given in SI units."""
        return self.text.rpartition(" ")[2] in METRIC

    def like(self, other: "Length") -> str:
        """Its text as given, or in the system of the length that it is compared with."""
        if self.is_metric == other.is_metric:
            return self.text
        return length_text(self.mm, is_metric=other.is_metric)


@lru_cache(maxsize=REMEMBERED)
def _number_in(btuh: Fraction, unit: CapacityUnit) -> str:
    """A capacity's number in a unit; a job's few capacities are printed many times."""
    return number_text(btuh / BTUH_EACH[unit])


def number_text(value: Fraction, places: int = 3) -> str:
    """A number with at most so many decimals, half to even, and no trailing zeros."""
    if value.denominator == 1:
        return str(value.numerator)
    rounded = round(value, places)
    decimal = Decimal(rounded.numerator) / Decimal(rounded.denominator)
    text = f"{decimal:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def length_text(mm: float | Fraction, *, is_metric: bool) -> str:
    """A length of the program's own in the system of what it is compared with, two decimals at most.

    Long ones are in metres or feet.
    """
    unit: LengthUnit = "mm" if is_metric else "in"
    if mm >= LONG_MM:
        unit = "m" if is_metric else "ft"
    return f"{number_text(Fraction(mm) / MM_EACH[unit], 2)} {unit}"


@lru_cache(maxsize=REMEMBERED)
def read_capacity(text: str, column_unit: str = "") -> Capacity | Unreadable:
    """A capacity from "72 kBtu/h", or from "72" in a column headed with its unit."""
    parts = read_quantity(
        text, column_unit, CAPACITY_WORDS, QuantityKind("capacity", "capacity", "72 kBtu/h")
    )
    if isinstance(parts, Unreadable):
        return parts
    value, unit = parts
    return Capacity(value * BTUH_EACH[unit], unit)


@lru_cache(maxsize=REMEMBERED)
def read_length(text: str, column_unit: str = "") -> Length | Unreadable:
    """A length from "1-1/8 in" or "62 ft", or from a bare number in a column headed with its unit."""
    parts = read_quantity(text, column_unit, LENGTH_WORDS, QuantityKind("length", "length", "3/8 in"))
    if isinstance(parts, Unreadable):
        return parts
    value, unit = parts
    number = QUANTITY.fullmatch(text.strip())
    shown = number.group(1).strip().replace(" ", "-") if number else text
    return Length(value * MM_EACH[unit], f"{shown} {unit}")


def unit_word(text: str, kind: Literal["text", "capacity", "length", "volume"]) -> str:
    """The unit that a word means for a kind of cell ("MBH"), empty when it is none; texts have no units."""
    return WORDS_OF[kind].get(_plain(text), "")


def _plain(unit: str) -> str:
    """A unit's word without case, spaces and a full stop."""
    return "".join(unit.casefold().split()).rstrip(".")


class QuantityKind(Struct, frozen=True):
    """What a text should be, in words; what its problem codes begin with; how to write it."""

    what: str
    code: str
    example: str
    may_be_zero: bool = False


def read_quantity(
    text: str, column_unit: str, words: Mapping[str, Unit], kind: QuantityKind
) -> tuple[Fraction, Unit] | Unreadable:
    """The number and unit of a text; the unit in the cell counts before the column's."""
    what, example = kind.what, kind.example
    match = QUANTITY.fullmatch(text.strip())
    if not match:
        return Unreadable(
            f"{kind.code}-wrong", f"{what} {text!r} is not a number with a unit", f'write it like "{example}"'
        )
    digits, unit_text = match.groups()
    unit = words.get(_plain(unit_text or column_unit))
    if unit is None:
        known = ", ".join(dict.fromkeys(words.values()))
        flaw = f"has a unit that is not known, {unit_text!r}" if unit_text else "has no unit"
        return Unreadable(
            f"{kind.code}-unit", f"{what} {text!r} {flaw}", f'write it like "{example}"; known units: {known}'
        )
    value = _number(digits.strip(), whole_unit=unit == "Btu/h")
    if value is None or value < 0 or (value == 0 and not kind.may_be_zero):
        above = "" if kind.may_be_zero else " above zero"
        return Unreadable(
            f"{kind.code}-wrong",
            f"{what} {text!r} is not one clear number{above}",
            f'write it like "{example}", without a comma or with a point for decimals{_fraction(digits)}',
        )
    return value, unit


def _fraction(digits: str) -> str:
    return '; a whole number stays apart from its fraction: "1-1/8"' if "/" in digits else ""


def _number(digits: str, *, whole_unit: bool) -> Fraction | None:
    """The number; 1,234 is thousands where the unit is counted in thousands, and unclear elsewhere.

    There 1.234 is unclear. So is 11/8: eleven eighths, or one and an eighth whose space was lost.
    """
    if sum(map(str.isdigit, digits)) > DIGITS_AT_MOST or (whole_unit and GROUPED_BY_POINTS.fullmatch(digits)):
        return None
    if PLAIN.fullmatch(digits):
        return Fraction(digits)
    if GROUPED.fullmatch(digits):
        return Fraction(digits.replace(",", "")) if whole_unit else None
    if DECIMAL_COMMA.fullmatch(digits):
        return Fraction(digits.replace(",", "."))
    vulgar = VULGAR.fullmatch(digits)
    if vulgar and int(vulgar[3]) and not _may_be_mixed(vulgar):
        return Fraction(int(vulgar[1] or 0)) + Fraction(int(vulgar[2]), int(vulgar[3]))
    return None


def _may_be_mixed(vulgar: re.Match[str]) -> bool:
    """Whether a fraction of one or more has a whole number before it, or in its first digits."""
    return int(vulgar[2]) >= int(vulgar[3]) and bool(vulgar[1] or vulgar[2][1:])

"""Masses, pressures, temperatures, times and volumes as exact values that cannot be mixed.

Each kind is a class with its units in one table: to add a unit, add it there. Texts are read by the
same rules as capacities and lengths: a unit is never guessed, and rounding happens only on writing.

Factors: NIST SP 811 (from memory): 1 lb = 453.59237 g, standard gravity 9.80665 m/s², conventional mercury
13,595.1 kg/m³, 1 ft = 0.3048 m, 0 °C = 273.15 K, 0 °F = 459.67 °R.
"""

import re
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import ClassVar, Self

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.units import VOLUME_WORDS, Length, QuantityKind, Unreadable, number_text, read_quantity

__all__ = [
    "Mass",
    "MassPerLength",
    "Measure",
    "Pressure",
    "Temperature",
    "TemperatureStep",
    "Time",
    "Vacuum",
    "Volume",
]


class Measure(Struct, frozen=True):
    """A quantity of a kind below, exact, in its kind's base unit, with the unit in which it was given.

    `each` has the base units in one unit of each kind, `words` the units as people write them.
    """

    value: Fraction
    unit: str
    what: ClassVar[str]
    example: ClassVar[str]
    each: ClassVar[Mapping[str, Fraction]]
    words: ClassVar[Mapping[str, str]]
    may_be_zero: ClassVar[bool] = False

    @classmethod
    def read(cls, text: str, column_unit: str = "") -> Self | Unreadable:
        """The measure of a text with its unit, or of a bare number in a column's; or why it is none."""
        kind = QuantityKind(cls.what, "quantity", cls.example, cls.may_be_zero)
        parts = read_quantity(text, column_unit, cls.words, kind)
        return parts if isinstance(parts, Unreadable) else cls.of_number(*parts)

    @classmethod
    def of_number(cls, number: Fraction, unit: str) -> Self:
        """So many of a unit."""
        return cls(number * cls.each[unit], unit)

    def __add__(self, other: Self) -> Self:
        return replace(self, value=self.value + other.value)

    def __lt__(self, other: Self) -> bool:
        return self.value < other.value

    def number(self, unit: str, places: int = 3) -> str:
        """Its number in a unit, rounded."""
        return number_text(self.value / self.each[unit], places)

    def text(self, unit: str = "", places: int = 3) -> str:
        """Its number and unit; without one in the unit in which it was given."""
        return f"{self.number(unit or self.unit, places)} {unit or self.unit}"


GRAMS_A_POUND = Fraction("453.59237")
PASCALS_A_PSI = GRAMS_A_POUND / 1000 * Fraction("9.80665") / Fraction("0.0254") ** 2
POUNDS_OUNCES = re.compile(
    r"(\d+)\s*(?:lbs?|pounds?)\.?,?\s*(\d+(?:[.,]\d+)?)\s*(?:oz|ounces?)\.?", re.ASCII | re.IGNORECASE
)
METRES_A_FOOT = Fraction("0.3048")


class Mass(Measure, frozen=True):
    """A mass in grams; of a charge it may be zero. Scales show pounds and ounces together: "16 lb 9.6 oz"."""

    what = "mass"
    example = "25.9 lb"
    each = MappingProxyType(
        {"lb": GRAMS_A_POUND, "oz": GRAMS_A_POUND / 16, "kg": Fraction(1000), "g": Fraction(1)}
    )
    words = MappingProxyType(
        {"lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "oz": "oz", "ounce": "oz", "ounces": "oz",
         "kg": "kg", "g": "g"}
    )  # fmt: skip
    may_be_zero = True

    @classmethod
    def read(cls, text: str, column_unit: str = "") -> Self | Unreadable:
        """The mass of a text with its unit; of two, where whole pounds and less than one in ounces follow."""
        both = POUNDS_OUNCES.fullmatch(text.strip())
        if both is None:
            return super().read(text, column_unit)
        pounds, ounces = super().read(f"{both[1]} lb"), super().read(f"{both[2]} oz")
        if isinstance(ounces, Unreadable) or isinstance(pounds, Unreadable) or ounces.value >= GRAMS_A_POUND:
            return super().read(text, column_unit)
        return pounds + ounces


class MassPerLength(Measure, frozen=True):
    """A charge per length of pipe, in grams a metre."""

    what = "charge per length"
    example = "0.039 lb/ft"
    each = MappingProxyType(
        {"lb/ft": GRAMS_A_POUND / METRES_A_FOOT, "oz/ft": GRAMS_A_POUND / 16 / METRES_A_FOOT,
         "kg/m": Fraction(1000), "g/m": Fraction(1)}
    )  # fmt: skip
    words = MappingProxyType({unit: unit for unit in each})
    may_be_zero = True

    def of(self, length: Length, unit: str) -> Mass:
        """The mass in so much pipe, to be shown in a unit of mass."""
        return Mass(self.value * length.mm / 1000, unit)


class Pressure(Measure, frozen=True):
    """A gauge pressure in pascals: above that of the atmosphere."""

    what = "pressure"
    example = "550 psi"
    each = MappingProxyType(
        {"psi": PASCALS_A_PSI, "bar": Fraction(100_000), "kPa": Fraction(1000), "MPa": Fraction(1_000_000)}
    )
    words = MappingProxyType(
        {"psi": "psi", "psig": "psi", "bar": "bar", "barg": "bar", "kpa": "kPa", "mpa": "MPa"}
    )
    may_be_zero = True


class Vacuum(Measure, frozen=True):
    """An absolute pressure of an evacuated system in pascals; a micron is one of mercury."""

    what = "vacuum"
    example = "300 micron"
    each = MappingProxyType(
        {"micron": Fraction("0.0135951") * Fraction("9.80665"), "Pa": Fraction(1), "mbar": Fraction(100)}
    )
    words = MappingProxyType({"micron": "micron", "microns": "micron", "pa": "Pa", "mbar": "mbar"})
    may_be_zero = True


class Time(Measure, frozen=True):
    """A duration in hours."""

    what = "time"
    example = "24 h"
    each = MappingProxyType({"h": Fraction(1), "min": Fraction(1, 60)})
    words = MappingProxyType(
        {"h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "min": "min", "minute": "min",
         "minutes": "min"}
    )  # fmt: skip


class Volume(Measure, frozen=True):
    """A volume of a room in cubic metres."""

    what = "volume"
    example = "1200 ft3"
    each = MappingProxyType({"ft3": METRES_A_FOOT**3, "m3": Fraction(1)})
    words = VOLUME_WORDS


TEMPERATURE_WORDS = MappingProxyType({"f": "F", "°f": "F", "degf": "F", "c": "C", "°c": "C", "degc": "C"})


class TemperatureStep(Measure, frozen=True):
    """A difference of temperatures in kelvins."""

    what = "temperature difference"
    example = "1 F"
    each = MappingProxyType({"F": Fraction(5, 9), "C": Fraction(1)})
    words = TEMPERATURE_WORDS
    may_be_zero = True


class Temperature(Measure, frozen=True):
    """A temperature in kelvins; a minus may be before its number."""

    what = "temperature"
    example = "70 F"
    each = TemperatureStep.each
    words = TEMPERATURE_WORDS
    may_be_zero = True
    zero: ClassVar[Mapping[str, Fraction]] = MappingProxyType(
        {"F": Fraction("459.67") * Fraction(5, 9), "C": Fraction("273.15")}
    )
    """Kelvins at zero of each scale."""

    @classmethod
    def read(cls, text: str, column_unit: str = "") -> Self | Unreadable:
        """The temperature of a text with its scale, or why it is none."""
        minus = text.strip()[:1] in {"-", "−"}
        read = super().read(text.strip()[minus:], column_unit)
        if minus and not isinstance(read, Unreadable):
            read = cls(2 * cls.zero[read.unit] - read.value, read.unit)
        if not isinstance(read, Unreadable) and read.value <= 0:
            return Unreadable("quantity-wrong", f"temperature {text!r} is not above absolute zero", "")
        return read

    @classmethod
    def of_number(cls, number: Fraction, unit: str) -> Self:
        """So many degrees of a scale."""
        return cls(cls.zero[unit] + number * cls.each[unit], unit)

    def number(self, unit: str, places: int = 3) -> str:
        """Its number on a scale, rounded."""
        return number_text((self.value - self.zero[unit]) / self.each[unit], places)

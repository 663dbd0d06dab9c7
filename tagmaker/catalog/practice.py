"""What lengths, diameters and capacities are usual (`layouts/practice.toml`); others are questioned."""

from fractions import Fraction
from functools import cache, lru_cache
from typing import TypeVar

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.files.toml import Table
from tagmaker.measures import Measure, Pressure, Vacuum
from tagmaker.units import Capacity, Length, Unreadable, read_length

__all__ = ["Practice", "is_tube", "practice"]

Kind = TypeVar("Kind", bound=Measure)
TUBES_KEPT = 256  # a job has a dozen


class Practice(Struct, frozen=True):
    """The most that is usual of each figure, the least of some, and the tubes that are sold."""

    source: str
    capacity_least: Capacity
    run: Length
    mains: Length
    insulation: Length
    cable: Length
    test_pressure_least: Pressure
    test_pressure: Pressure
    vacuum: Vacuum
    tubes: tuple[Length, ...]
    tube_slack: Length


@cache
def practice() -> Practice:
    """The figures as the data file gives them."""
    with shipped_table("practice.toml") as table:
        return Practice(
            source=table.text("source", required=True),
            capacity_least=table.capacity("capacity_least", required=True) or Capacity(Fraction(0)),
            run=_length(table, "run"),
            mains=_length(table, "mains"),
            insulation=_length(table, "insulation"),
            cable=_length(table, "cable"),
            test_pressure_least=_measure(table, "test_pressure_least", Pressure),
            test_pressure=_measure(table, "test_pressure", Pressure),
            vacuum=_measure(table, "vacuum", Vacuum),
            tubes=tuple(map(_read, table.texts("tubes"))),
            tube_slack=_length(table, "tube_slack"),
        )


@lru_cache(maxsize=TUBES_KEPT)
def is_tube(tube: Length) -> bool:
    """Whether tubes of that outside diameter are usual."""
    usual = practice()
    return any(abs(tube.mm - each.mm) <= usual.tube_slack.mm for each in usual.tubes)


def _length(table: Table, key: str) -> Length:
    return table.length(key, required=True) or Length(Fraction(0), "")  # the table's end reports it


def _measure(table: Table, key: str, kind: type[Kind]) -> Kind:
    return table.measure(key, kind, required=True) or kind(Fraction(0), "")


def _read(text: str) -> Length:
    read = read_length(text)
    if isinstance(read, Unreadable):
        raise TypeError(read.message)  # the program's own file
    return read

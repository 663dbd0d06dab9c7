"""The kinds of quantities in cells: how one is read, which units are known, the code of one that is not."""

from collections.abc import Callable, Mapping

from tagmaker.catalog.columns import ColumnKind
from tagmaker.measures import Volume
from tagmaker.units import CAPACITY_UNITS, Capacity, Length, Unreadable, read_capacity, read_length

__all__ = ["KNOWN_UNITS", "READERS_OF", "UNIT_CODES", "Quantity"]

Quantity = Capacity | Length | Volume
READERS_OF: Mapping[ColumnKind, Callable[[str, str], Quantity | Unreadable]] = {
    "capacity": read_capacity,
    "length": read_length,
    "volume": Volume.read,
}
"""By kind, what reads a text and its column's unit; texts are no quantities."""
KNOWN_UNITS: Mapping[ColumnKind, str] = {
    "capacity": ", ".join(CAPACITY_UNITS),
    "length": "in, ft, mm, cm, m",
    "volume": ", ".join(Volume.each),
}
UNIT_CODES: Mapping[ColumnKind, str] = {
    "capacity": "capacity-unit",
    "length": "length-unit",
    "volume": "quantity-unit",
}

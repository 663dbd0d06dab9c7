"""Quantities of tests from the texts that people write."""

from typing import TypeVar

from tagmaker.measures import Measure
from tagmaker.units import Capacity, Length, Unreadable, read_capacity, read_length

__all__ = ["capacity", "length", "measure"]

Kind = TypeVar("Kind", bound=Measure)


def measure(kind: type[Kind], text: str) -> Kind:
    """A measure of a kind, from a text that can be read."""
    read = kind.read(text)
    assert not isinstance(read, Unreadable), read
    return read


def length(text: str) -> Length:
    """A length, from a text that can be read."""
    read = read_length(text)
    assert isinstance(read, Length), read
    return read


def capacity(text: str) -> Capacity:
    """A capacity, from a text that can be read."""
    read = read_capacity(text)
    assert isinstance(read, Capacity), read
    return read

"""When a reading of a response test counts, from `layouts/response.toml`: minutes and temperatures."""

from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table

__all__ = ["ReadingRule", "reading_rule"]


class ReadingRule(Struct, frozen=True):
    """Minutes from a change of mode until readings count, and the gas pipe's temperatures in °F.

    At `hot_f` or above it heats, at `cold_f` or below it cools; `room_least_f` to `room_most_f` is what rooms
    should have before the test.
    """

    source: str
    first_minutes: float
    settle_minutes: float
    hot_f: float
    cold_f: float
    room_least_f: float
    room_most_f: float

    def letter(self, fahrenheit: float) -> str:
        """The reading of a temperature: H, C, or ? between them."""
        return "H" if fahrenheit >= self.hot_f else "C" if fahrenheit <= self.cold_f else "?"


@cache
def reading_rule() -> ReadingRule:
    """The rule as the data file gives it."""
    names = [name for name in ReadingRule.__struct_fields__ if name != "source"]
    with shipped_table("response.toml") as table:
        source = table.text("source", required=True)
        return ReadingRule(source, **{name: table.number(name, required=True) for name in names})

"""The readings of a system's first days, from `layouts/first-days.toml`: which days, and what stands out."""

from functools import cache
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.files.toml import Table
from tagmaker.measures import TemperatureStep

__all__ = ["MODES", "TEMPERATURES", "DaysRule", "FirstDays", "TemperatureKey", "first_days"]

TemperatureKey = Literal["set", "in", "out"]
TEMPERATURES: tuple[TemperatureKey, ...] = ("set", "in", "out")
"""The temperatures that are read: set point, air in, air out."""
MODES = "HCF0"
"""A unit heats, cools, runs its fan only, or is off."""


class DaysRule(Struct, frozen=True):
    """When readings stand out: in these modes, `of` its first less its second below `least`, above `most`.

    With `either` the difference counts without its sign; a limit that is None is not asked.
    """

    modes: str
    of: tuple[TemperatureKey, TemperatureKey]
    text: str
    least: TemperatureStep | None = None
    most: TemperatureStep | None = None
    either: bool = False
    from_day: int = 1


class FirstDays(Struct, frozen=True):
    """The days, counted from the start, and the rules in their order."""

    source: str
    days: tuple[int, ...]
    rules: tuple[DaysRule, ...]


@cache
def first_days() -> FirstDays:
    """The file's content."""
    with shipped_table("first-days.toml") as table:
        rules = tuple(_rule(each) for each in table.tables("rule"))
        days = tuple(sorted(set(table.whole_numbers("days"))))
        return FirstDays(table.text("source", required=True), days, rules)


def _rule(table: Table) -> DaysRule:
    first, second = (_temperature(table, each) for each in (*table.texts("of"), "", "")[:2])
    rule = DaysRule(
        modes=table.text("modes", required=True, at_most=4),
        of=(first, second),
        text=table.text("text", required=True),
        least=table.measure("least", TemperatureStep),
        most=table.measure("most", TemperatureStep),
        either=table.flag("either"),
        from_day=table.whole_number("from_day", 1),
    )
    if not set(rule.modes) <= set(MODES):
        table.wrong("value-wrong", "modes", f"'modes' must be letters of {MODES}")
    table.close()
    return rule


def _temperature(table: Table, text: str) -> TemperatureKey:
    """A temperature by its key; what is none is reported."""
    found = next((key for key in TEMPERATURES if key == text), None)
    if found is None:
        table.wrong("value-wrong", "of", f"'of' must be two of {', '.join(TEMPERATURES)}")
    return found or "in"

"""What a system's sheets are judged by, from `layouts/system.toml`: rises of a vacuum, amounts."""

from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table

__all__ = ["SystemRule", "system_rule"]


class SystemRule(Struct, frozen=True):
    """Shares in per cent.

    A vacuum's rate of rise at the end, of that at first: from `steady_percent` on it is a leak, up to
    `levels_percent` moisture. `vacuum_gauge_percent` is of a reading, `weighed_percent` of the total charge,
    `written_percent` of a sum that was worked out by hand.
    """

    source: str
    steady_percent: float
    levels_percent: float
    vacuum_gauge_percent: float
    weighed_percent: float
    written_percent: float


@cache
def system_rule() -> SystemRule:
    """The rule as the data file gives it."""
    names = [name for name in SystemRule.__struct_fields__ if name != "source"]
    with shipped_table("system.toml") as table:
        source = table.text("source", required=True)
        return SystemRule(source, **{name: table.number(name, required=True) for name in names})

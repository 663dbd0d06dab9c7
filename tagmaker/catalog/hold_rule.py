"""How the hold of a pressure test is assessed, from `layouts/hold.toml`."""

from fractions import Fraction
from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.measures import Pressure, TemperatureStep

ZERO = Fraction(0)  # in place of a key that is wrong, which the table's end reports
__all__ = ["HoldRule", "hold_rule"]


class HoldRule(Struct, frozen=True):
    """The atmosphere, the least fall that must show, and accuracies of instruments that are not given.

    The shares are per cent of the start's absolute pressure.
    """

    source: str
    atmosphere: Pressure
    fall_percent: float
    gauge_percent: float
    thermometer: TemperatureStep


@cache
def hold_rule() -> HoldRule:
    """The rule as the data file gives it."""
    with shipped_table("hold.toml") as table:
        return HoldRule(
            source=table.text("source", required=True),
            atmosphere=table.measure("atmosphere", Pressure, required=True) or Pressure(ZERO, "psi"),
            fall_percent=table.number("fall_percent", required=True),
            gauge_percent=table.number("gauge_percent", required=True),
            thermometer=table.measure("thermometer", TemperatureStep, required=True)
            or TemperatureStep(ZERO, "F"),
        )

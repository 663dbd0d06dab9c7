"""What the sign of a refrigerating system must be like, from `layouts/signs.toml`."""

from fractions import Fraction
from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.measures import Mass
from tagmaker.units import Length

__all__ = ["SignRule", "sign_rule"]

ZERO = Fraction(0)


class SignRule(Struct, frozen=True):
    """The least height of letters; above `more_above` of refrigerant there are to be signs at `more` too."""

    source: str
    letters_least: Length
    more_above: Mass
    more: str


@cache
def sign_rule() -> SignRule:
    """The rule as the data file gives it."""
    with shipped_table("signs.toml") as table:
        return SignRule(
            source=table.text("source", required=True),
            letters_least=table.length("letters_least", required=True) or Length(ZERO, ""),
            more_above=table.measure("more_above", Mass, required=True) or Mass(ZERO, "kg"),
            more=table.text("more", required=True),
        )

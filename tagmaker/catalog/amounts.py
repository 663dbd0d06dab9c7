"""How much refrigerant may leak into one occupied space, from `layouts/amounts.toml`."""

from collections.abc import Mapping
from fractions import Fraction
from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.files.toml import Table
from tagmaker.measures import Mass, Volume

__all__ = ["Amount", "Amounts", "amounts"]

CUBIC_FEET = 1000  # to which the pounds belong
READ = "read"
KNOWN = (READ, "from memory")


class Amount(Struct, frozen=True):
    """Of one refrigerant: pounds in 1000 cubic feet, grams in a cubic metre, and how both are known."""

    pounds: Fraction
    grams: Fraction
    known: str

    @property
    def grams_m3(self) -> Fraction:
        """The smaller of the two figures, which differ by their rounding, in grams in a cubic metre."""
        return min(self.grams, self.pounds * Mass.each["lb"] / (CUBIC_FEET * Volume.each["ft3"]))

    @property
    def doubt(self) -> str:
        """What is printed behind the source: how the figure is known, where it was not read there."""
        return "" if self.known == READ else f", {self.known}"


class Amounts(Struct, frozen=True):
    """The amounts by the name of the refrigerant."""

    source: str
    of: Mapping[str, Amount]


@cache
def amounts() -> Amounts:
    """The table as the data file gives it."""
    with shipped_table("amounts.toml") as table:
        rows = table.tables("amount")
        return Amounts(
            source=table.text("source", required=True),
            of={row.text("refrigerant", required=True): _amount(row) for row in rows},
        )


def _amount(row: Table) -> Amount:
    pounds, grams = (Fraction(str(row.number(key, required=True))) for key in ("pounds", "grams"))
    amount = Amount(pounds, grams, row.choice("known", KNOWN, KNOWN[-1]))
    row.close()
    return amount

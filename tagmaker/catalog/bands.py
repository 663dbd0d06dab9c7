"""Rules for pipe identification bands, from `layouts/bands.toml`: groups, warnings, letters, interval.

Gives the rules as one record. They are data because the authority having jurisdiction decides what applies;
the file says of each rule how it is known.
"""

from fractions import Fraction
from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.files.toml import Table
from tagmaker.units import Length

__all__ = ["BandRules", "band_rules"]


class BandRules(Struct, frozen=True):
    """`letters` are (largest outside diameter, letter height) in mm, in rising order."""

    interval: Length
    letters_least: Length
    groups: dict[str, str]
    warnings: dict[str, tuple[str, ...]]
    letters: tuple[tuple[float, float], ...]

    def letter_mm(self, diameter_mm: float) -> float:
        """Letter height in mm for an outside diameter over the insulation; never below the least."""
        table = next(height for up_to, height in self.letters if diameter_mm <= up_to + 1e-9)
        return max(table, float(self.letters_least.mm))


@cache
def band_rules() -> BandRules:
    """The rules as the data file gives them."""
    with shipped_table("bands.toml") as table:
        groups, warnings = table.table("safety_groups"), table.table("warnings")
        return BandRules(
            interval=_length(table, "interval"),
            letters_least=_length(table, "letters_least"),
            groups={name: groups.text(name) for name in groups.content},
            warnings={name: warnings.texts(name) for name in warnings.content},
            letters=tuple(
                (float(_length(row, "up_to").mm), float(_length(row, "height").mm))
                for row in table.tables("letters")
            ),
        )


def _length(table: Table, key: str) -> Length:
    """A length that must be there; without it the table's problem ends the reading."""
    return table.length(key, required=True) or Length(Fraction(0), "")

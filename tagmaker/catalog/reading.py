"""How high a capital must be to be read from where people are, from `layouts/reading.toml`.

Gives for each printed text its task, its distance and the visual angle that it needs (NUREG-0700), with the
arithmetic both ways.
"""

from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.files.toml import Table

__all__ = ["TEXTS", "Reading", "Sight", "reading_rules"]

TEXTS = (
    *("letter", "letter_cable", "letter_terminal", "locator", "box", "caution", "caution_low", "kind"),
    *("unit", "units", "fact", "cell", "placard_page", "placard_label", "page"),
)
FULL_CIRCLE = 21600  # minutes of arc
TWO_PI = 6.283  # as NUREG-0700 prints it


class Sight(Struct, frozen=True):
    """A text as it is read: for which task, from how far in metres, at how many minutes of arc.

    `least` is the height in mm that a long text may have; 0 where it may not be lower than others.
    """

    task: str
    distance: float
    minutes: float
    least: float = 0.0

    @property
    def caps(self) -> float:
        """Height in mm that capitals need to be read from there (NUREG-0700)."""
        return TWO_PI * self.distance * 1000 * self.minutes / FULL_CIRCLE

    @property
    def floor(self) -> float:
        """Height in mm below which the text is too small, even if it is long."""
        return self.least or self.caps

    def reads_from(self, caps_mm: float) -> float:
        """Distance in metres from which capitals of that height still read."""
        return caps_mm * FULL_CIRCLE / (TWO_PI * self.minutes) / 1000


class Reading(Struct, frozen=True):
    """Every text's sight, by its name; labels of `low_label` mm of height or less have lower cautions."""

    texts: dict[str, Sight]
    low_label: float

    def caution(self, label_height: float) -> Sight:
        """The sight of a caution on a label of that height."""
        return self.texts["caution_low" if label_height <= self.low_label else "caution"]


@cache
def reading_rules() -> Reading:
    """The rules as the data file gives them."""
    with shipped_table("reading.toml") as table:
        table.text("source", required=True)
        low = table.number("low_label_mm", required=True)
        return Reading({name: _sight(table.table(name)) for name in TEXTS}, low)


def _sight(table: Table) -> Sight:
    """One text's table."""
    sight = Sight(
        table.text("task", required=True),
        table.number("distance_m", required=True),
        table.number("minutes", required=True),
        table.number("least_mm", 0.0),
    )
    table.close()
    return sight

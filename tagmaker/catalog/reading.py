"""How high a capital must be to be read from where people stand, from `layouts/reading.toml`.

Gives distances by what is read and the least visual angle (NUREG-0700), with the arithmetic both ways.
"""

from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table

__all__ = ["Reading", "reading_rules"]

READ = ("terminal", "cable", "pipe", "locator", "placard_page", "placard_label")
FULL_CIRCLE = 21600  # minutes of arc
TWO_PI = 6.283  # as NUREG-0700 prints it


class Reading(Struct, frozen=True):
    """Distances in metres by what is read, and the least visual angle in minutes of arc."""

    minutes: float
    distances: dict[str, float]

    def least_caps(self, what: str) -> float:
        """Height in mm that capitals need to be read from this thing's distance (NUREG-0700)."""
        return TWO_PI * self.distances[what] * 1000 * self.minutes / FULL_CIRCLE

    def reads_from(self, caps_mm: float) -> float:
        """Distance in metres from which capitals of that height still read."""
        return caps_mm * FULL_CIRCLE / (TWO_PI * self.minutes) / 1000


@cache
def reading_rules() -> Reading:
    """The rules as the data file gives them."""
    with shipped_table("reading.toml") as table:
        table.text("source", required=True)
        minutes, distances = table.number("minutes", required=True), table.table("distance_m")
        rules = Reading(minutes, {name: distances.number(name, required=True) for name in READ})
        distances.close()
    return rules

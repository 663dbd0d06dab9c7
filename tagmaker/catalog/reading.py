"""How high a capital must be to be read from where people stand, from `layouts/reading.toml`."""

from functools import cache

from msgspec import Struct

from tagmaker.catalog.folders import layouts
from tagmaker.files.toml import Table, read_toml
from tagmaker.problems import Problem

__all__ = ["Reading", "reading_rules"]

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
    file = read_toml(layouts() / "reading.toml", "layouts/reading.toml")
    if isinstance(file, Problem):
        raise FileNotFoundError(file.as_text())
    problems: list[Problem] = []
    table = Table.whole(file, problems)
    table.text("source", required=True)
    distances = table.table("distance_m")
    names = ("terminal", "cable", "pipe", "locator", "placard_page", "placard_label")
    rules = Reading(
        table.number("minutes", required=True),
        {name: distances.number(name, required=True) for name in names},
    )
    distances.close()
    table.close()
    if problems:
        raise ValueError("; ".join(problem.as_text() for problem in problems))
    return rules

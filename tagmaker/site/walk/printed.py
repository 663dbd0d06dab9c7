"""What a walk's sheet was printed for, read back from its hidden text."""

from msgspec import Struct

from tagmaker.tags.placard_read import PlacardFacts, read_placard
from tagmaker.tags.walk import UNITS

__all__ = ["Printed", "read_printed"]


class Printed(Struct, frozen=True):
    """The placard's facts, and by letter the port with its units as the sheet had them."""

    facts: PlacardFacts
    ports: dict[str, str]


def read_printed(text: str) -> Printed | None:
    """What a sheet was printed for; None where nobody can tell any more."""
    placard, _, line = text.rpartition(UNITS)
    facts = read_placard(placard)
    if not isinstance(facts, PlacardFacts):
        return None
    entries = [(entry.partition(" ")[0], entry) for entry in line.strip().split(" | ")]
    return Printed(facts, {letter: entry for name, entry in entries for letter in name.split("+")})

"""Which letters and items a walk goes through, and what its sheet was printed for.

The sheet, the phone's page and what comes back all ask here, so that they have the same fields. What a sheet
was printed for is a hidden text on it: a tick on an old sheet is a statement about the units that were
planned then.
"""

from msgspec import Struct

from tagmaker.catalog.walk_items import WalkItem
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan, Port
from tagmaker.tags.placard_text import PlacardFacts, placard_text, read_placard

__all__ = [
    "WALK_FORMAT",
    "PrintedFor",
    "items_of_box",
    "items_of_letter",
    "letters_of",
    "port_units",
    "printed_for",
    "read_printed_for",
]

WALK_FORMAT = "tagmaker walk 1"
"""The format of the phone's data and of the file that it exports; another shape has another number."""
UNITS = "UNITS: "


def letters_of(box: BoxPlan) -> list[tuple[str, Port]]:
    """Every fitted letter with its port, in the family's order."""
    port_of = {letter: port for port in box.ports for letter in port.letters}
    return [(letter, port_of[letter]) for letter in box.letters]


def items_of_box(job: Job) -> list[WalkItem]:
    """The items asked once a box."""
    return [item for item in job.walk_items if item.per == "box"]


def items_of_letter(job: Job, port: Port, letter: str) -> list[WalkItem]:
    """The items asked of a letter: of every letter, or of used, cabled or spare ones.

    A cable is on the first letter of a pair alone.
    """
    is_used = port.use != "spare"
    asked = {"port", "used" if is_used else "spare"}
    if is_used and letter == port.letters[0]:
        asked.add("cabled")
    return [item for item in job.walk_items if item.per in asked]


def printed_for(job: Job, box: BoxPlan) -> str:
    """What a sheet is printed for: the placard's text, and a line with the units of every port."""
    return f"{placard_text(job, box)}{UNITS}{' | '.join(port_units(port) for port in box.ports)}\n"


def port_units(port: Port) -> str:
    """A port with its units; a tick on a sheet means these."""
    return f"{port.name} {', '.join(unit.tag for unit in port.units) or 'spare'}"


class PrintedFor(Struct, frozen=True):
    """What a sheet was printed for: the placard's facts, and by letter the port with its units."""

    facts: PlacardFacts
    ports: dict[str, str]


def read_printed_for(text: str) -> PrintedFor | None:
    """What a sheet was printed for; None where its hidden text cannot be read: then no tick of it counts."""
    placard, _, line = text.rpartition(UNITS)
    facts = read_placard(placard)
    if not isinstance(facts, PlacardFacts):
        return None
    entries = [(entry.partition(" ")[0], entry) for entry in line.strip().split(" | ")]
    return PrintedFor(facts, {letter: entry for name, entry in entries for letter in name.split("+")})

"""Which letters and items a walk goes through, and what its sheet was printed for."""

from tagmaker.catalog.walk_items import WalkItem
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan, Port
from tagmaker.tags.placard_text import placard_text

__all__ = ["UNITS", "items_of_box", "items_of_letter", "letters_of", "port_units", "printed_for"]

UNITS = "UNITS: "


def letters_of(box: BoxPlan) -> list[tuple[str, Port]]:
    """Every fitted letter with its port, by letter."""
    return sorted(((letter, port) for port in box.ports for letter in port.letters), key=lambda pair: pair[0])


def items_of_box(job: Job) -> list[WalkItem]:
    """The items asked once a box."""
    return [item for item in job.walk_items if item.per == "box"]


def items_of_letter(job: Job, port: Port, letter: str) -> list[WalkItem]:
    """The items asked of a letter: of every letter, or of used, cabled or spare ones."""
    is_used = port.use != "spare"
    kinds = {"port", "used" if is_used else "spare"}
    if is_used and letter == port.letters[0]:
        kinds.add("cabled")
    return [item for item in job.walk_items if item.per in kinds]


def printed_for(job: Job, box: BoxPlan) -> str:
    """What a sheet is printed for: the placard's text, and a line with the units of every port."""
    return f"{placard_text(job, box)}{UNITS}{' | '.join(port_units(port) for port in box.ports)}\n"


def port_units(port: Port) -> str:
    """A port with its units; a tick on a sheet means these."""
    return f"{port.name} {', '.join(unit.tag for unit in port.units) or 'spare'}"

"""Which letters and items a walk goes through."""

from tagmaker.catalog.walk_items import WalkItem
from tagmaker.job.records import Job
from tagmaker.plan.records import BoxPlan, Port

__all__ = ["items_of_box", "items_of_letter", "letters_of"]


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

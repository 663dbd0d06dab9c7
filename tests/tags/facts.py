"""What a box's placard must say, from the plan: the program only writes and reads such texts."""

from tagmaker.job.model import Job
from tagmaker.plan.model import Board, BoxPlan, Port
from tagmaker.tags.placard_forms import in_form
from tagmaker.tags.placard_text import PlacardFacts, SeenBoard, SeenPort, placard_text
from tagmaker.units import CapacityUnit

__all__ = ["code_texts", "planned_facts"]


def planned_facts(job: Job, box: BoxPlan) -> PlacardFacts:
    """All facts of a box's placard."""
    return PlacardFacts(
        box.row.tag,
        job.revision,
        job.number,
        tuple(_board(board) for board in box.boards),
        job.capacity_unit,
        tuple(_port(port, job.capacity_unit) for port in box.ports),
    )


def code_texts(job: Job, box: BoxPlan) -> list[str]:
    """What both codes of a box's placard say, the upper right one's first."""
    text = placard_text(job, box)
    return [in_form(text, form, job.prints.link) for form in job.prints.placard_codes]


def _board(board: Board) -> SeenBoard:
    banks = tuple(bank.on() for bank in board.banks)
    return SeenBoard(board.place.lower(), board.letters[0], board.letters[-1], banks)


def _port(port: Port, unit: CapacityUnit) -> SeenPort:
    if port.use == "spare":
        return SeenPort(port.name, "", "")
    return SeenPort(port.name, port.load.number(unit) if port.load else "?", port.limit.number(unit))

"""The placard's text: readable by a person on any phone; the README gives its grammar."""

import zlib

from tagmaker.job.model import Job
from tagmaker.plan.model import Board, BoxPlan, Port
from tagmaker.units import CapacityUnit

__all__ = ["crc_line", "placard_text"]


def placard_text(job: Job, box: BoxPlan, revision: str | None = None) -> str:
    """The text of a box, in the job's revision or another; lines ended by LF, the last one its CRC-32."""
    revision = job.revision if revision is None else revision
    lines = [
        _first_line(job, box, revision),
        *(_board_line(board) for board in box.boards),
        _load_line(job, box),
    ]
    body = "".join(f"{line}\n" for line in lines)
    return f"{body}{crc_line(body)}\n"


def crc_line(body: str) -> str:
    """The last line of a text: the CRC-32 of every byte before it, upper case."""
    return f"CRC {zlib.crc32(body.encode()):08X}"


def _first_line(job: Job, box: BoxPlan, revision: str) -> str:
    number = f" JOB {job.number}" if job.number else ""
    return f"BOX {box.row.tag} REV {revision}{number}"


def _board_line(board: Board) -> str:
    first, last = board.letters[0], board.letters[-1]
    letters = first if first == last else f"{first}-{last}"
    banks = "; ".join(
        f"BANK {bank.number} ON {' '.join(map(str, bank.on())) or 'none'}" for bank in board.banks
    )
    return f"{board.place.upper()} {letters}: {banks}"


def _load_line(job: Job, box: BoxPlan) -> str:
    return f"{job.capacity_unit}: " + " | ".join(_port(port, job.capacity_unit) for port in box.ports)


def _port(port: Port, unit: CapacityUnit) -> str:
    if port.use == "spare":
        return f"{port.name} spare"
    load = port.load.number(unit) if port.load else "?"
    return f"{port.name} {load}/{port.limit.number(unit)}"

"""A plan as `switches --json` and plan.json print it: records whose fields are the keys, in their order.

An outline is what other programs and a later revision need of a plan, and nothing else of it: names instead
of records, loads in Btu/h. plan.json is read back into the same records.
"""

from msgspec import Struct

from tagmaker.plan.model import BankPlan, Board, BoxPlan, Plan, Port, PortUse
from tagmaker.units import Capacity, number_text

__all__ = [
    "BankOutline",
    "BoardHead",
    "BoardOutline",
    "BoxOutline",
    "PortHead",
    "PortOutline",
    "box_outline",
    "btuh",
    "outlines",
]

Btuh = int | float | None
"""A capacity in Btu/h, at most three decimals; None where one is missing."""


class BankOutline(Struct, frozen=True):
    """A bank: the switches that must be ON, those of them that are only checked, those left as found."""

    name: str
    on: tuple[int, ...]
    factory: tuple[int, ...]
    leave: tuple[int, ...]


class BoardHead(Struct, frozen=True):
    """What every record of a board begins with, here, on the phone and out of scans."""

    place: str
    ports: tuple[str, ...]
    unfitted: int


class BoardOutline(BoardHead, frozen=True):
    """A board: its place, its letters, how many positions have no port, its banks by number."""

    banks: tuple[BankOutline, ...]


class PortHead(Struct, frozen=True):
    """What every record of a port or pair begins with; the limit is never missing here, but out of scans."""

    port: str
    use: PortUse
    units: tuple[str, ...]
    load_btuh: Btuh


class PortOutline(PortHead, frozen=True):
    """A port or pair by its name ("C", "G+H"): its use, the tags of its units by row, its load and limit."""

    limit_btuh: int | float


class BoxOutline(Struct, frozen=True):
    """A box: boards left to right, ports in the family's order."""

    tag: str
    family: str
    port_count: int
    load_btuh: Btuh
    boards: tuple[BoardOutline, ...]
    ports: tuple[PortOutline, ...]

    @property
    def letters(self) -> tuple[str, ...]:
        """Its letters in the family's order: those of its boards from left to right."""
        return tuple(letter for board in self.boards for letter in board.ports)


def outlines(plan: Plan) -> tuple[BoxOutline, ...]:
    """Every box in the job's order."""
    return tuple(map(box_outline, plan.boxes))


def box_outline(box: BoxPlan) -> BoxOutline:
    """One box as its record."""
    return BoxOutline(
        tag=box.row.tag,
        family=box.row.family.name,
        port_count=box.row.ports,
        load_btuh=btuh(box.load),
        boards=tuple(_board(board) for board in box.boards),
        ports=tuple(_port(port) for port in box.ports),
    )


def btuh(load: Capacity | None) -> Btuh:
    """A capacity as a JSON number: whole where it is whole, at most three decimals elsewhere."""
    if load is None:
        return None
    text = number_text(load.btuh)
    return float(text) if "." in text else int(text)


def _board(board: Board) -> BoardOutline:
    return BoardOutline(
        board.place, board.letters, board.unfitted, tuple(_bank(bank) for bank in board.banks)
    )


def _bank(bank: BankPlan) -> BankOutline:
    factory = tuple(switch.number for switch in bank.switches if switch.check_only)
    return BankOutline(bank.name, bank.on(), factory, bank.left())


def _port(port: Port) -> PortOutline:
    units = tuple(unit.tag for unit in port.units)
    return PortOutline(port.name, port.use, units, btuh(port.load), btuh(port.limit) or 0)

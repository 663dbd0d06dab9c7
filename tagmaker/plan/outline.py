"""A plan as `switches --json` and plan.json print it: records whose fields are the keys, in their order.

An outline is what other programs and a later revision need of a plan, and nothing else of it: names instead
of records, loads in Btu/h. plan.json is read back into the same records.
"""

from collections.abc import Iterable
from fractions import Fraction

from msgspec import Struct

from tagmaker.plan.model import BankPlan, Board, BoxPlan, Plan, Port, PortUse
from tagmaker.plan.system_figures import system_figures
from tagmaker.plan.systems import SystemPlan
from tagmaker.units import Capacity, number_text

__all__ = [
    "BankOutline",
    "BoardHead",
    "BoardOutline",
    "BoxOutline",
    "ChargeOutline",
    "PortHead",
    "PortOutline",
    "SystemOutline",
    "box_outline",
    "btuh",
    "outlines",
    "system_outlines",
]

Btuh = int | float | None
"""A capacity in Btu/h, at most three decimals; None where one is missing."""
Grams = int | float | None
"""A mass in grams, at most three decimals; None where a part of it is not known."""


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


class ChargeOutline(Struct, frozen=True):
    """A charge in grams: from the factory, of all liquid pipes, extras of boxes and units, and their sum."""

    factory: Grams
    lines: Grams
    extras: Grams
    total: Grams


class SystemOutline(Struct, frozen=True):
    """A system: its capacity and what is connected to it, how many units, its charge; null is not known.

    `figures` are those of its [[system]] and its liquid pipes as texts by their keys; sets of earlier
    versions do not have them.
    """

    tag: str
    outdoor: str
    capacity_btuh: Btuh
    connected_btuh: Btuh
    ratio_percent: int | float | None
    units: int
    charge_g: ChargeOutline
    figures: dict[str, str] = {}


def system_outlines(systems: Iterable[SystemPlan]) -> tuple[SystemOutline, ...]:
    """Every system in the job's order."""
    return tuple(map(_system, systems))


def _system(system: SystemPlan) -> SystemOutline:
    charge = system.charge
    parts = (charge.factory, charge.of_lines, charge.of_extras, charge.total)
    return SystemOutline(
        tag=system.row.tag,
        outdoor=system.row.outdoor,
        capacity_btuh=btuh(system.row.capacity),
        connected_btuh=btuh(system.connected),
        ratio_percent=_number(system.percent),
        units=len(system.units),
        charge_g=ChargeOutline(*(_number(part.value if part else None) for part in parts)),
        figures=system_figures(system),
    )


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
    return _number(load.btuh if load else None)


def _number(value: Fraction | None) -> int | float | None:
    """An exact number as a JSON number: whole where it is whole, at most three decimals elsewhere."""
    if value is None:
        return None
    text = number_text(value)
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

"""The plan of a job: what every port, board and switch must be."""

from fractions import Fraction

from msgspec import Struct

from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.units import Capacity

__all__ = ["BankPlan", "Board", "BoxPlan", "Claim", "Plan", "Port", "SwitchPlan"]


class Claim(Struct, frozen=True):
    """What one row asks for: its unit, and the letters that its port text names (none = unreadable)."""

    unit: UnitRow
    letters: tuple[str, ...]
    fault: str = ""
    hint: str = ""


class Port(Struct, frozen=True):
    """A port or joined pair; `use` is single, joined or spare; load None where a capacity is missing."""

    letters: tuple[str, ...]
    use: str
    units: tuple[UnitRow, ...]
    load: Capacity | None
    limit: Capacity

    @property
    def name(self) -> str:
        """One letter, or two joined with a plus."""
        return "+".join(self.letters)


class SwitchPlan(Struct, frozen=True):
    """A switch (numbered from 1): `state` is "on", "off" or "leave"; `when` and `ports` say why it is ON."""

    number: int
    state: str
    check_only: bool = False
    when: str = ""
    ports: tuple[str, ...] = ()


class BankPlan(Struct, frozen=True):
    """A bank (numbered from 1) as marked on the board in hand, with its switches by number."""

    number: int
    name: str
    on_points: str
    numbered_from: str
    switches: tuple[SwitchPlan, ...]

    def on(self) -> tuple[int, ...]:
        """The switches that must be ON."""
        return tuple(switch.number for switch in self.switches if switch.state == "on")


class Board(Struct, frozen=True):
    """One circuit board: where it stands, the letters that it serves, positions without a port, its banks."""

    place: str
    letters: tuple[str, ...]
    unfitted: int
    banks: tuple[BankPlan, ...]


class BoxPlan(Struct, frozen=True):
    """One box: its boards from left to right, its ports by letter, and the rows that claimed them."""

    row: BoxRow
    boards: tuple[Board, ...]
    ports: tuple[Port, ...]
    claims: tuple[Claim, ...]

    @property
    def load(self) -> Capacity | None:
        """Sum of all ports; None where a capacity is missing."""
        loads = [port.load for port in self.ports if port.units]
        if any(load is None for load in loads):
            return None
        return sum((load for load in loads if load), start=Capacity(Fraction(0)))

    def port_of(self, letter: str) -> Port:
        """The port or pair that a letter belongs to."""
        return next(port for port in self.ports if letter in port.letters)


class Plan(Struct, frozen=True):
    """A whole job's plan, boxes as in the job."""

    job: Job
    boxes: tuple[BoxPlan, ...]

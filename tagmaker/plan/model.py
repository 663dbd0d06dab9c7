"""The plan of a job: what every port, board and switch must be.

All records are frozen. Loads and limits are exact capacities; letters and switches are those of the box in
hand. `PortUse` and `Setting` are the two words that decide what is set on a board, so they are types: a typo
in a comparison is then an error of mypy.
"""

from fractions import Fraction
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.family import Condition, NumberedFrom, OnPoints
from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.systems import SystemPlan
from tagmaker.units import Capacity

__all__ = [
    "BankPlan",
    "Board",
    "BoxPlan",
    "Claim",
    "Plan",
    "Port",
    "PortFault",
    "PortUse",
    "Setting",
    "SwitchPlan",
]

PortUse = Literal["single", "joined", "spare"]
"""How a port is used: alone, as one of a joined pair, or not at all."""
Setting = Literal["on", "off", "leave"]
"""What a switch must be; `leave` is a switch that no rule of the family sets: it is left as found."""
PortFault = Literal["port-unknown", "pair-forbidden"]
"""What can be wrong with the port text of a row; the words are problem codes."""


class Claim(Struct, frozen=True):
    """What one row asks for: its unit, and the letters that its port text names.

    `letters` are in the family's order, and empty where the text has a `fault`; `hint` says what the
    box would accept.
    """

    unit: UnitRow
    letters: tuple[str, ...]
    fault: PortFault | None = None
    hint: str = ""


class Port(Struct, frozen=True):
    """A port or joined pair with its units in row order; `load` is None where a capacity is missing."""

    letters: tuple[str, ...]
    use: PortUse
    units: tuple[UnitRow, ...]
    load: Capacity | None
    limit: Capacity

    @property
    def name(self) -> str:
        """One letter, or two joined with a plus."""
        return "+".join(self.letters)


class SwitchPlan(Struct, frozen=True):
    """A switch (numbered from 1) and its setting.

    Of a switch that is ON: `when` and `ports` say why, and `check_only` that the factory sets it.
    """

    number: int
    state: Setting
    check_only: bool = False
    when: Literal[Condition, ""] = ""
    ports: tuple[str, ...] = ()


class BankPlan(Struct, frozen=True):
    """A bank (numbered from 1) with its switches by number.

    `name` is its marking on the board in hand, which need not be the family's.
    """

    number: int
    name: str
    on_points: OnPoints
    numbered_from: NumberedFrom
    switches: tuple[SwitchPlan, ...]

    def on(self) -> tuple[int, ...]:
        """The numbers of the switches that must be ON."""
        return self._numbers("on")

    def left(self) -> tuple[int, ...]:
        """The numbers of the switches that are left as found."""
        return self._numbers("leave")

    def in_order(self) -> tuple[SwitchPlan, ...]:
        """The switches from left to right, as numbered on the board."""
        return self.switches if self.numbered_from == "left" else tuple(reversed(self.switches))

    def _numbers(self, setting: Setting) -> tuple[int, ...]:
        return tuple(switch.number for switch in self.switches if switch.state == setting)


class Board(Struct, frozen=True):
    """One circuit board and the letters that it serves.

    `unfitted` is how many of its positions have no port.
    """

    place: str
    letters: tuple[str, ...]
    unfitted: int
    banks: tuple[BankPlan, ...]


class BoxPlan(Struct, frozen=True):
    """One box, its boards from left to right, its ports in the family's order.

    `claims` are the rows that name its ports, good or bad, in row order.
    """

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

    @property
    def letters(self) -> tuple[str, ...]:
        """The letters of its ports in the family's order, which need not be that of the alphabet."""
        own = {letter for port in self.ports for letter in port.letters}
        return tuple(letter for letter in self.row.family.port_names if letter in own)


class Plan(Struct, frozen=True):
    """A whole job's plan, boxes and systems as in the job."""

    job: Job
    boxes: tuple[BoxPlan, ...]
    systems: tuple[SystemPlan, ...] = ()

"""The refrigerant charge of a system: factory charge, each liquid pipe by its length, extras.

Takes a system with its boxes and units as declared; gives the charge line by line, exact. What is missing
makes a line unknown, and with it the sum: it is named, and never counted as nothing.
"""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct

from tagmaker.job.model import BoxRow, Charge, SystemRow, UnitRow
from tagmaker.job.systems import SAME_TUBE_MM
from tagmaker.measures import Mass, MassPerLength
from tagmaker.units import Length

__all__ = ["ChargeExtra", "ChargeLine", "ChargePlan", "figure_of", "plan_charge"]


class ChargeLine(Struct, frozen=True):
    """A liquid pipe with its figure: to a unit, or a box's main pipe, whose `unit` is empty.

    Each is None where it is not given; `figure` also where none is given for the diameter.
    """

    box: str
    port: str
    unit: str
    tube: Length | None
    run: Length | None
    figure: MassPerLength | None
    mass: Mass | None

    @property
    def name(self) -> str:
        """What the pipe leads to."""
        return self.unit or f"main pipe of {self.box}"

    def missing(self) -> str:
        """What the job does not give of it, in words; empty where its mass is known."""
        words = [*["diameter"] * (self.tube is None), *["length"] * (self.run is None)]
        if self.tube and self.figure is None:
            words.append(f"figure for {self.tube.text}")
        return f"{self.name} ({' and '.join(words)})" if words else ""


class ChargeExtra(Struct, frozen=True):
    """A charge for each box or unit; `key` is that of the figure. None where the figure is not given."""

    key: str
    count: int
    figure: Mass | None
    mass: Mass | None


class ChargePlan(Struct, frozen=True):
    """A charge line by line, in a unit; a sum is None while any part of it is unknown."""

    unit: str
    factory: Mass | None
    lines: tuple[ChargeLine, ...]
    extras: tuple[ChargeExtra, ...]
    is_whole: bool

    @property
    def of_lines(self) -> Mass | None:
        """All liquid pipes; unknown too where rows of units could not be read."""
        return self._sum(line.mass for line in self.lines) if self.is_whole else None

    @property
    def of_extras(self) -> Mass | None:
        """All boxes and units."""
        return self._sum(extra.mass for extra in self.extras) if self.is_whole else None

    @property
    def total(self) -> Mass | None:
        """The whole charge."""
        return self._sum((self.factory, self.of_lines, self.of_extras))

    def missing(self) -> tuple[str, ...]:
        """Everything without which the total is unknown, in words."""
        keys = [*["factory"] * (self.factory is None), *(each.key for each in self.extras if not each.mass)]
        mains_first = sorted(self.lines, key=lambda line: bool(line.unit))
        lines = (line.missing() for line in mains_first)
        return (*(f"charge.{key}" for key in keys), *(text for text in lines if text))

    def _sum(self, parts: Iterable[Mass | None]) -> Mass | None:
        total = Mass(Fraction(0), self.unit)
        for part in parts:
            if part is None:
                return None
            total += part
        return total


def plan_charge(
    row: SystemRow, boxes: Sequence[BoxRow], units: Mapping[str, Sequence[UnitRow]], *, is_whole: bool = True
) -> ChargePlan:
    """The charge of a system, from its boxes and the units of each by the box's tag in capitals.

    Without `is_whole` there may be units that could not be read. Lines are in walking order: each box's main
    pipe, then the pipes to its units in row order.
    """
    charge = row.charge
    lines: list[ChargeLine] = []
    for box in boxes:
        mains = box.mains
        lines.append(_line(charge, box, None, mains.tubes.get("liquid") if mains else None))
        lines += [_line(charge, box, unit, unit.liquid) for unit in units.get(box.key, ())]
    extras = (
        _extra("per_box", len(boxes), charge.per_box, charge.unit),
        _extra("per_unit", len(lines) - len(boxes), charge.per_unit, charge.unit),
    )
    return ChargePlan(charge.unit, charge.factory, tuple(lines), extras, is_whole)


def _line(charge: Charge, box: BoxRow, unit: UnitRow | None, tube: Length | None) -> ChargeLine:
    mains_run = box.mains.run if box.mains else None
    run = unit.run if unit else mains_run
    figure = figure_of(charge, tube)
    mass = figure.of(run, charge.unit) if figure and run else None
    port, tag = (unit.port, unit.tag) if unit else ("", "")
    return ChargeLine(box.tag, port, tag, tube, run, figure, mass)


def figure_of(charge: Charge, tube: Length | None) -> MassPerLength | None:
    """The charge for each length of a tube; None where none is given for its diameter."""
    if tube is None:
        return None
    near = (figure for other, figure in charge.per_length if abs(other.mm - tube.mm) < SAME_TUBE_MM)
    return next(near, None)


def _extra(key: str, count: int, figure: Mass | None, unit: str) -> ChargeExtra:
    return ChargeExtra(key, count, figure, Mass(figure.value * count, unit) if figure else None)

"""The diameter that a tag wraps round: a bare tube before brazing, later its insulation; a cable's jacket.

Outside diameter over insulation = tube's outside diameter + 2 x wall; the jacket's is given, never derived
from the wires' gauge.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from tagmaker.job.model import UnitRow
from tagmaker.tags.model import LineKind, OutsideDiameter, PortKind
from tagmaker.units import Length, number_text

__all__ = ["outside_diameter", "over"]

MM_AN_INCH = Fraction("25.4")


def outside_diameter(kind: PortKind, rows: Iterable[UnitRow], *, bare: bool) -> OutsideDiameter | None:
    """The diameter that a tag of that kind wraps round; None where rows give none, or do not agree.

    A terminal's tag is stuck flat, so it has none. `bare` is before the pipes are insulated.
    """
    if kind == "terminal":
        return None
    found = {_one(kind, row, bare=bare) for row in rows}
    return found.pop() if len(found) == 1 else None


def over(tube: Length, wall: Length | None, *, bare: bool = False) -> OutsideDiameter | None:
    """A tube as it is, or over its insulation; None where the wall is not given: it is not assumed."""
    if bare:
        return OutsideDiameter(float(tube.mm), tube.text, tube.is_metric)
    if wall is None:
        return None
    outside = tube.mm + 2 * wall.mm
    number = number_text(outside if tube.is_metric else outside / MM_AN_INCH)
    return OutsideDiameter(
        float(outside), f"{number} {'mm' if tube.is_metric else 'in'} over insulation", tube.is_metric
    )


def _one(kind: LineKind, row: UnitRow, *, bare: bool) -> OutsideDiameter | None:
    lines: Mapping[LineKind, Length | None] = {"liquid": row.liquid, "gas": row.gas, "cable": row.cable}
    tube = lines[kind]
    return over(tube, row.insulation, bare=bare or kind == "cable") if tube else None

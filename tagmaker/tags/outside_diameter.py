"""What a tag goes round: the bare tube before brazing, the insulation over it afterwards, the cable's jacket.

Outside diameter over insulation = tube's outside diameter + 2 x wall; the jacket's is given, never derived
from the wires' gauge.
"""

from collections.abc import Iterable
from fractions import Fraction

from tagmaker.job.model import UnitRow
from tagmaker.tags.model import OutsideDiameter
from tagmaker.units import Length, number_text

__all__ = ["outside_diameter", "over"]

MM_AN_INCH = Fraction("25.4")


def outside_diameter(kind: str, rows: Iterable[UnitRow], *, bare: bool) -> OutsideDiameter | None:
    """The diameter that a tag of that kind goes round; None where rows give none, or do not agree."""
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


def _one(kind: str, row: UnitRow, *, bare: bool) -> OutsideDiameter | None:
    tube: Length | None = {"liquid": row.liquid, "gas": row.gas, "cable": row.cable}[kind]
    return over(tube, row.insulation, bare=bare or kind == "cable") if tube else None

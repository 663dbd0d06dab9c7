"""Sums over the boxes of a job, by system and level: ports used and spare, units, loads and limits."""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from msgspec import Struct

from tagmaker.plan.model import BoxPlan
from tagmaker.units import Capacity

__all__ = ["Group", "Totals", "box_limit", "grouped", "totals", "used_limit"]

NOTHING = Capacity(Fraction(0))


class Totals(Struct, frozen=True):
    """Sums over boxes: `single` ports, joined `pairs`, `spare` letters; `unknown` units have no capacity.

    `ports` counts letters, so it is `single` + 2 × `pairs` + `spare`. `load` is that of the units whose
    capacity is known, `limit` what the boxes would carry.
    """

    boxes: int
    ports: int
    single: int
    pairs: int
    spare: int
    units: int
    unknown: int
    load: Capacity
    limit: Capacity


class Group(Struct, frozen=True):
    """The boxes of one system on one level; either may be empty."""

    system: str
    level: str
    boxes: tuple[BoxPlan, ...]


def grouped(boxes: Iterable[BoxPlan]) -> tuple[Group, ...]:
    """The boxes by system and level, both in the order in which the job first names them."""
    found: dict[tuple[str, str], list[BoxPlan]] = {}
    for box in boxes:
        found.setdefault((box.row.system, box.row.level), []).append(box)
    return tuple(Group(*key, tuple(each)) for key, each in found.items())


def totals(boxes: Sequence[BoxPlan]) -> Totals:
    """The sums over boxes."""
    ports = [port for box in boxes for port in box.ports]
    units = [unit for port in ports for unit in port.units]
    known = [unit.capacity for unit in units if unit.capacity]
    return Totals(
        boxes=len(boxes),
        ports=sum(box.row.ports for box in boxes),
        single=sum(port.use == "single" for port in ports),
        pairs=sum(port.use == "joined" for port in ports),
        spare=sum(port.use == "spare" for port in ports),
        units=len(units),
        unknown=len(units) - len(known),
        load=sum(known, start=NOTHING),
        limit=sum((box_limit(box) for box in boxes), start=NOTHING),
    )


def box_limit(box: BoxPlan) -> Capacity:
    """What a box would carry: its family's limit for a box where there is one, else that of all its ports."""
    limit = box.row.family.box_limit
    return limit or sum((port.limit for port in box.ports), start=NOTHING)


def used_limit(box: BoxPlan) -> Capacity:
    """What the used ports would carry together, at most what the box would."""
    used = sum((port.limit for port in box.ports if port.units), start=NOTHING)
    return min(used, box_limit(box))
